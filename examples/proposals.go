package examples

import (
	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// proposals are the changes that the examples speak for: an end of a window that lies outside the 90 % range of the
// change, and a version that the book lacks. An end that the book has within the range stays as somebody wrote it.
func proposals(book *refbook.Slot, s Slot) []Proposal {
	out, unit, last := []Proposal{}, 0, -2
	add := func(i int, p Proposal) {
		if i > last+1 {
			unit++
		}
		p.Unit, last = unit, i
		out = append(out, p)
	}
	for i, v := range s.Versions {
		if !v.InBook {
			if !v.Learned.IsZero() && sure(s, i) {
				add(i, Proposal{Variant: v.ID, Window: -1, Made: v.Learned, Soft: v.Soft,
					Says: say.That("learn.new", say.Name("variant", v.ID), say.Count("n", v.Examples),
						say.Name("made", v.Learned.String()))})
			}
			continue
		}
		if p, ok := corrected(book, s, i); ok {
			add(i, p)
		}
	}
	return out
}

// sure reports whether enough examples show a version, and tell where the changes beside it were: a version that was
// named once or twice may be a slip of whoever named it.
func sure(s Slot, i int) bool {
	return s.Versions[i].Examples >= few && (i == 0 || !s.Transitions[i-1].Thin) &&
		(i == len(s.Transitions) || !s.Transitions[i].Thin)
}

// corrected is the window of a version with the ends that the examples move.
func corrected(book *refbook.Slot, s Slot, i int) (Proposal, bool) {
	v := s.Versions[i]
	first, last, ok := window(find(book, v.ID))
	if !ok {
		return Proposal{}, false
	}
	from, to, moved := first.String(), last.String(), say.Statement{}
	if i > 0 {
		if t := s.Transitions[i-1]; t.outside(first) {
			from, moved = t.Month.String()+"~", ended(begins, v, first, t)
		}
	}
	if i < len(s.Transitions) {
		if t := s.Transitions[i]; t.outside(last + 1) {
			to, moved = (t.Month-1).String()+"~", ended(ends, v, last, t)
		}
	}
	if moved.Kind == "" {
		return Proposal{}, false
	}
	made, err := edtf.Parse(from + "/" + to)
	if err != nil { // the examples turn a window round: somebody has to look
		return Proposal{}, false
	}
	return Proposal{Variant: v.ID, Was: v.Book, Made: made, Soft: v.Soft, Says: moved}, true
}

// outside reports whether the examples tell where the change was, and a month of the book is not there.
func (t Transition) outside(book edtf.Month) bool {
	return !t.Thin && (book < t.Interval90[0] || book > t.Interval90[1])
}

// The ends of a window.
const (
	begins = iota
	ends
)

func ended(which int, v Version, book edtf.Month, t Transition) say.Statement {
	if which == begins {
		return say.That("learn.begins", say.Name("variant", v.ID), say.Month("book", book), say.Month("month", t.Month),
			say.Span("range", t.Interval90[0], t.Interval90[1]))
	}
	return say.That("learn.ends", say.Name("variant", v.ID), say.Month("book", book), say.Month("month", t.Month),
		say.Span("range", t.Interval90[0], t.Interval90[1]))
}

// summary says what the examples of a slot come to.
func summary(slot evidence.Slot, s Slot) say.Statement {
	told := 0
	for _, t := range s.Transitions {
		if !t.Thin {
			told++
		}
	}
	switch {
	case len(s.Transitions) == 0:
		return say.That("learn.one-version", slotNamed("slot", slot), say.Count("n", s.Examples))
	case len(s.Proposals) > 0:
		return say.That("learn.speaks-for", slotNamed("slot", slot), say.Count("n", s.Examples),
			say.Count("changes", len(s.Proposals)))
	case told < len(s.Transitions):
		return say.That("learn.thin", slotNamed("slot", slot), say.Count("n", s.Examples))
	}
	return say.That("learn.agrees", slotNamed("slot", slot), say.Count("n", s.Examples))
}

package opinion

import (
	"slices"

	"midcase/evidence"
	"midcase/metal"
	"midcase/say"
)

// markRead is a mark on the watch with what it says of the metal.
type markRead struct {
	entry evidence.Entry[*evidence.Mark]
	read  metal.Mark
}

// marksRead are the hallmarks, and of the other marks those that name a layer or a base
// metal; latest first.
func (f *forming) marksRead() []markRead {
	var out []markRead
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		hallmark := m.Data.What == evidence.MarkHallmark
		if !hallmark && m.Data.What != "other" {
			continue
		}
		read, err := metal.ReadHallmark(m.Data.Text)
		if err != nil || !hallmark && !read.Plated && read.Base == "" {
			continue
		}
		out = append(out, markRead{m, read})
	}
	return out
}

// marksOn are the marks that speak for a slot. Those in the case back and those whose
// place was not noted speak for the case, unless they name a part; bezel and back
// without a mark of their own go with the case, a bracelet with its clasp.
func (f *forming) marksOn(slot evidence.Slot) []markRead {
	var own []markRead
	for _, m := range f.marksRead() {
		on := m.entry.Data.Slot
		if m.read.Slot != "" {
			on = evidence.Slot(m.read.Slot)
		}
		if on == slot || slot == evidence.Case && (on == "" || on == evidence.CaseBack && m.read.Slot == "") {
			own = append(own, m)
		}
	}
	switch {
	case len(own) > 0:
		return own
	case slot == evidence.Bezel || slot == evidence.CaseBack:
		return f.marksOn(evidence.Case)
	case slot == evidence.Bracelet:
		return f.marksOn(evidence.Clasp)
	}
	return nil
}

// claimed is the metal that a part is said to be of, by what was seen on it, else by the
// book, else by its mark; permille is 0 for base metal and where nothing is known.
type claimed struct {
	element, colour string
	permille        int
	doubt           say.Statement // why it cannot be relied on; zero where it can
	ids             []evidence.ID // of the marks
}

// claimOf is the metal of a slot, with the contradiction of its marks where there is one.
func (f *forming) claimOf(slot evidence.Slot) claimed {
	var out claimed
	id := ""
	if f.ref != nil {
		id = f.metalID(slot)
		if m, ok := f.maker.Metal(id); ok && m.Fineness > 0 {
			out.element, out.permille, out.colour = or2(m.Element, metal.Gold), m.Fineness, m.Colour
		}
	}
	marks := f.marksOn(slot)
	for i, m := range marks {
		out.ids = append(out.ids, m.entry.Item.ID)
		for _, other := range marks[:i] {
			if m.read.Contradicts(other.read) && out.doubt.IsZero() {
				out.doubt = say.That("metal.marks-differ", say.Term("part", "slot", string(slot), ""),
					say.Name("one", m.entry.Data.Text), say.Name("other", other.entry.Data.Text))
			}
		}
		if out.permille > 0 && m.read.Against(out.element, out.permille) == metal.Contradicts {
			out.doubt = say.That("metal.mark-against", say.Term("part", "slot", string(slot), ""),
				say.Name("mark", m.entry.Data.Text), f.metalName("metal", id))
			return out
		}
		if m.read.Colour != "" {
			out.colour = m.read.Colour
		}
	}
	if f.ref == nil && out.doubt.IsZero() {
		out.fromMarks(marks)
	}
	return out
}

// fromMarks takes the metal from the marks alone, where the book has none.
func (c *claimed) fromMarks(marks []markRead) {
	for _, m := range marks {
		if m.read.Element() != "" && m.read.Permille > 0 && !m.read.Plated && m.read.Base == "" && !m.read.Conflict {
			c.element, c.permille = m.read.Element(), m.read.Permille
		}
	}
}

// metalID is the metal of a slot by the book's names: as the observer named it, else as
// the book's weights or its bracelets do. Small case parts go with the case.
func (f *forming) metalID(slot evidence.Slot) string {
	if e, ok := f.fitted[slot]; ok && e.Data.Metal != "" {
		return e.Data.Metal
	}
	if slot == evidence.Bracelet && f.onStrap() {
		return ""
	}
	for _, w := range f.ref.Weights {
		if w.Part == string(slot) && w.Metal != "" {
			return w.Metal
		}
	}
	if slices.Contains([]evidence.Slot{evidence.Bezel, evidence.CaseBack}, slot) {
		slot = evidence.Case
	}
	return f.metalOf(slot).metal
}

func (f *forming) onStrap() bool {
	e, ok := f.fitted[evidence.Bracelet]
	return !ok || e.Data.Absent || e.Data.Variant == "strap"
}

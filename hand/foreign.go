package hand

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"midcase/condition"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/notes"
	"midcase/opinion"
	"midcase/say"
)

// The gravest claims are read in every language that buyers are told in: that a watch was never polished, that it or a
// part is original, that it runs well, that it was serviced, what a size is, that a fault is not there. Negations and
// words of doubt are those right before a claim in its sentence; what turns a sentence round in another way is not
// understood, and then marks too much rather than too little.

// foreign reads the claims of a sentence in a language without a reader of notes.
func (c *checker) foreign(l line, s Sentence) {
	r := &reader{checker: c, line: l}
	if c.says("hedge", s.Text) {
		r.said = append(r.said, notes.Said{About: "hedge", Span: notes.Span{From: s.From - l.from, To: s.To - l.from}})
	}
	slots := c.partsIn(s.Text)
	read := func(name string, judge func(x notes.Said)) {
		for _, x := range c.claims(l, s, name) {
			x.Slots = slots
			judge(x)
		}
	}
	read("unpolished", func(x notes.Said) {
		if t, ok := condition.Lookup("unpolished"); ok {
			part := evidence.Case
			if len(slots) > 0 {
				part = slots[0]
			}
			r.good(x.Span, t, part)
		}
	})
	read("runs", func(x notes.Said) {
		if !x.Denied {
			r.runs(x)
		}
	})
	r.sizes(s)
	if c.says("uncertain", s.Text) {
		return // it says itself that this is not known
	}
	r.servicing(s)
	r.faultless(s, slots)
	read("whole", func(x notes.Said) {
		if !x.Denied {
			x.About = "all original"
			r.original(s, x, nil)
		}
	})
	read("original", func(x notes.Said) {
		from, to := r.at(x.Span)
		if !c.marked(from, to) && (len(slots) > 0 || !x.Denied) {
			if len(slots) == 0 {
				x.About = "all original"
			}
			r.original(s, x, slots)
		}
	})
}

// servicing judges that the watch is said to have been serviced, and lately or in a year, where the sentence says so.
// That a service is due is no such claim.
func (r *reader) servicing(s Sentence) {
	if r.says("service due", s.Text) {
		return
	}
	d := &evidence.Work{What: "service"}
	if year := yearForm.FindStringSubmatch(s.Text); year != nil {
		if date, err := edtf.Parse(year[2]); err == nil {
			d.Date = date
		}
	}
	for _, x := range r.claims(r.line, s, "service") {
		if !x.Denied {
			r.worked(x.Span, d, r.says("recent", s.Text))
		}
	}
}

// faultless judges that faults are said not to be there. What is said of a fault that is there is not read.
func (r *reader) faultless(s Sentence, slots []evidence.Slot) {
	if len(slots) > 0 {
		r.said = append(r.said, notes.Said{About: notes.SaidPart, Slots: slots})
	}
	if r.says("twice", s.Text) {
		return
	}
	for _, t := range condition.Terms() {
		for _, x := range r.claims(r.line, s, "fault "+t.ID) {
			if x.Denied {
				x.Term, x.Slots = t.ID, slots
				r.noFault(x)
			}
		}
	}
}

// sizes judges the sizes in millimetres of a sentence by the words for them that stand nearest.
func (r *reader) sizes(s Sentence) {
	named := r.sizeNames(s)
	each(unitForm, s, func(from, to int, m []string) {
		mm, err := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", "."), 64)
		if err != nil || !strings.EqualFold(m[2], "mm") || len(named) == 0 || r.lost(mm) {
			return
		}
		away := func(n sizeName) int { return max(from-n.to, n.from-to) }
		nearest := slices.MinFunc(named, func(a, b sizeName) int { return away(a) - away(b) })
		r.size(notes.Span{Text: string(r.text[from:to]), From: from - r.line.from, To: to - r.line.from},
			&evidence.Dimension{What: nearest.what, MM: mm})
	})
}

// lost reports whether a size is that of the metal taken off somewhere.
func (c *checker) lost(mm float64) bool {
	return slices.ContainsFunc(c.subject.Opinion.Measured, func(m opinion.Measure) bool {
		return m.LossMM != nil && math.Abs(mm-*m.LossMM) < 0.01
	})
}

// sizeName is the word for a size, by its place in the text.
type sizeName struct {
	what     string
	from, to int
}

// sizeNames are the words for sizes in a sentence; a word within a longer one names nothing.
func (r *reader) sizeNames(s Sentence) (out []sizeName) {
	find := func(what string, words *regexp.Regexp) {
		for _, x := range r.claimsBy(r.line, s, what, words) {
			from, to := r.at(x.Span)
			out = append(out, sizeName{what, from, to})
		}
	}
	for kind, words := range r.words.Flat {
		if what, ok := strings.CutPrefix(kind, "size "); ok {
			find(what, words)
		}
	}
	if w, ok := say.In(r.machine.Language); ok {
		for _, m := range r.subject.Opinion.Measured {
			find(m.What, anyOf([]string{w.Value(say.Noun{Set: "size", ID: m.What}, "")}))
		}
	}
	slices.SortFunc(out, func(a, b sizeName) int {
		return cmp.Or(a.from-b.from, b.to-a.to, cmp.Compare(a.what, b.what))
	})
	all := slices.Clone(out)
	return slices.DeleteFunc(out, func(n sizeName) bool {
		return slices.ContainsFunc(all, func(o sizeName) bool {
			return o.from <= n.from && o.to >= n.to && o.to-o.from > n.to-n.from
		})
	})
}

// claims are the places of a sentence that hold words of a kind.
func (c *checker) claims(l line, s Sentence, name string) []notes.Said {
	if words := c.words.Flat[name]; words != nil {
		return c.claimsBy(l, s, name, words)
	}
	return nil
}

func (c *checker) claimsBy(l line, s Sentence, name string, words *regexp.Regexp) (out []notes.Said) {
	for at := 0; at < len(s.Text); {
		m := words.FindStringSubmatchIndex(s.Text[at:])
		if m == nil {
			break
		}
		first, last := at+m[2], at+m[3]
		from := s.From + len([]rune(s.Text[:first]))
		text := s.Text[first:last]
		out = append(out, notes.Said{About: name, Denied: c.denied(s, from),
			Span: notes.Span{Text: text, From: from - l.from, To: from - l.from + len([]rune(text))}})
		at = last
	}
	return out
}

// near is how many words before a claim deny it.
const near = 3

// denied reports whether a sentence denies what begins at a place of the text.
func (c *checker) denied(s Sentence, from int) bool {
	before := strings.Fields(string([]rune(s.Text)[:from-s.From]))
	before = before[max(0, len(before)-near):]
	return c.says("denied", strings.Join(before, " "))
}

// says reports whether a text holds words of a kind.
func (c *checker) says(name, text string) bool {
	words := c.words.Flat[name]
	return words != nil && words.MatchString(text)
}

// partsIn lists the parts that a sentence names.
func (c *checker) partsIn(text string) (out []evidence.Slot) {
	for _, slot := range evidence.Slots() {
		if c.says("part "+string(slot), text) {
			out = append(out, slot)
		}
	}
	return out
}

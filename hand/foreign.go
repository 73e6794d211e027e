package hand

import (
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/notes"
)

// The gravest claims are read in every language that buyers are told in: that a watch was never polished, that it or a
// part is original, that it runs well. Negations and words of doubt are those right before a claim in its sentence;
// what turns a sentence round in another way is not understood, and then marks too much rather than too little.

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
	if c.says("uncertain", s.Text) {
		return // it says itself that this is not known
	}
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

// claims are the places of a sentence that hold words of a kind.
func (c *checker) claims(l line, s Sentence, name string) (out []notes.Said) {
	words := c.words.Flat[name]
	if words == nil {
		return nil
	}
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

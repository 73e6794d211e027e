package hand

import (
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/notes"
	"midcase/say"
	"midcase/telling"
)

// Check holds an edited text against the evidence. told is what the program tells of the
// subject in the same form, language and length. The same input gives the same report.
func Check(s telling.Subject, told telling.Told, text string, secrets ...Secret) Report {
	c := newChecker(s, told, text)
	c.secrets(secrets)
	for _, l := range c.lines() {
		c.line(l)
	}
	out := Report{Marks: c.settled(), LeftOut: c.machine.leftOut(text, c.credits)}
	if out.LeftOut == nil {
		out.LeftOut = []Dropped{}
	}
	return out
}

// checker is the work on one text.
type checker struct {
	subject  telling.Subject
	machine  machine
	text     []rune
	words    vocabulary
	marks    []Mark
	supports []support
	credit   map[disclosed]int // where the text makes a disclosure in other words
	corpus   map[string]bool   // what is on record of the watch, word by word
}

// support is a place in the text that something on record bears out.
type support struct {
	from, to int
	evidence []evidence.ID
	weak     bool // a name, not a finding or a figure: it makes no praise good
}

// disclosed names a disclosure.
type disclosed struct {
	finding evidence.ID
	slot    evidence.Slot
}

func newChecker(s telling.Subject, told telling.Told, text string) *checker {
	w, ok := say.In(told.Language)
	if !ok {
		w, _ = say.In("en")
	}
	return &checker{subject: s, text: []rune(text), words: vocabularyOf(told.Language),
		credit: map[disclosed]int{}, corpus: corpusOf(s, told),
		machine: machineOf(told, func(slot evidence.Slot) string {
			return w.Value(say.Noun{Set: "slot", ID: string(slot)}, "")
		})}
}

func (c *checker) credits(d telling.Disclosed) bool {
	_, ok := c.credit[disclosed{d.Finding, d.Slot}]
	return ok
}

// line is a line of the text with the sentences of the dealer's own in it.
type line struct {
	from int
	text string
	own  []Sentence
}

// lines cuts the text into lines that hold something of the dealer's own.
func (c *checker) lines() []line {
	var out []line
	all := Sentences(string(c.text))
	from := 0
	for _, text := range strings.Split(string(c.text), "\n") {
		n := len([]rune(text))
		l := line{from: from, text: text}
		for _, s := range all {
			if s.From >= from && s.To <= from+n && !c.machine.is[same(s.Text)] {
				l.own = append(l.own, s)
			}
		}
		if len(l.own) > 0 {
			out = append(out, l)
		}
		from += n + 1
	}
	return out
}

// holds is the sentence of the dealer's own in which a place of the line stands.
func (l line) holds(from, to int) (Sentence, bool) {
	for _, s := range l.own {
		if l.from+from >= s.From && l.from+to <= s.To {
			return s, true
		}
	}
	return Sentence{}, false
}

// line checks the dealer's own sentences of a line.
func (c *checker) line(l line) {
	w := c.subject.Opinion.Watch
	if c.machine.Language == "en" {
		reading, said := notes.ReadSaid(l.text, notes.Options{Book: c.subject.Book, Maker: w.Maker,
			Reference: w.Reference}, c.words.About)
		r := &reader{checker: c, line: l, said: said}
		for _, it := range reading.Items {
			if s, ok := l.holds(it.From, it.To); ok {
				r.item(s, it)
			}
		}
		for _, x := range said {
			if s, ok := l.holds(x.From, x.To); ok {
				r.word(s, x)
			}
		}
		r.praise()
	} else {
		c.plainWords(l)
	}
	for _, s := range l.own {
		c.figures(s)
		c.superlatives(s)
		if c.machine.Language == "en" {
			c.unread(s)
		}
	}
}

// mark notes a place of the text that does not hold.
func (c *checker) mark(from, to int, kind Kind, why say.Statement, on ...evidence.ID) {
	c.marks = append(c.marks, Mark{From: from, To: to, Text: string(c.text[from:to]), Kind: kind, Why: why,
		Evidence: on})
}

// bear notes a place of the text that something on record bears out.
func (c *checker) bear(from, to int, on ...evidence.ID) {
	c.supports = append(c.supports, support{from: from, to: to, evidence: on})
}

// name notes a place that names something rightly.
func (c *checker) name(from, to int) {
	c.supports = append(c.supports, support{from: from, to: to, weak: true})
}

// borne reports whether a finding or a figure within a place is borne out.
func (c *checker) borne(from, to int) bool {
	return slices.ContainsFunc(c.supports, func(s support) bool { return !s.weak && s.from < to && s.to > from })
}

// named reports whether anything within a place is borne out, be it a name.
func (c *checker) named(from, to int) bool {
	return slices.ContainsFunc(c.supports, func(s support) bool { return s.from < to && s.to > from })
}

// marked reports whether anything within a place is marked.
func (c *checker) marked(from, to int) bool {
	return slices.ContainsFunc(c.marks, func(m Mark) bool { return m.From < to && m.To > from })
}

// settled are the marks in the order of the text. Of several on one place the gravest
// stays; a place within a graver one of the same kind is no mark of its own.
func (c *checker) settled() []Mark {
	rank := func(k Kind) int { return slices.Index(Kinds(), k) }
	slices.SortStableFunc(c.marks, func(a, b Mark) int {
		if a.From != b.From {
			return a.From - b.From
		}
		if a.To != b.To {
			return b.To - a.To
		}
		return rank(a.Kind) - rank(b.Kind)
	})
	out := []Mark{}
	for _, m := range c.marks {
		if !slices.ContainsFunc(c.marks, func(o Mark) bool {
			wider := o.From <= m.From && o.To >= m.To
			return wider && rank(o.Kind) < rank(m.Kind) && o.Kind != Private
		}) && !slices.ContainsFunc(out, func(o Mark) bool {
			return o.From <= m.From && o.To >= m.To && o.Kind == m.Kind
		}) {
			out = append(out, m)
		}
	}
	return out
}

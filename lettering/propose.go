package lettering

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/gate"
	"midcase/refbook"
	"midcase/say"
)

// Word is a run of characters as read.
type Word struct {
	Text string  `json:"text"`
	Sure float64 `json:"sure"` // chance, 0–1, that it was read right, as the reader of print states it
	Box  Box     `json:"box"`  // in the picture
}

// Box is where characters lie, in px of the picture from its top left: the middle and the half diagonal.
type Box struct {
	Middle [2]float64 `json:"middle"`
	Radius float64    `json:"radius_px"`
}

// Proposal is a mark that may be recorded.
type Proposal struct {
	Mark evidence.Mark   `json:"data"`
	Box  Box             `json:"box"`
	Sure float64         `json:"sure"`
	Says []say.Statement `json:"says"` // what file and book say to it
	Odd  bool            `json:"odd"`  // something of it speaks against the reading or the watch
}

// leastSure is how sure a word must be to be proposed; letters that mean nothing known must be surer.
const (
	leastSure      = 0.5
	leastSureOther = 0.8
	fewestLetters  = 3
	mostWords      = 3 // that one mark was torn into
)

// Propose makes proposals of the lines read in a picture of a part (its slot, empty where it is not known), the marks
// that date a watch first. One mark read several times is proposed once.
func Propose(lines [][]Word, slot evidence.Slot, k gate.Known) []Proposal {
	var out []Proposal
	for _, line := range lines {
		taken := make([]bool, len(line))
		for n := mostWords; n >= 1; n-- {
			for i := 0; i+n <= len(line); i++ {
				if slices.Contains(taken[i:i+n], true) {
					continue
				}
				m, ok := known(line[i:i+n], slot, k)
				if !ok {
					continue
				}
				for j := i; j < i+n; j++ {
					taken[j] = true
				}
				out = append(out, held(m, line[i:i+n], k))
			}
		}
		for i := 0; i < len(line); i++ {
			n := 0
			for i+n < len(line) && !taken[i+n] && line[i+n].clear() {
				n++
			}
			if n > 0 {
				m := evidence.Mark{What: evidence.MarkOther, Text: joined(line[i : i+n]), Slot: slot}
				out = append(out, held(m, line[i:i+n], k))
				i += n
			}
		}
	}
	return once(out)
}

// clear reports whether a word that means nothing known is worth a proposal.
func (w Word) clear() bool { return w.Sure >= leastSureOther && letters(w.Text) >= fewestLetters }

// known tells what words together are, where they are something that the book or the trade knows.
func known(words []Word, slot evidence.Slot, k gate.Known) (evidence.Mark, bool) {
	for _, w := range words {
		if w.Sure < leastSure {
			return evidence.Mark{}, false
		}
	}
	text := joined(words)
	m := evidence.Mark{Text: text, Slot: slot}
	switch {
	case k.Maker == nil:
	case named(text, references(k.Maker), &m.Text):
		m.What = evidence.MarkReferenceNumber
		return m, true
	case named(text, calibres(k.Maker), &m.Text):
		m.What, m.Slot = evidence.MarkCalibre, evidence.Movement
		return m, true
	case strings.EqualFold(folded(text), folded(k.Maker.Name)):
		m.What = evidence.MarkMaker
		return m, true
	}
	if hallmark(text) {
		m.What = evidence.MarkHallmark
		return m, true
	}
	if stamp(text) {
		m.What = evidence.MarkDateStamp
		return m, true
	}
	if digits, ok := figures(words); ok {
		m.Text, m.What = digits, numberOf(digits, slot, k)
		return m, m.What != ""
	}
	return m, false
}

// held is a mark with what file and book say to it.
func held(m evidence.Mark, words []Word, k gate.Known) Proposal {
	p := Proposal{Mark: m, Box: around(words), Sure: 1, Says: []say.Statement{}}
	for _, w := range words {
		p.Sure = min(p.Sure, w.Sure)
	}
	p.Sure = math.Round(100*p.Sure) / 100
	p.Mark.Confidence = min(p.Sure, mostConfident)
	on := onFile(m, k.File)
	p.Says = append(p.Says, on.says...)
	p.Odd = on.differs
	if on.differs || on.same {
		k.File.Items = nil // said already
	}
	doubts := gate.Doubts(&p.Mark, k)
	for _, d := range doubts {
		p.Says, p.Odd = append(p.Says, d.Says), true
	}
	if at, _, ok := k.Numbered(&m); ok && len(doubts) == 0 {
		p.Says = append(p.Says, say.That("lettering.numbered", say.Name("number", m.Text), say.Month("month", at)))
	}
	return p
}

// mostConfident is the most that a reading by a program may count before a person has looked.
const mostConfident = 0.95

// once keeps the surest of readings of one mark, those that date a watch first.
func once(all []Proposal) []Proposal {
	slices.SortStableFunc(all, func(a, b Proposal) int {
		return cmp.Or(cmp.Compare(rank(a.Mark.What), rank(b.Mark.What)), cmp.Compare(b.Sure, a.Sure))
	})
	var out []Proposal
	for _, p := range all {
		if !slices.ContainsFunc(out, func(o Proposal) bool { return o.again(p) }) {
			out = append(out, p)
		}
	}
	return out
}

// again reports whether a later proposal is of the same characters: the same mark, or unknown ones at the same place.
func (p Proposal) again(o Proposal) bool {
	if folded(p.Mark.Text) == folded(o.Mark.Text) && (p.Mark.What == o.Mark.What || o.Mark.What == evidence.MarkOther) {
		return true
	}
	dx, dy := p.Box.Middle[0]-o.Box.Middle[0], p.Box.Middle[1]-o.Box.Middle[1]
	return o.Mark.What == evidence.MarkOther && math.Hypot(dx, dy) < max(p.Box.Radius, o.Box.Radius)
}

// rank orders marks by what they tell.
func rank(what string) int { return slices.Index(evidence.MarkKinds(), what) }

func references(m *refbook.Maker) (out []string) {
	for _, r := range m.References {
		out = append(out, r.ID)
	}
	return out
}

func calibres(m *refbook.Maker) (out []string) {
	for _, c := range m.Calibres {
		out = append(out, c.ID)
	}
	return out
}

// named reports whether a text is one of the names, and puts the name as the book writes it.
func named(text string, names []string, as *string) bool {
	for _, n := range names {
		if f := folded(text); f != "" && f == folded(n) {
			*as = n
			return true
		}
	}
	return false
}

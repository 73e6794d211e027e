package hand

import (
	"slices"
	"strings"
	"unicode"

	"midcase/evidence"
	"midcase/telling"
)

// told is the machine's text taken apart: its sentences with what they disclose.
type machine struct {
	telling.Told
	is    map[string]bool  // sentences, pieces of them and headings, in one form
	spoke []telling.Spoken // in the order of the text
	slot  func(evidence.Slot) string
}

func machineOf(t telling.Told, slot func(evidence.Slot) string) machine {
	m := machine{Told: t, is: map[string]bool{same(t.Title): true}, slot: slot}
	for _, s := range Sentences(t.Text) {
		m.is[same(s.Text)] = true
	}
	for _, b := range t.Blocks {
		m.is[same(b.Heading)] = true
		for _, s := range b.Sentences {
			m.spoke = append(m.spoke, s)
			for _, piece := range Sentences(s.Text) {
				m.is[same(piece.Text)] = true
			}
		}
	}
	return m
}

// keeps reports whether the words of a disclosure stand in the text, of the part that
// they are said of.
func (m machine) keeps(text string, d telling.Disclosed) bool {
	part := strings.ToLower(m.slot(d.Slot))
	of := m.sentenceOf(d)
	needs := d.Slot != "" && !strings.Contains(strings.ToLower(d.Text), part) &&
		strings.Contains(strings.ToLower(of), part)
	for from := 0; ; {
		i := strings.Index(text[from:], d.Text)
		if i < 0 {
			return false
		}
		at := from + i
		if !needs || strings.Contains(strings.ToLower(text[begins(text, at):at]), part) {
			return true
		}
		from = at + len(d.Text)
	}
}

// begins is where the sentence begins in which a byte of the text stands.
func begins(text string, at int) int {
	from := strings.LastIndexByte(text[:at], '\n') + 1
	for i := from; i+2 < at; i++ {
		if text[i] == '.' && text[i+1] == ' ' {
			next := []rune(text[i+2 : at])
			if len(next) > 0 && unicode.IsUpper(next[0]) {
				from = i + 2
			}
		}
	}
	return from
}

// sentenceOf is the machine's sentence that discloses something; for one without a place
// in the text, its words.
func (m machine) sentenceOf(d telling.Disclosed) string {
	for _, s := range m.spoke {
		if strings.Contains(s.Text, d.Text) && slices.ContainsFunc(s.Discloses, func(x telling.Disclosure) bool {
			return x.Finding == d.Finding && x.Slot == d.Slot
		}) {
			return s.Text
		}
	}
	for _, s := range m.spoke {
		if strings.Contains(s.Text, d.Text) {
			return s.Text
		}
	}
	return d.Text
}

// leftOut lists the disclosures that a text leaves out. credited are those that it makes
// in other words.
func (m machine) leftOut(text string, credited func(telling.Disclosed) bool) []Dropped {
	flat := strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(text)
	var out []Dropped
	for _, d := range m.Disclosed {
		if m.keeps(flat, d) || credited(d) {
			continue
		}
		sentence := m.sentenceOf(d)
		at, insert := m.back(text, sentence)
		out = append(out, Dropped{d.Finding, d.Slot, d.Text, sentence, at, insert})
	}
	return out
}

// back is where a sentence of the machine's goes in a text, and what to put there: behind
// the last sentence before it that the text still has, under its heading, else at the end.
func (m machine) back(text, sentence string) (at int, insert string) {
	own := Sentences(text)
	find := func(want string) (Sentence, bool) {
		if i := strings.Index(text, want); i >= 0 && want != "" {
			from := len([]rune(text[:i]))
			return Sentence{Text: want, From: from, To: from + len([]rune(want))}, true
		}
		pieces := Sentences(want)
		if len(pieces) == 0 {
			return Sentence{}, false
		}
		for _, s := range own {
			if same(s.Text) == same(pieces[len(pieces)-1].Text) {
				return s, true
			}
		}
		return Sentence{}, false
	}
	for n, b := range m.Blocks {
		i := slices.IndexFunc(b.Sentences, func(s telling.Spoken) bool { return s.Text == sentence })
		if i < 0 {
			continue
		}
		between := " "
		if b.Apart {
			between = "\n"
		}
		for j := i - 1; j >= 0; j-- {
			if s, ok := find(b.Sentences[j].Text); ok {
				return s.To, between + sentence
			}
		}
		if h, ok := find(b.Heading); ok {
			return h.To, "\n" + sentence
		}
		for j := i + 1; j < len(b.Sentences); j++ {
			if s, ok := find(b.Sentences[j].Text); ok {
				return s.From, sentence + between
			}
		}
		if b.Heading != "" {
			sentence = b.Heading + "\n" + sentence
		}
		for n--; n >= 0; n-- {
			for j := len(m.Blocks[n].Sentences) - 1; j >= 0; j-- {
				if s, ok := find(m.Blocks[n].Sentences[j].Text); ok {
					return s.To, "\n\n" + sentence
				}
			}
		}
		break
	}
	end := len([]rune(strings.TrimRightFunc(text, unicode.IsSpace)))
	if end == 0 {
		return 0, sentence
	}
	return end, "\n\n" + sentence
}

// PutBack is the text with one disclosure put back.
func PutBack(text string, d Dropped) string {
	r := []rune(text)
	at := min(max(d.At, 0), len(r))
	return string(r[:at]) + d.Insert + string(r[at:])
}

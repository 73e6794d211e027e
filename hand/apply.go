package hand

import (
	"fmt"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/say"
	"midcase/telling"
)

// Own is the kind of a sentence that a dealer wrote himself.
const Own say.Kind = "own"

// LeftOut reports that an edited text leaves out what has to be disclosed. It wraps a
// *telling.LeftOutError.
type LeftOut struct {
	Sentence string // the first one to be put back
	Points   int    // how many disclosures are left out
	cause    error
}

// Error implements error.
func (e *LeftOut) Error() string {
	text := fmt.Sprintf("the edited text leaves out what has to be disclosed: “%s”", e.Sentence)
	if e.Points > 1 {
		text += fmt.Sprintf(" (%d points in all)", e.Points)
	}
	return text + ". Put it back"
}

// Unwrap is the error that every text gives which leaves a disclosure out.
func (e *LeftOut) Unwrap() error { return e.cause }

// Apply is what is told of a subject in the words of an edited text, with the grounds of
// the sentences that the program wrote and what each sentence discloses. A text that leaves
// a disclosure out has it in LeftOut, and the error is a *telling.LeftOutError.
func Apply(s telling.Subject, told telling.Told, text string) (telling.Told, error) {
	text = Plain(text)
	c := newChecker(s, told, text)
	for _, l := range c.lines() {
		c.line(l)
	}
	out := told
	out.Text, out.Elsewhere = text, ""
	if told.Elsewhere != "" && strings.Contains(text, told.Elsewhere) {
		out.Elsewhere = told.Elsewhere
	}
	out.Blocks = c.blocks()
	out.Facts, out.Disclosed, out.LeftOut = []telling.Fact{}, []telling.Disclosed{}, []telling.Disclosed{}
	for _, b := range out.Blocks {
		for _, x := range b.Sentences {
			out.Facts = append(out.Facts, x.Fact)
		}
	}
	left := c.machine.leftOut(text, c.credits)
	var ids []evidence.ID
	for _, d := range told.Disclosed {
		switch {
		case slices.ContainsFunc(left, func(x Dropped) bool { return x.Finding == d.Finding && x.Slot == d.Slot }):
			out.LeftOut, ids = append(out.LeftOut, d), append(ids, d.Finding)
		case strings.Contains(text, d.Text):
			out.Disclosed = append(out.Disclosed, d)
		default:
			d.Text = c.creditedBy(d)
			out.Disclosed = append(out.Disclosed, d)
		}
	}
	if len(ids) > 0 {
		return out, &LeftOut{Sentence: left[0].Sentence, Points: len(left), cause: &telling.LeftOutError{Findings: ids}}
	}
	return out, nil
}

// creditedBy is the sentence of the dealer's own that makes a disclosure.
func (c *checker) creditedBy(d telling.Disclosed) string {
	at := c.credit[disclosed{d.Finding, d.Slot}]
	for _, s := range Sentences(string(c.text)) {
		if at >= s.From && at < s.To {
			return s.Text
		}
	}
	return d.Text
}

// blocks takes the text apart into paragraphs with their headings.
func (c *checker) blocks() []telling.Block {
	var out []telling.Block
	headings := map[string]bool{}
	for _, b := range c.machine.Blocks {
		headings[b.Heading] = b.Heading != ""
	}
	at := 0
	for _, paragraph := range strings.Split(string(c.text), "\n\n") {
		lines := strings.Split(paragraph, "\n")
		b := telling.Block{}
		from := at
		if headings[lines[0]] || len(lines) > 1 && !strings.ContainsAny(lines[0][max(0, len(lines[0])-1):], ".!?:…") {
			b.Heading = lines[0]
			from += len([]rune(lines[0])) + 1
			lines = lines[1:]
		}
		b.Apart = len(lines) > 1
		for _, l := range lines {
			b.Sentences = append(b.Sentences, c.spoken(l, from)...)
			from += len([]rune(l)) + 1
		}
		if len(b.Sentences) > 0 || b.Heading != "" {
			out = append(out, b)
		}
		at += len([]rune(paragraph)) + 2
	}
	return out
}

// spoken takes a line apart: what the program wrote with its grounds, and sentences of
// the dealer's own.
func (c *checker) spoken(text string, from int) []telling.Spoken {
	var out []telling.Spoken
	for {
		trimmed := strings.TrimLeft(text, " ")
		from += len([]rune(text)) - len([]rune(trimmed))
		text = trimmed
		if text == "" {
			return out
		}
		var best *telling.Spoken
		for i, s := range c.machine.spoke {
			rest, ok := strings.CutPrefix(text, s.Text)
			if ok && s.Text != "" && (rest == "" || rest[0] == ' ') && (best == nil || len(s.Text) > len(best.Text)) {
				best = &c.machine.spoke[i]
			}
		}
		if best != nil {
			out = append(out, *best)
			from += len([]rune(best.Text))
			text = text[len(best.Text):]
			continue
		}
		own := Sentences(text)[0]
		out = append(out, c.ownSentence(own.Text, from+own.From, from+own.To))
		from += own.To
		text = string([]rune(text)[own.To:])
	}
}

// ownSentence is a sentence of the dealer's own with what it discloses.
func (c *checker) ownSentence(text string, from, to int) telling.Spoken {
	out := telling.Spoken{Fact: telling.Fact{Kind: Own, Text: text, Evidence: []evidence.ID{}}}
	for _, s := range c.supports {
		if s.from < to && s.to > from {
			for _, id := range s.evidence {
				if !slices.Contains(out.Evidence, id) {
					out.Evidence = append(out.Evidence, id)
				}
			}
		}
	}
	for _, m := range c.machine.spoke {
		for _, d := range m.Discloses {
			at, credited := c.credit[disclosed{d.Finding, d.Slot}]
			words := false
			for _, x := range c.machine.Disclosed {
				words = words || x.Finding == d.Finding && x.Slot == d.Slot && strings.Contains(text, x.Text)
			}
			if credited && at >= from && at < to || words {
				out.Discloses = append(out.Discloses, d)
				if !slices.Contains(out.Evidence, d.Finding) && !strings.HasPrefix(string(d.Finding), "part/") {
					out.Evidence = append(out.Evidence, d.Finding)
				}
			}
		}
		if out.Section == "" && len(out.Discloses) > 0 {
			out.Section = m.Section
		}
	}
	return out
}

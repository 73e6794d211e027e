package hand

import (
	"regexp"
	"strings"
	"unicode"
)

// Sentence is one sentence of a text. From and To are runes of the text; Before is what
// parts it from the sentence before.
type Sentence struct {
	Text     string
	From, To int
	Before   string
}

// shortened are words that end with a full stop inside a sentence.
var shortened = regexp.MustCompile(`(?i)(?:^|[\s(])(?:ref|no|nr|cal|approx|ca|c|ex|etc|vs|mr|mrs|ms|dr|st|mm|z|b|u|a|d|h|bzw|usw|env|n|p|es|sig|num|rif|réf)\.$`)

// Sentences cuts a text: at the ends of lines, and after a full stop, question or
// exclamation mark that a capital letter, a figure or a quotation mark follows.
func Sentences(text string) []Sentence {
	runes := []rune(text)
	var out []Sentence
	end := 0 // of the sentence before
	put := func(from, to int) {
		for from < to && unicode.IsSpace(runes[from]) {
			from++
		}
		for to > from && unicode.IsSpace(runes[to-1]) {
			to--
		}
		if from < to {
			out = append(out, Sentence{string(runes[from:to]), from, to, string(runes[end:from])})
			end = to
		}
	}
	from := 0
	for i := 0; i < len(runes); i++ {
		switch {
		case runes[i] == '\n':
			put(from, i)
			from = i + 1
		case strings.ContainsRune(".!?…", runes[i]) && endsHere(runes, from, i):
			put(from, i+1)
			from = i + 1
		}
	}
	put(from, len(runes))
	return out
}

// endsHere reports whether the sentence that begins at from ends with the mark at i.
func endsHere(runes []rune, from, i int) bool {
	j := i + 1
	for j < len(runes) && strings.ContainsRune("\"”»)’", runes[j]) {
		j++
	}
	if j >= len(runes) || runes[j] == '\n' {
		return true
	}
	if !unicode.IsSpace(runes[j]) || j > i+1 && runes[i] == '.' && runes[i+1] == '’' {
		return false
	}
	for j < len(runes) && unicode.IsSpace(runes[j]) && runes[j] != '\n' {
		j++
	}
	if j >= len(runes) || runes[j] == '\n' {
		return true
	}
	next := unicode.IsUpper(runes[j]) || unicode.IsDigit(runes[j]) || strings.ContainsRune("\"“«(„'", runes[j])
	return next && !(runes[i] == '.' && shortened.MatchString(string(runes[from:i+1])))
}

// Join writes sentences as one text again.
func Join(all []Sentence) string {
	var b strings.Builder
	for i, s := range all {
		if i > 0 {
			b.WriteString(parting(s.Before))
		}
		b.WriteString(s.Text)
	}
	return b.String()
}

// parting is the space between two sentences: a paragraph, a line or a blank.
func parting(before string) string {
	switch strings.Count(before, "\n") {
	case 0:
		return " "
	case 1:
		return "\n"
	}
	return "\n\n"
}

// same is a sentence in one form, for holding two against one another.
func same(text string) string { return strings.Join(strings.Fields(text), " ") }

package notes

import (
	"strings"
	"unicode"
)

// kind is what sort of token a token is.
type kind int

const (
	word   kind = iota
	figure      // digits as typed, with their separators
	mark        // one sign of punctuation
	line        // the end of a line
)

// token is one word, figure or sign. From and To are offsets in runes.
type token struct {
	kind     kind
	text     string // as typed
	norm     string // in lower case, without accents of apostrophes
	code     string // its letters and digits alone, as a code is compared
	from, to int
	joined   bool // no space before it
	short    bool // shortened by the writer in another language, so that a full stop behind it ends nothing
}

// tokens cuts a text. Letters and digits that touch are cut apart ("2x", "Tn8d"), figures
// keep the separators inside them ("37,4", "26'418").
func tokens(text []rune) []token {
	var out []token
	for i := 0; i < len(text); {
		r := text[i]
		from := i
		k := word
		switch {
		case r == '\n':
			k, i = line, i+1
		case unicode.IsSpace(r):
			i++
			continue
		case unicode.IsDigit(r):
			k, i = figure, endOfFigure(text, i)
		case unicode.IsLetter(r):
			for i < len(text) && (unicode.IsLetter(text[i]) || apostropheInside(text, i)) {
				i++
			}
		default:
			k, i = mark, i+1
		}
		if k == mark && hyphenInside(text, from) {
			continue
		}
		typed := string(text[from:i])
		out = append(out, token{kind: k, text: typed, norm: folded(typed), code: plainCode(typed), from: from, to: i,
			joined: from > 0 && !unicode.IsSpace(text[from-1])})
	}
	return out
}

// hyphenInside reports whether a hyphen only joins two words: tide-mark is tide mark.
func hyphenInside(text []rune, i int) bool {
	letter := func(j int) bool { return j >= 0 && j < len(text) && unicode.IsLetter(text[j]) }
	return text[i] == '-' && letter(i-2) && letter(i-1) && letter(i+1) && letter(i+2)
}

func apostropheInside(text []rune, i int) bool {
	return (text[i] == '\'' || text[i] == '’') && i > 0 && i+1 < len(text) &&
		unicode.IsLetter(text[i-1]) && unicode.IsLetter(text[i+1])
}

// endOfFigure is where the figure that begins at i ends. A separator belongs to it where
// a digit follows at once.
func endOfFigure(text []rune, i int) int {
	for i < len(text) {
		switch {
		case unicode.IsDigit(text[i]):
		case strings.ContainsRune(".,'’", text[i]) && i+1 < len(text) && unicode.IsDigit(text[i+1]):
		default:
			return i
		}
		i++
	}
	return i
}

var apostrophes = strings.NewReplacer("’", "", "'", "")

func folded(s string) string { return apostrophes.Replace(strings.ToLower(s)) }

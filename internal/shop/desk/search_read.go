package desk

import (
	"slices"
	"strings"
	"unicode"

	"midcase/internal/shop"
	"midcase/say"
)

// searching reads the words of one search.
type searching struct {
	*lexicon
	year  int  // the present one
	names bool // whoever asks may see clients
	typed []string
	keys  []string // of typed, slips mended
}

// phrase reads the beginning of the words left, and how many words it took; 0 where it is none.
type phrase func(s *searching, k []string) (int, SearchTerm)

// phrases in the order in which they are tried: what is said of a part goes before what is said of the watch.
func phrases() []phrase {
	return []phrase{(*searching).without, (*searching).comesWith, (*searching).polish, (*searching).partVerdict,
		(*searching).partLook, (*searching).termOfPart, (*searching).years, (*searching).figure,
		(*searching).metalNamed, (*searching).stateNamed, (*searching).maker, (*searching).calibre,
		(*searching).reference, (*searching).fileNumber, (*searching).client, (*searching).anyWord}
}

// read takes a text apart into what it asks for.
func (l *lexicon) read(text string, year int, names bool) []SearchTerm {
	s := &searching{lexicon: l, year: year, names: names, typed: strings.Fields(text)}
	for _, w := range s.typed {
		s.keys = append(s.keys, s.mended(strings.Trim(shop.SearchKey(w), ".,;:!?()“”\"")))
	}
	var out []SearchTerm
	for i := 0; i < len(s.keys); {
		n, t, asks := s.next(s.keys[i:])
		if asks {
			t.Words = strings.Join(s.typed[i:i+n], " ")
			out = append(out, s.sayMended(t, i, n))
		}
		i += n
	}
	return out
}

// next reads the beginning of the words left; asks is false for a word that asks for nothing.
func (s *searching) next(k []string) (n int, t SearchTerm, asks bool) {
	if k[0] == "" || fillsSearch[k[0]] {
		for _, p := range []phrase{(*searching).stateNamed, (*searching).comesWith} { // “on memo”, “watch alone”
			if n, t := p(s, k); n > 1 {
				return n, t, true
			}
		}
		return 1, t, false
	}
	for _, p := range phrases() {
		if n, t := p(s, k); n > 0 {
			return n, t, true
		}
	}
	return 1, t, false
}

// fillsSearch are words that ask for nothing.
var fillsSearch = map[string]bool{"a": true, "an": true, "the": true, "and": true, "with": true, "in": true,
	"of": true, "from": true, "for": true, "to": true, "made": true, "watch": true, "watches": true, "its": true,
	"ref": true, "reference": true, "serial": true, "has": true, "is": true, "by": true, "on": true, "at": true}

// mended is a key as it was meant where it is a slip away from a word that is known.
func (s *searching) mended(key string) string {
	if slipsAllowed(key) == 0 || fillsSearch[key] || s.isFigure(key) || s.knows(key, s.names) {
		return key
	}
	if joined := letters(key); len(s.references[joined]) > 0 || s.calibres[joined] != "" {
		return key
	}
	if near, ok := s.nearest(key, s.names); ok {
		return near
	}
	return key
}

// isFigure reports whether a word is a year, a decade or an amount, of which no slip is mended.
func (s *searching) isFigure(key string) bool {
	_, _, isYear := s.span(key)
	_, isAmount := searchAmount(key)
	return isYear || isAmount && len(figures(key)) < figuresOfSerial
}

// sayMended adds that a word was read as another one.
func (s *searching) sayMended(t SearchTerm, at, n int) SearchTerm {
	for i := at; i < at+n; i++ {
		if was := strings.Trim(shop.SearchKey(s.typed[i]), ".,;:!?()“”\""); was != s.keys[i] {
			t.As = say.That("search.mended", say.Name("typed", s.typed[i]), say.Name("read", s.keys[i]),
				say.Saying("as", t.As))
		}
	}
	return t
}

// longest tries the first words of k joined, the most first; n is how many were taken.
func longest[T any](k []string, most int, find func(joined string) (T, bool)) (v T, n int) {
	for n := min(most, len(k)); n > 0; n-- {
		if v, ok := find(strings.Join(k[:n], " ")); ok {
			return v, n
		}
	}
	return v, 0
}

func in[T any](m map[string]T) func(string) (T, bool) {
	return func(key string) (T, bool) { v, ok := m[key]; return v, ok }
}

// maker takes the name of a maker, or another one that the book has for it.
func (s *searching) maker(k []string) (int, SearchTerm) {
	name, n := longest(k, 4, in(s.makers))
	return n, SearchTerm{As: say.That("search.maker", say.Name("maker", name)), record: true,
		holds: func(c *sought) bool { return c.watch.Maker == name }}
}

func (s *searching) calibre(k []string) (int, SearchTerm) {
	skip := 0
	if k[0] == "calibre" || k[0] == "caliber" || k[0] == "cal" {
		skip = 1
	}
	id, n := longest(k[skip:], 2, func(joined string) (string, bool) { return in(s.calibres)(letters(joined)) })
	if n == 0 {
		return 0, SearchTerm{}
	}
	return skip + n, SearchTerm{As: say.That("search.calibre", say.Name("calibre", id)),
		holds: func(c *sought) bool { return c.facts.Calibre == id }}
}

// reference takes letters and figures with or without what stands between them. Without a figure it is a word.
func (s *searching) reference(k []string) (int, SearchTerm) {
	ids, n := longest(k, 3, func(joined string) ([]string, bool) {
		ids, ok := s.references[letters(joined)]
		return ids, ok && strings.ContainsFunc(joined, unicode.IsDigit)
	})
	if n == 0 {
		return 0, SearchTerm{}
	}
	return n, SearchTerm{As: say.That("search.reference", say.Name("reference", ids[0])), record: true,
		holds: func(c *sought) bool { return slices.Contains(ids, c.watch.Reference) }}
}

// client takes words that are in a client's name and in no record.
func (s *searching) client(k []string) (int, SearchTerm) {
	if !s.names || !s.isName(k[0]) || s.words[k[0]] {
		return 0, SearchTerm{}
	}
	n := 1
	for n < len(k) && s.isName(k[n]) && !s.words[k[n]] {
		n++
	}
	words := slices.Clone(k[:n])
	return n, SearchTerm{As: say.That("search.client", say.Name("name", strings.Join(words, " "))), record: true,
		holds: func(c *sought) bool {
			return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(c.names, w) })
		}}
}

func (s *searching) isName(word string) bool { return s.lexicon.names[word] }

// anyWord takes one word as it stands, wherever it is found.
func (s *searching) anyWord(k []string) (int, SearchTerm) {
	word := k[0]
	t := SearchTerm{unknown: !s.knows(word, s.names), As: say.That("search.word", say.Name("word", word)),
		holds: func(c *sought) bool {
			return strings.Contains(c.key, word) || strings.Contains(c.facts.words, word) || strings.Contains(c.names, word)
		}}
	if figures(word) == word && len(word) >= 3 {
		t.As = say.That("search.number", say.Name("number", word))
		t.record, t.holds = true, func(c *sought) bool { return strings.Contains(c.key, word) }
	}
	return 1, t
}

// fileNumber takes “#12” and “file 12”.
func (s *searching) fileNumber(k []string) (int, SearchTerm) {
	text, n := "", 0
	switch {
	case strings.HasPrefix(k[0], "#"):
		text, n = k[0][1:], 1
	case (k[0] == "file" || k[0] == "no" || k[0] == "number") && len(k) > 1:
		text, n = k[1], 2
	}
	number, ok := whole(text)
	if !ok || number <= 0 {
		return 0, SearchTerm{}
	}
	return n, SearchTerm{As: say.That("search.file", say.Name("number", text)), record: true,
		holds: func(c *sought) bool { return c.watch.Number == number }}
}

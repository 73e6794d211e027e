package hand

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"sync"
	"unicode"

	"midcase/evidence"
	"midcase/telling"
)

//go:embed words.json
var wordsJSON []byte

// vocabulary is what words mean in one language. About goes to the reader of notes;
// Courtesy and Plain are words that claim nothing.
type vocabulary struct {
	About    map[string][]string `json:"about"`
	Courtesy []string            `json:"courtesy"`
	Plain    []string            `json:"plain"`
	// Flat is what a language without a reader of notes has, by kind.
	Flat map[string]*regexp.Regexp `json:"-"`

	plain map[string]bool
}

var vocabularies = sync.OnceValue(func() map[string]vocabulary {
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(wordsJSON, &raw); err != nil {
		panic(fmt.Sprintf("hand: words.json: %v", err)) // a file of the program's own, held by a test
	}
	out := map[string]vocabulary{}
	for lang, b := range raw {
		v := vocabulary{Flat: map[string]*regexp.Regexp{}, plain: map[string]bool{}}
		if lang == "en" {
			if err := json.Unmarshal(b, &v); err != nil {
				panic(fmt.Sprintf("hand: words.json: %s: %v", lang, err))
			}
			for about, words := range v.About {
				for _, w := range words {
					if strings.Count(w, " ") == 1 {
						v.About[about] = append(v.About[about], strings.ReplaceAll(w, " ", "-"))
					}
				}
			}
			for _, w := range v.Plain {
				v.plain[stem(w)] = true
			}
			out[lang] = v
			continue
		}
		var flat map[string][]string
		if err := json.Unmarshal(b, &flat); err != nil {
			panic(fmt.Sprintf("hand: words.json: %s: %v", lang, err))
		}
		for kind, words := range flat {
			v.Flat[kind] = anyOf(words)
		}
		out[lang] = v
	}
	return out
})

func vocabularyOf(lang string) vocabulary { return vocabularies()[lang] }

// anyOf matches any of some words, the longest first; one that ends with * stands for all
// that begin so.
func anyOf(words []string) *regexp.Regexp {
	var alternatives []string
	for _, w := range words {
		open := strings.HasSuffix(w, "*")
		p := regexp.QuoteMeta(strings.TrimSuffix(w, "*"))
		p = strings.ReplaceAll(p, " ", `\s+`)
		if open {
			p += `\p{L}*`
		}
		alternatives = append(alternatives, p)
	}
	return regexp.MustCompile(`(?i)(?:^|[^\p{L}])(` + strings.Join(alternatives, "|") + `)(?:$|[^\p{L}])`)
}

// stem is a word without the endings of number and time, crudely, for holding two words
// against one another.
func stem(word string) string {
	w := strings.ToLower(word)
	for _, end := range []string{"'s", "’s", "ing", "ies", "ied", "ed", "es", "ly", "s", "e"} {
		if cut, ok := strings.CutSuffix(w, end); ok && len(cut) > 2 {
			return cut
		}
	}
	return w
}

// wordsOf lists the words of a text.
func wordsOf(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' && r != '’'
	})
}

// corpusOf gathers, word by word, what is on record of a watch: what the program tells of
// it, the versions fitted, how they look, its family and reference.
func corpusOf(s telling.Subject, told telling.Told) map[string]bool {
	out := map[string]bool{}
	add := func(texts ...string) {
		for _, t := range texts {
			for _, w := range wordsOf(t) {
				out[stem(w)] = true
			}
		}
	}
	add(told.Text, told.Title, s.Opinion.Watch.Title, s.Opinion.Watch.Name, s.Opinion.Watch.Family, s.Offer.Shop)
	add(s.Offer.Terms...)
	fitted := map[string]bool{}
	for _, it := range s.File.Items {
		switch d := it.Data.(type) {
		case *evidence.Fitted:
			fitted[string(d.Slot)+"/"+d.Variant] = true
			add(d.Description)
		case *evidence.Finding:
			add(d.Where, strings.ReplaceAll(d.Term, "_", " "))
		case *evidence.Mark:
			add(d.Where, d.Device)
			if d.What != evidence.MarkSerial && d.What != evidence.MarkMovementNumber {
				add(d.Text)
			}
		case *evidence.Trial:
			add(d.Of)
		}
	}
	if s.Book == nil {
		return out
	}
	m, ref, ok := s.Book.Reference(s.Opinion.Watch.Maker, s.Opinion.Watch.Reference)
	if !ok {
		return out
	}
	add(m.Name, m.Country, ref.Name, ref.ID)
	for _, f := range ref.Features {
		add(f)
	}
	for _, slot := range ref.Slots {
		for _, v := range slot.Variants {
			if fitted[string(slot.Slot)+"/"+v.ID] {
				add(v.Name, v.Look, v.Lume)
			}
		}
	}
	for _, id := range ref.Calibres {
		if c, ok := m.Calibre(id); ok {
			add(c.ID, c.Name, c.Winding, c.Complication)
		}
	}
	if x, ok := m.Metal(ref.Metal); ok {
		add(x.Name, x.Colour, x.Element)
	}
	if f, ok := m.Family(ref.Family); ok {
		add(f.Name, strings.ReplaceAll(f.Kind, "_", " "))
	}
	return out
}

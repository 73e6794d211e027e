package notes

import (
	"cmp"
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"sort"
	"strings"
	"sync"

	"midcase/evidence"
)

//go:embed bookwords.json
var bookWordsJSON []byte

// bookWords is the vocabulary for texts about references: bookwords.json.
type bookWords struct {
	// Slots are words that open a part. One that begins with + also says what the part is
	// ("mesh", "buckle") and stays in the name of the version.
	Slots   map[string][]string `json:"slots"`
	Metals  map[string][]string `json:"metals"`
	Colours map[string]string   `json:"colours"` // of gold, where the metal is spoken of
	When    map[string][]string `json:"when"`    // what a word says about a time
	Within  map[string]int      `json:"within"`  // "early": the month of the year that it stands for
	Often   map[string]float64  `json:"often"`   // chance that "often" and the like stand for
	Share   map[string]float64  `json:"share"`   // share that "rare" and the like stand for
	Lost    []string            `json:"lost"`    // replaced, swapped, lost …
	Service []string            `json:"service"`
	State   []string            `json:"state"` // what happens to a part; no version of it
	Lume    map[string][]string `json:"lume"`
	Aside   []string            `json:"aside"` // what the writer says of himself or to the reader
	Filler  []string            `json:"filler"`
	Numbers map[string][]string `json:"numbers"` // what opens a list of numbers, by the mark
	NoDate  []string            `json:"no_date"` // numbers that date nothing
	Short   []string            `json:"short"`   // abbreviations that end in a full stop

	phrases map[string][]bookPhrase // by the first word, longest first
}

// bookPhrase is some words with what they are.
type bookPhrase struct {
	words []string
	set   string // slot, metal, when …
	id    string
	keep  bool // stays in the name of the version
}

var bookVocabulary = sync.OnceValue(func() *bookWords {
	w := &bookWords{phrases: map[string][]bookPhrase{}}
	if err := json.Unmarshal(bookWordsJSON, w); err != nil {
		panic(fmt.Sprintf("notes: bookwords.json: %v", err)) // a file of the program's own, held by a test
	}
	for id, list := range w.Slots {
		w.add("slot", id, list...)
	}
	for id, list := range w.Metals {
		w.add("metal", id, list...)
	}
	for word, id := range w.Colours {
		w.add("colour", id, word)
	}
	for id, list := range w.When {
		w.add("when", id, list...)
	}
	for word := range w.Within {
		w.add("within", word, word)
	}
	for word := range w.Often {
		w.add("often", word, word)
	}
	for word := range w.Share {
		w.add("share", word, word)
	}
	for id, list := range w.Lume {
		w.add("lume", id, list...)
	}
	for id, list := range w.Numbers {
		w.add("numbers", id, list...)
	}
	w.add("lost", "lost", w.Lost...)
	w.add("service", "service", w.Service...)
	w.add("state", "state", w.State...)
	w.add("aside", "aside", w.Aside...)
	w.add("filler", "filler", w.Filler...)
	w.add("no-date", "no-date", w.NoDate...)
	for _, list := range w.phrases {
		sort.Slice(list, func(i, j int) bool {
			a, b := list[i], list[j]
			return cmp.Or(len(b.words)-len(a.words), strings.Compare(a.set+a.id, b.set+b.id)) < 0
		})
	}
	return w
})

func (w *bookWords) add(set, id string, list ...string) {
	for _, text := range list {
		words := strings.Fields(strings.TrimPrefix(text, "+"))
		w.phrases[words[0]] = append(w.phrases[words[0]],
			bookPhrase{words: words, set: set, id: id, keep: strings.HasPrefix(text, "+")})
	}
}

// phraseAt is the longest phrase of one of the sets that begins at token i; its end is
// the last token of it. Marks inside a phrase of the text ("hand-wound") do not count.
func (r *bookReader) phraseAt(i, last int, sets ...string) (bookPhrase, int, bool) {
	if r.all[i].kind == figure && len(r.words.phrases[r.all[i].norm]) == 0 {
		return bookPhrase{}, 0, false
	}
	for _, p := range r.words.phrases[r.all[i].norm] {
		if !slices.Contains(sets, p.set) {
			continue
		}
		end, ok := r.matches(p.words, i, last)
		if p.id == "lasting" && ok && end < last && r.all[end+1].norm == "of" {
			continue // "until the end of 1966"
		}
		if ok {
			return p, end, true
		}
	}
	return bookPhrase{}, 0, false
}

func (r *bookReader) matches(words []string, i, last int) (int, bool) {
	at := i
	for k, w := range words {
		if k > 0 {
			at++
			for at <= last && (r.all[at].kind == line || r.all[at].text == "-" && r.all[at].joined || r.all[at].text == ".") {
				at++
			}
		}
		if at > last || r.all[at].norm != w {
			return 0, false
		}
	}
	return at, true
}

// holds reports whether a phrase of the sets stands between two tokens.
func (r *bookReader) holds(first, last int, sets ...string) bool {
	for i := first; i <= last; i++ {
		if _, _, ok := r.phraseAt(i, last, sets...); ok {
			return true
		}
	}
	return false
}

// CheckBookVocabulary lists what bookwords.json names that does not exist, for a test.
func CheckBookVocabulary() []string {
	var out []string
	for id := range bookVocabulary().Slots {
		if !evidence.Slot(id).Valid() {
			out = append(out, fmt.Sprintf("bookwords.json: slots: there is no %q", id))
		}
	}
	return out
}

package tables

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"sort"
	"strings"
	"sync"
	"unicode"
)

//go:embed words.json
var wordsJSON []byte

// words is words.json.
type words struct {
	Headers      map[Kind]map[string][]string `json:"headers"`
	Total        []string                     `json:"total"`
	Months       map[string]int               `json:"months"`
	About        []string                     `json:"about"`
	Seasons      map[string]int               `json:"seasons"` // the first month of each
	Early        []string                     `json:"early"`
	Late         []string                     `json:"late"`
	Mid          []string                     `json:"mid"`
	NoPrice      []string                     `json:"no_price"`
	Currencies   map[string]string            `json:"currencies"`
	Basis        map[string][]string          `json:"basis"`
	Venue        map[string][]string          `json:"venue"`
	Completeness map[string][]string          `json:"completeness"`
	State        map[string][]string          `json:"state"`
	Metals       map[string][]string          `json:"metals"`
	Dials        []string                     `json:"dials"`
	DialWords    []string                     `json:"dial_words"`
	Condition    []string                     `json:"condition"`
	Yes          []string                     `json:"yes"`
	No           []string                     `json:"no"`
	Vague        []string                     `json:"vague"`
	HeaderParts  map[string][]string          `json:"header_parts"`
	HeaderRules  map[Kind][]headerRule        `json:"header_rules"`
	BoxWords     []string                     `json:"box_words"`
	PaperWords   []string                     `json:"paper_words"`
	Without      []string                     `json:"without"`
	Denials      []string                     `json:"denials"` // before a state, take it back
	Behind       []string                     `json:"behind"`  // behind what comes with a watch, deny it
	Negotiable   []string                     `json:"negotiable"`
	NetOfTax     []string                     `json:"net_of_tax"`
	NotWhole     []string                     `json:"not_whole"` // beside an amount that is not the price of a watch
	Withdrew     []string                     `json:"withdrew"`  // in an opt-in, wherever it stands
	Undone       []string                     `json:"undone"`    // clauses of a note on a sale that did not hold
	SecondHalf   []string                     `json:"second_half"`
	Unclear      []string                     `json:"unclear_money"`
}

// lexicon is the vocabulary made ready for looking up.
type lexicon struct {
	*words
	headers map[Kind]map[string]string // field by header

	basis, venue, completeness, state, metals               meanings
	total, early, late, mid, noPrice, dials, dialWords, yes set
	no, boxWords, paperWords, without, denials, behind      set
	withdrew, takenBack                                     set
	negotiable, netOfTax, notWhole, unclear                 meanings
	harmless, secondHalf                                    set            // words beside an amount that say no more than others do
	parts                                                   map[string]set // of headers
}

var vocabulary = sync.OnceValue(func() *lexicon {
	w := &words{}
	if err := json.Unmarshal(wordsJSON, w); err != nil {
		panic(fmt.Sprintf("tables: words.json: %v", err)) // a file of the program's own, held by a test
	}
	l := &lexicon{
		words: w, headers: map[Kind]map[string]string{},
		basis: meaningsOf(w.Basis), venue: meaningsOf(w.Venue), completeness: meaningsOf(w.Completeness),
		state: meaningsOf(w.State), metals: meaningsOf(w.Metals),
		total: setOf(
			w.Total,
		), early: setOf(w.Early), late: setOf(w.Late), mid: setOf(w.Mid), noPrice: setOf(w.NoPrice),
		boxWords: setOf(w.BoxWords), paperWords: setOf(w.PaperWords), without: setOf(w.Without),
		denials: setOf(w.Denials), behind: setOf(w.Behind), parts: map[string]set{},
		dials: setOf(w.Dials), dialWords: setOf(w.DialWords), yes: setOf(w.Yes), no: setOf(w.No),
	}
	for part, names := range w.HeaderParts {
		l.parts[part] = setOf(names)
	}
	l.negotiable = meaningsOf(map[string][]string{"asking": w.Negotiable})
	l.netOfTax = meaningsOf(map[string][]string{"net": w.NetOfTax})
	l.notWhole = meaningsOf(map[string][]string{"open": w.NotWhole})
	l.unclear = meaningsOf(map[string][]string{"unclear": w.Unclear})
	l.withdrew, l.takenBack = setOf(w.Withdrew), setOf(w.Undone)
	l.secondHalf, l.harmless = setOf(w.SecondHalf), harmlessWords(w)
	for kind, fields := range w.Headers {
		l.headers[kind] = map[string]string{}
		for field, names := range fields {
			for _, n := range names {
				l.headers[kind][plain(n)] = field
			}
		}
	}
	return l
})

// plain is a cell for comparing: lower case, one kind of apostrophe and space, no marks. Every cell goes through it,
// most of them several times.
func plain(s string) string {
	var b strings.Builder
	b.Grow(len(s))
	apart := false
	for _, c := range s {
		if unicode.IsSpace(c) || strings.ContainsRune(".,:*()#-", c) {
			apart = b.Len() > 0
			continue
		}
		if apart {
			b.WriteByte(' ')
			apart = false
		}
		if c == '’' {
			c = '\''
		}
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}

// meaning is a phrase, with a space on either side, and what it means.
type meaning struct{ phrase, id string }

// meanings are phrases with what they mean, the longest first.
type meanings struct {
	all   []meaning
	first map[string][]int // places of the phrases that begin with a word
}

// meaningsOf makes a table of meanings ready for looking up.
func meaningsOf(table map[string][]string) meanings {
	var out []meaning
	for id, phrases := range table {
		for _, p := range phrases {
			if q := plain(p); q != "" {
				out = append(out, meaning{" " + q + " ", id})
			}
		}
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if len(a.phrase) != len(b.phrase) {
			return len(a.phrase) > len(b.phrase)
		}
		return a.phrase+a.id < b.phrase+b.id
	})
	m := meanings{all: out, first: map[string][]int{}}
	for i, x := range out {
		word, _, _ := strings.Cut(x.phrase[1:], " ")
		m.first[word] = append(m.first[word], i)
	}
	return m
}

// of is the meaning of a cell: that of the longest phrase that stands in it as whole
// words.
func (m meanings) of(cell string) (string, bool) {
	if at := m.in(" " + plain(cell) + " "); at >= 0 {
		return m.all[at].id, true
	}
	return "", false
}

// phraseIn is the longest phrase that stands in a plain text with a space on either side; empty where none does.
func (m meanings) phraseIn(text string) string {
	if at := m.in(text); at >= 0 {
		return strings.TrimSpace(m.all[at].phrase)
	}
	return ""
}

// in is the place of the longest phrase that stands in a plain text with a space on either side; below 0 where none does.
func (m meanings) in(text string) int {
	best := -1
	for word := range strings.SplitSeq(text, " ") {
		for _, at := range m.first[word] {
			if (best < 0 || at < best) && strings.Contains(text, m.all[at].phrase) {
				best = at
			}
		}
	}
	return best
}

// set holds phrases made plain.
type set map[string]bool

func setOf(phrases []string) set {
	out := set{}
	for _, p := range phrases {
		out[plain(p)] = true
	}
	return out
}

// has reports whether a cell is one of the phrases.
func (s set) has(cell string) bool { return s[plain(cell)] }

// harmlessWords are those of basis, tax, negotiation and doubt, one by one.
func harmlessWords(w *words) set {
	out := set{}
	lists := [][]string{w.Negotiable, w.NetOfTax, w.About, {"incl", "inkl", "including", "ttc", "vat", "mwst", "ust",
		"tva", "iva", "brutto", "gross", "price", "preis", "prix", "prezzo", "each", "only", "for", "at", "for sale", "of"}}
	for _, phrases := range w.Basis {
		lists = append(lists, phrases)
	}
	for _, list := range lists {
		for _, phrase := range list {
			for _, word := range strings.Fields(plain(phrase)) {
				out[word] = true
			}
		}
	}
	return out
}

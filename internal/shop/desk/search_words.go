package desk

import (
	"context"
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/memo"
)

// lexicon is what words of a search can mean in this shop, by their search keys.
type lexicon struct {
	makers     map[string]string   // by name and alias
	references map[string][]string // by letters and figures alone
	calibres   map[string]string
	metals     map[string][]string // ids of the book
	terms      map[string]string   // ids of findings
	looks      map[evidence.Slot]map[string]bool
	words      map[string]bool // all single words
	keys       map[string]bool // those of them that mean something by themselves
	names      map[string]bool // words of clients' names, for those who may see them
}

// lexiconMark is what a lexicon follows from.
type lexiconMark struct {
	watches, clients int64
	book             string
}

// lexicon is read again where stock, clients or book have changed.
func (r *Room) lexicon(ctx context.Context) (*lexicon, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.lexicons.Get(ctx, memo.One{}, lexiconMark{rev.Watches, rev.Clients, rev.Book}, r.readLexicon)
}

func (r *Room) readLexicon(ctx context.Context) (*lexicon, error) {
	l := &lexicon{makers: map[string]string{}, references: map[string][]string{}, calibres: map[string]string{},
		metals: map[string][]string{}, terms: map[string]string{}, looks: map[evidence.Slot]map[string]bool{},
		words: map[string]bool{}, keys: map[string]bool{}, names: map[string]bool{}}
	keys, err := r.searchKeys(ctx)
	if err != nil {
		return nil, err
	}
	for _, k := range keys {
		take(l.words, k.key)
	}
	names, err := r.clientKeys(ctx)
	if err != nil {
		return nil, err
	}
	for _, n := range names {
		take(l.names, n)
	}
	stock, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, err
	}
	for _, w := range stock {
		l.reference(w.Reference)
		l.makers[shop.SearchKey(w.Maker)] = w.Maker
		take(l.names, shop.SearchKey(w.Holder))
	}
	delete(l.makers, "")
	l.readBook(ctx, r.shop)
	l.readTerms()
	for _, w := range keywords() {
		take(l.words, w)
		take(l.keys, w)
	}
	return l, nil
}

// take adds the words of a key.
func take(to map[string]bool, key string) {
	for _, w := range strings.Fields(key) {
		to[strings.Trim(w, ".,;:()“”\"'")] = true
	}
	delete(to, "")
}

func (l *lexicon) reference(name string) {
	key := letters(shop.SearchKey(name))
	if key != "" && !slices.Contains(l.references[key], name) {
		l.references[key] = append(l.references[key], name)
	}
}

// readBook takes makers, references, calibres, metals and what parts look like.
func (l *lexicon) readBook(ctx context.Context, s *shop.Shop) {
	for _, m := range s.Book(ctx).Makers {
		for _, name := range append([]string{m.Name}, m.Aliases...) {
			l.makers[shop.SearchKey(name)] = m.Name
			take(l.words, shop.SearchKey(name))
		}
		for _, c := range m.Calibres {
			l.calibres[letters(shop.SearchKey(c.ID))] = c.ID
			take(l.words, shop.SearchKey(c.ID))
		}
		for _, x := range m.Metals {
			l.metal(x.ID, strings.ReplaceAll(x.ID, "_", " "), x.Name)
		}
		for _, ref := range m.References {
			l.reference(ref.ID)
			take(l.words, shop.SearchKey(ref.ID+" "+ref.Name))
			for _, slot := range ref.Slots {
				for _, v := range slot.Variants {
					l.look(slot.Slot, shop.SearchKey(variantWords(v)))
				}
			}
		}
	}
	for slot := range l.looks {
		for _, colour := range colours {
			l.looks[slot][colour] = true
		}
	}
	for _, x := range otherMetals {
		l.metal(x[0], x[1:]...)
	}
}

func (l *lexicon) look(slot evidence.Slot, key string) {
	if l.looks[slot] == nil {
		l.looks[slot] = map[string]bool{}
	}
	take(l.looks[slot], key)
	take(l.words, key)
}

// metal takes the names of a metal; “gold” names all its finenesses.
func (l *lexicon) metal(id string, names ...string) {
	if rest, isGold := strings.CutPrefix(id, "gold"); isGold && rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		names = append(names, "gold", "solid gold")
		if carat := rest[:min(2, len(rest))]; rest == carat {
			for _, k := range []string{"k", "ct", "k gold", "ct gold", " karat", " carat", "k yellow gold"} {
				names = append(names, carat+k)
			}
		}
	}
	for _, name := range names {
		key := shop.SearchKey(name)
		if key != "" && !slices.Contains(l.metals[key], id) {
			l.metals[key] = append(l.metals[key], id)
		}
		take(l.words, key)
	}
}

// otherMetals are names that books do not write out.
var otherMetals = [][]string{{"steel", "stainless", "stainless steel"}, {"two_tone", "two-tone", "bicolour", "bicolor"},
	{"gold18_pink", "pink gold", "rose gold"}, {"gold18_white", "white gold"}, {"gold18", "yellow gold"},
	{"gold14", "yellow gold"}, {"platinum", "platinum"}, {"silver", "silver case"}}

// colours are said of parts whether or not the book has such a one.
var colours = []string{"black", "white", "silver", "silvered", "grey", "gray", "blue", "green", "brown", "champagne",
	"cream", "gilt", "salmon", "red", "slate", "gold", "golden", "copper", "tropical"}

func (l *lexicon) readTerms() {
	for _, t := range condition.Terms() {
		for _, name := range append([]string{t.Name, strings.ReplaceAll(t.ID, "_", " ")}, t.Also...) {
			key := shop.SearchKey(strings.ReplaceAll(name, "_", " "))
			if _, ok := l.terms[key]; !ok {
				l.terms[key] = t.ID
			}
			take(l.words, key)
		}
	}
}

// knows reports whether a word, or a longer one of which it is a part, is known.
func (l *lexicon) knows(word string, names bool) bool {
	if l.words[word] || names && l.names[word] {
		return true
	}
	within := func(all map[string]bool) bool {
		for w := range all {
			if strings.Contains(w, word) {
				return true
			}
		}
		return false
	}
	return within(l.words) || names && within(l.names)
}

// slipsAllowed is how many slips of the keys a word of a length may have.
func slipsAllowed(word string) int {
	switch n := len([]rune(word)); {
	case n < 4:
		return 0
	case n < 6:
		return 1
	case n < 10:
		return 2
	}
	return 3
}

// nearest is the known word that is fewest slips away from one that is not known.
func (l *lexicon) nearest(word string, names bool) (string, bool) {
	best, at := "", slipsAllowed(word)+1
	if figures(word) != "" {
		at = min(at, 2) // one slip in a number
	}
	try := func(all map[string]bool) {
		for w := range all {
			if d := len([]rune(w)) - len([]rune(word)); d > at || -d > at || len(w) < 3 {
				continue
			}
			d := slips(word, w)
			better := l.keys[w] && !l.keys[best] || l.keys[w] == l.keys[best] && w < best
			if d < at || d == at && best != "" && better {
				best, at = w, d
			}
		}
	}
	try(l.words)
	if names {
		try(l.names)
	}
	return best, best != ""
}

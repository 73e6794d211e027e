package desk

import (
	"context"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/memo"
	"midcase/say"
)

// SearchTerm is one thing that a search asks for, as its words were understood.
type SearchTerm struct {
	Words string        `json:"words"` // as they were typed
	As    say.Statement `json:"as"`

	unknown bool
	record  bool // told by the record alone, without an opinion
	holds   func(*sought) bool
}

// sought is a watch that is held against a search.
type sought struct {
	watch *shop.Watch
	facts *Facts // nil before an opinion was formed
	value float64
	grade *float64
	key   string // search key of the record
	names string // of those who have to do with it, for those who may see them
}

// Sought is what a search came to.
type Sought struct {
	Rows          []Brief      `json:"-"`
	Understood    []SearchTerm `json:"understood"`
	NotUnderstood []string     `json:"not_understood"`
}

// searchKey is the key of a watch at a version of its record.
type searchKey struct {
	version int
	key     string
	holder  string
}

// searchKeys are the keys of all watches, made anew of those that changed.
func (r *Room) searchKeys(ctx context.Context) (map[shop.WatchID]searchKey, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.searched.Grow(ctx, memo.One{}, rev.Watches,
		func(ctx context.Context, was map[shop.WatchID]searchKey) (map[shop.WatchID]searchKey, error) {
			list, err := r.shop.StockList(ctx)
			if err != nil {
				return nil, err
			}
			out := make(map[shop.WatchID]searchKey, len(list))
			for _, w := range list {
				k, ok := was[w.ID]
				if !ok || k.version != w.Version {
					k = searchKey{w.Version, shop.SearchKey(strings.Join([]string{w.Title, w.Maker, w.Reference, w.Serial,
						w.Place, w.Note}, "\n")), shop.SearchKey(w.Holder)}
				}
				out[w.ID] = k
			}
			return out, nil
		})
}

// clientKeys are the search keys of the clients' names by id.
func (r *Room) clientKeys(ctx context.Context) (map[string]string, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.named.Get(ctx, memo.One{}, rev.Clients, func(ctx context.Context) (map[string]string, error) {
		clients, err := r.shop.ClientList(ctx)
		if err != nil {
			return nil, err
		}
		out := make(map[string]string, len(clients))
		for _, c := range clients {
			if c.Erased.IsZero() {
				out[c.ID] = shop.SearchKey(c.Name)
			}
		}
		return out, nil
	})
}

// Search keeps the watches for which all holds that a text asks, and says how the text was understood.
func (r *Room) Search(ctx context.Context, all []Brief, text string) (Sought, error) {
	s, err := r.asked(ctx, text)
	if err != nil || len(s.Understood)+len(s.NotUnderstood) == 0 {
		return Sought{Rows: all}, err
	}
	s.Rows, err = r.holding(ctx, all, s.Understood, len(s.NotUnderstood) == 0)
	return s, err
}

// asked reads the text of a search. A word that no watch has is not understood.
func (r *Room) asked(ctx context.Context, text string) (Sought, error) {
	l, err := r.lexicon(ctx)
	if err != nil {
		return Sought{}, err
	}
	read := l.read(text, r.shop.Now().Year(), shop.SeesNames(ctx))
	s := Sought{Understood: []SearchTerm{}, NotUnderstood: []string{}}
	for _, t := range read {
		if t.unknown {
			s.NotUnderstood = append(s.NotUnderstood, t.Words)
		} else {
			s.Understood = append(s.Understood, t)
		}
	}
	return s, nil
}

// holding are the watches for which all terms hold; none where one cannot hold at all.
func (r *Room) holding(ctx context.Context, all []Brief, terms []SearchTerm, possible bool) ([]Brief, error) {
	if !possible {
		return nil, nil
	}
	keys, err := r.searchKeys(ctx)
	if err != nil {
		return nil, err
	}
	names, err := r.clientKeys(ctx)
	if err != nil {
		return nil, err
	}
	sees := shop.SeesNames(ctx)
	var out []Brief
	for i := range all {
		b := &all[i]
		k := keys[b.Watch.ID]
		c := sought{watch: &b.Watch, facts: b.Facts, grade: b.Grade, key: k.key}
		if b.Median != nil {
			c.value = *b.Median
		}
		if sees {
			c.names = names[b.Watch.Client] + "\n" + names[b.Watch.Holder] + "\n" + k.holder
		}
		if c.passes(terms) {
			out = append(out, *b)
		}
	}
	return out, nil
}

func (c *sought) passes(terms []SearchTerm) bool {
	for i := range terms {
		if !terms[i].record && c.facts == nil || !terms[i].holds(c) {
			return false
		}
	}
	return true
}

// price is what a buyer would be asked: what we ask, else the middle of the value.
func (c *sought) price() float64 {
	if !c.watch.Asking.IsZero() {
		return c.watch.Asking.Float()
	}
	return c.value
}

package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"midcase/refbook"
)

// MatchWatch lists the clients who want a watch, the likeliest buyers first. It may be
// asked before the watch is listed.
func (s *Shop) MatchWatch(ctx context.Context, id WatchID) ([]Match, error) {
	if err := s.logAccess(ctx, "", "matched"); err != nil {
		return nil, err
	}
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("match watch: %w", err)
	}
	in, err := s.weighing(ctx)
	if err != nil {
		return nil, fmt.Errorf("match watch: %w", err)
	}
	if s.stockIsKnown() { // else one watch is not worth reading all
		if _, err := s.stockList(ctx); err != nil {
			return nil, fmt.Errorf("match watch: %w", err)
		}
	}
	f, err := s.factsOf(ctx, in, w)
	if err != nil {
		return nil, fmt.Errorf("match watch: %w", err)
	}
	c := &s.wanted
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := s.refresh(ctx, in.set); err != nil {
		return nil, err
	}
	in.rates = c.rates
	var out []Match
	for _, i := range c.wanting {
		x := &c.all[i]
		for n := range x.Wants {
			if !mayMean(&x.Wants[n], &f) {
				continue
			}
			if m, ok := s.match(x, n, x.Wants[n], f, in); ok {
				out = append(out, m)
			}
		}
	}
	sortMatches(out)
	return bestPerClient(out), nil
}

// bestPerClient keeps the first match of each client with each watch.
func bestPerClient(all []Match) []Match {
	seen := map[[2]string]bool{}
	return slices.DeleteFunc(all, func(m Match) bool {
		k := [2]string{m.Client, string(m.Watch)}
		had := seen[k]
		seen[k] = true
		return had
	})
}

// MatchWant lists the watches in stock that a client's wants ask for, the best first.
func (s *Shop) MatchWant(ctx context.Context, client string) ([]Match, error) {
	c, err := s.Client(ctx, client)
	if err != nil {
		return nil, fmt.Errorf("match client: %w", err)
	}
	return s.matchWants(ctx, c, 0)
}

// MatchClient is MatchWant for a client whose record is at hand.
func (s *Shop) MatchClient(ctx context.Context, c Client) ([]Match, error) {
	return s.matchWants(ctx, c, 0)
}

// matchWants matches the wants of a client from one on.
func (s *Shop) matchWants(ctx context.Context, c Client, from int) ([]Match, error) {
	stock, err := s.stockList(ctx)
	if err != nil {
		return nil, fmt.Errorf("match client: %w", err)
	}
	in, err := s.weighing(ctx)
	if err != nil {
		return nil, fmt.Errorf("match client: %w", err)
	}
	w := &s.wanted
	w.mu.Lock()
	err = s.refresh(ctx, in.set)
	in.rates = w.rates
	w.mu.Unlock()
	if err != nil {
		return nil, err
	}
	meant := make([][]Watch, len(c.Wants))
	var looked []Watch
	seen := map[WatchID]bool{}
	for n := from; n < len(c.Wants); n++ {
		meant[n] = s.candidates(c.Wants[n], stock, in)
		for _, x := range meant[n] {
			if !seen[x.ID] {
				seen[x.ID] = true
				looked = append(looked, x)
			}
		}
	}
	facts, err := s.factsOfAll(ctx, in, looked)
	if err != nil {
		return nil, fmt.Errorf("match client: %w", err)
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	var out []Match
	for n := range meant {
		for _, x := range meant[n] {
			if m, ok := s.match(&c, n, c.Wants[n], facts[x.ID], in); ok {
				out = append(out, m)
			}
		}
	}
	sortMatches(out)
	return bestPerClient(out), nil
}

// mostCandidates bounds how many watches are looked into for one want.
const mostCandidates = 40

// candidates are the watches for sale that a want may mean by what the stock list and
// the book say: those that are nearest to the price wanted, of these the latest first.
func (s *Shop) candidates(w Want, all []Watch, in weighing) []Watch {
	if w.Ended(in.now) || !w.Names() {
		return nil
	}
	type candidate struct {
		at    int
		price float64
	}
	var found []candidate
	named := map[[2]string]*Facts{} // by maker and reference; nil where it is another
	for i := len(all) - 1; i >= 0; i-- {
		x := &all[i]
		if x.State == Sold || x.State == Returned || x.State == Reserved {
			continue
		}
		k := [2]string{x.Maker, x.Reference}
		f, known := named[k]
		if !known {
			f = meant(&w, x, in.stamp.book)
			named[k] = f
		}
		if f == nil {
			continue
		}
		f.Asking, f.Currency = x.Asking, in.set.Currency
		price, _ := priceChance(w, *f, in.convert)
		found = append(found, candidate{i, price})
	}
	if len(found) > mostCandidates {
		slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(b.price, a.price) })
		found = found[:mostCandidates]
	}
	out := make([]Watch, len(found))
	for i, f := range found {
		out[i] = all[f.at]
	}
	return out
}

// meant are the facts of the stock list and the book, or nil where the want means another
// watch by these. A metal or family that the book does not tell is taken as the one
// wanted.
func meant(w *Want, x *Watch, book *refbook.Book) *Facts {
	f := &Facts{Maker: x.Maker, Reference: x.Reference, Metal: w.Metal, Family: w.Family}
	f.fromBook(book)
	if !mayMean(w, f) {
		return nil
	}
	return f
}

// fromBook fills in what the reference book says, where it knows the reference.
func (f *Facts) fromBook(book *refbook.Book) {
	if m, ref, ok := book.Reference(f.Maker, f.Reference); ok {
		f.Family, f.Metal = ref.Family, ref.Metal
		if fam, ok := m.Family(ref.Family); ok {
			f.FamilyName = fam.Name
		}
	}
}

// match scores one want. The cache is locked.
func (s *Shop) match(c *Client, n int, w Want, f Facts, in weighing) (Match, bool) {
	fit, reasons, ok := FitWant(w, f, in.now)
	if !ok {
		return Match{}, false
	}
	past := s.wanted.past[c.ID]
	past.SawThis = s.wanted.about[f.Watch][c.ID].Kind
	score, price, more := chance(fit, w, f, past, in.convert)
	return Match{Watch: f.Watch, Title: f.Title, Client: c.ID, Name: c.Name, Want: n, Fit: fit, Chance: score, Price: price, CallFirst: w.CallFirst || c.CallFirst, MayContact: c.MayOffer(), Saw: past.SawThis, Reasons: append(reasons, more...)}, true
}

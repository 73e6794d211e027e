package people

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"midcase/edtf"
	"midcase/internal/shop"
)

// MatchWatch lists the clients who want a watch, the likeliest buyers first. It may be
// asked before the watch is listed.
func (r *Room) MatchWatch(ctx context.Context, id shop.WatchID) ([]Match, error) {
	const what = "match watch"
	if err := r.access(ctx, "", "matched"); err != nil {
		return nil, err
	}
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	in, err := r.weighing(ctx)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	f, err := r.factsOf(ctx, in, w)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	all, err := r.shop.ClientList(ctx)
	if err != nil {
		return nil, err
	}
	var out []Match
	for i := range all {
		if c := &all[i]; c.Erased.IsZero() {
			for n := range c.Wants {
				out = in.match(out, c, n, f)
			}
		}
	}
	inState(out, map[shop.WatchID]shop.State{w.ID: w.State})
	return best(out), nil
}

// best puts matches in order and keeps the first of each client with each watch.
func best(all []Match) []Match {
	sortMatches(all)
	seen := map[about]bool{}
	return slices.DeleteFunc(all, func(m Match) bool {
		k := about{m.Watch, m.Client}
		had := seen[k]
		seen[k] = true
		return had
	})
}

// MatchWant lists the watches in stock that a client's wants ask for, the best first.
func (r *Room) MatchWant(ctx context.Context, client string) ([]Match, error) {
	c, err := r.Client(ctx, client)
	if err != nil {
		return nil, fmt.Errorf("match client: %w", err)
	}
	return r.matchWants(ctx, c, 0)
}

// MatchClient is MatchWant for a client whose record is at hand.
func (r *Room) MatchClient(ctx context.Context, c shop.Client) ([]Match, error) {
	return r.matchWants(ctx, c, 0)
}

// matchWants matches the wants of a client from one on.
func (r *Room) matchWants(ctx context.Context, c shop.Client, from int) ([]Match, error) {
	const what = "match client"
	stock, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	in, err := r.weighing(ctx)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	meant := make([][]shop.Watch, len(c.Wants))
	looked := map[shop.WatchID]shop.Watch{}
	for n := from; n < len(c.Wants); n++ {
		meant[n] = in.candidates(c.Wants[n], stock)
		for _, w := range meant[n] {
			looked[w.ID] = w
		}
	}
	facts, err := r.factsOfAll(ctx, in, looked)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	var out []Match
	for n := range meant {
		for _, w := range meant[n] {
			out = in.match(out, &c, n, facts[w.ID])
		}
	}
	states := map[shop.WatchID]shop.State{}
	for id, w := range looked {
		states[id] = w.State
	}
	inState(out, states)
	return best(out), nil
}

// maxCandidates bounds how many watches are looked into for one want.
const maxCandidates = 200

// candidates are the watches for sale that a want may mean by what the stock list and
// the book say: those that are nearest to the price wanted, of these the latest first.
func (in *weighing) candidates(w shop.Want, all []shop.Watch) []shop.Watch {
	if w.Ended(in.now) || !w.Names() {
		return nil
	}
	type candidate struct {
		watch shop.Watch
		price float64
	}
	var found []candidate
	named := map[[2]string]*Facts{} // by maker and reference; nil where it is another
	for _, x := range slices.Backward(all) {
		if x.State == shop.Sold || x.State == shop.Returned || x.State == shop.Reserved {
			continue
		}
		k := [2]string{x.Maker, x.Reference}
		f, known := named[k]
		if !known {
			f = in.meant(&w, x)
			named[k] = f
		}
		if f == nil {
			continue
		}
		f.Asking, f.Currency = x.Asking, in.set.Currency
		price, _ := priceChance(w, *f, in.convert)
		found = append(found, candidate{x, price})
	}
	if len(found) > maxCandidates {
		slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(b.price, a.price) })
		found = found[:maxCandidates]
	}
	out := make([]shop.Watch, len(found))
	for i, f := range found {
		out[i] = f.watch
	}
	return out
}

// meant are the facts of the stock list and the book, or nil where the want means another
// watch by these. A metal or family that the book does not tell is taken as the one
// wanted.
func (in *weighing) meant(w *shop.Want, x shop.Watch) *Facts {
	f := &Facts{Maker: x.Maker, Reference: x.Reference, Metal: w.Metal, Family: w.Family}
	f.fromBook(in.book)
	if !mayMean(w, f) {
		return nil
	}
	return f
}

// match adds a client's nth want to the matches, where the watch meets it.
func (in *weighing) match(to []Match, c *shop.Client, n int, f Facts) []Match {
	w := c.Wants[n]
	if !mayMean(&w, &f) {
		return to
	}
	fit, reasons, ok := FitWant(w, f, in.now)
	if !ok {
		return to
	}
	past := in.passed.with(c.ID, f.Watch)
	score, price, more := chance(fit, w, f, past, in.convert)
	m := Match{Watch: f.Watch, Title: f.Title, Client: c.ID, Name: c.Name, Want: n, Fit: fit,
		Chance: score, Price: price,
		CallFirst: w.CallFirst || c.CallFirst, MayContact: c.MayOffer(), Refused: c.RefusedOffers(),
		Contacts: c.Contacts(), Saw: past.SawThis, narrow: specific(w)}
	if p, ok := in.passed.promised(f.Watch, in.now); ok && p.Client == c.ID {
		m.Promised = true
		more = append(more, "has the first refusal until "+p.Until.String())
	} else if ok {
		m.NotBefore = dayAfter(p.Until)
		more = append(more, "promised to another: not before "+m.NotBefore.String())
	}
	if !m.Promised && !worth(fit, price) {
		return to
	}
	m.Reasons = append(reasons, more...)
	return append(to, m)
}

// dayAfter is the first day after a promise.
func dayAfter(until edtf.Date) edtf.Date {
	last, ok := until.Last()
	if !ok {
		return until
	}
	return shop.DateOf(last.AddDate(0, 0, 1))
}

// inState says of each match in which state the watch is, where that stands in the way.
func inState(all []Match, states map[shop.WatchID]shop.State) {
	for i := range all {
		m := &all[i]
		m.State = string(states[m.Watch])
		switch states[m.Watch] {
		case shop.Sold, shop.Returned, shop.Reserved:
			m.Reasons = append(m.Reasons, "this watch is "+m.State)
		}
	}
}

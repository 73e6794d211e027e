package shop

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// wantsCache holds what matching reads again and again.
type wantsCache struct {
	mu       sync.Mutex
	stamp    string
	clients  []Client // those that want something
	next     int64    // place of the next showing to read
	past     map[string]Past
	about    map[WatchID]map[string]string // watch → client → what passed last
	facts    map[WatchID]factsEntry
	rates    *market.Rates
	ratesCSV string
}

type factsEntry struct {
	version, items, sales int
	day                   string
	facts                 Facts
}

const factsKept = 2000

// MatchWatch lists the clients who want a watch, the likeliest buyers first. It may be
// asked before the watch is listed.
func (s *Shop) MatchWatch(ctx context.Context, id WatchID) ([]Match, error) {
	if err := s.logAccess(ctx, "", "matched"); err != nil {
		return nil, err
	}
	f, err := s.facts(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("match watch: %w", err)
	}
	c := &s.wanted
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := s.refresh(ctx); err != nil {
		return nil, err
	}
	var out []Match
	for i := range c.clients {
		for n, w := range c.clients[i].Wants {
			if m, ok := s.match(&c.clients[i], n, w, f); ok {
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

// matchWants matches the wants of a client from one on.
func (s *Shop) matchWants(ctx context.Context, c Client, from int) ([]Match, error) {
	watches, err := s.stores.Watches.Watches(ctx, Filter{})
	if err != nil {
		return nil, fmt.Errorf("match client: %w", err)
	}
	var out []Match
	for n, w := range c.Wants {
		if n < from {
			continue
		}
		for _, id := range s.candidates(w, watches) {
			f, err := s.facts(ctx, id)
			if err != nil {
				return nil, fmt.Errorf("match client: %w", err)
			}
			s.wanted.mu.Lock()
			if err = s.refresh(ctx); err == nil {
				if m, ok := s.match(&c, n, w, f); ok {
					out = append(out, m)
				}
			}
			s.wanted.mu.Unlock()
			if err != nil {
				return nil, err
			}
		}
	}
	sortMatches(out)
	return bestPerClient(out), nil
}

// mostCandidates bounds how many opinions one want may cause to be formed.
const mostCandidates = 200

// candidates are the watches for sale that a want may mean by what the stock list and
// the book say, the latest first.
func (s *Shop) candidates(w Want, all []Watch) []WatchID {
	var out []WatchID
	for i := len(all) - 1; i >= 0 && len(out) < mostCandidates; i-- {
		x := all[i]
		switch x.State {
		case Sold, Returned, Reserved:
			continue
		}
		f := Facts{Maker: x.Maker, Reference: x.Reference, Metal: w.Metal, Family: w.Family}
		s.fromBook(&f)
		if sameName(w.Maker, f.Maker) && sameName(w.Reference, f.Reference) && sameName(w.Metal, f.Metal) && (sameName(w.Family, f.Family) || sameName(w.Family, f.FamilyName)) {
			out = append(out, x.ID)
		}
	}
	return out
}

// fromBook fills in what the reference book says, where it knows the reference.
func (s *Shop) fromBook(f *Facts) {
	if m, r, ok := s.Book().Reference(f.Maker, f.Reference); ok {
		f.Family, f.Metal = r.Family, r.Metal
		if fam, ok := m.Family(r.Family); ok {
			f.FamilyName = fam.Name
		}
	}
}

// match scores one want. The cache is locked.
func (s *Shop) match(c *Client, n int, w Want, f Facts) (Match, bool) {
	now := s.opt.Now()
	fit, reasons, ok := FitWant(w, f, now)
	if !ok {
		return Match{}, false
	}
	past := s.wanted.past[c.ID]
	past.SawThis = s.wanted.about[f.Watch][c.ID]
	score, more := chance(fit, w, f, past, func(m money.Money, to money.Currency) (float64, bool) { return s.wanted.convert(m, to, now) })
	given, asked := c.Allows("offers")
	return Match{Watch: f.Watch, Title: f.Title, Client: c.ID, Name: c.Name, Want: n, Fit: fit, Chance: score, CallFirst: w.CallFirst, MayContact: given || !asked, Reasons: append(reasons, more...)}, true
}

func (c *wantsCache) convert(m money.Money, to money.Currency, on time.Time) (float64, bool) {
	if m.Currency() == to {
		return m.Float(), true
	}
	if c.rates == nil {
		return 0, false
	}
	v, err := c.rates.Convert(m.Float(), m.Currency(), to, on)
	return v, err == nil && v > 0
}

// refresh brings clients, past showings and rates up to date. The cache is locked.
func (s *Shop) refresh(ctx context.Context) error {
	c := &s.wanted
	stamp := ""
	if s.stores.Privacy != nil {
		var err error
		if stamp, err = s.stores.Privacy.ClientStamp(ctx); err != nil {
			return err
		}
	}
	if stamp == "" || stamp != c.stamp {
		all, err := s.stores.Clients.Clients(ctx)
		if err != nil {
			return err
		}
		c.clients = slices.DeleteFunc(all, func(x Client) bool { return len(x.Wants) == 0 })
		c.stamp = stamp
	}
	set, err := s.Settings(ctx)
	if err != nil {
		return err
	}
	if set.RatesCSV != c.ratesCSV {
		if c.rates, err = market.ReadRates(strings.NewReader(set.RatesCSV)); err != nil {
			return fmt.Errorf("exchange rates: %w", err)
		}
		c.ratesCSV = set.RatesCSV
	}
	return s.readShowings(ctx)
}

func (s *Shop) readShowings(ctx context.Context) error {
	c := &s.wanted
	if c.past == nil {
		c.past, c.about = map[string]Past{}, map[WatchID]map[string]string{}
	}
	if s.stores.Steps == nil {
		return nil
	}
	more, err := s.stores.Steps.Showings(ctx, ShowingFilter{From: c.next})
	if err != nil {
		return err
	}
	for _, v := range more {
		c.next = v.Seq + 1
		if v.Client == "" {
			continue
		}
		p := c.past[v.Client]
		about := c.about[v.Watch]
		if about == nil {
			about = map[string]string{}
			c.about[v.Watch] = about
		}
		if about[v.Client] == "" {
			p.Shown++
		}
		if v.Kind == Accepted {
			p.Bought++
		}
		about[v.Client] = v.Kind
		c.past[v.Client] = p
	}
	return nil
}

// facts are what matching needs to know of a watch, by its opinion of today.
func (s *Shop) facts(ctx context.Context, id WatchID) (Facts, error) {
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Facts{}, err
	}
	log, err := s.Log(ctx, id)
	if err != nil {
		return Facts{}, err
	}
	sales, err := s.stores.Sales.SaleCount(ctx)
	if err != nil {
		return Facts{}, err
	}
	now := s.opt.Now()
	day := now.Format(time.DateOnly)
	s.wanted.mu.Lock()
	e, ok := s.wanted.facts[id]
	s.wanted.mu.Unlock()
	if ok && e.version == w.Version && e.items == len(log.Evidence) && e.sales == sales && e.day == day {
		return e.facts, nil
	}
	f := Facts{Watch: id, Title: w.Title, Maker: w.Maker, Reference: w.Reference, Asking: w.Asking, Currency: s.opt.Currency}
	s.fromBook(&f)
	if o, file, err := s.form(ctx, log, now, opinion.Settings{}); err == nil { // without one the stock list's word counts
		f.fill(o, file)
	}
	s.wanted.mu.Lock()
	defer s.wanted.mu.Unlock()
	if s.wanted.facts == nil || len(s.wanted.facts) >= factsKept {
		s.wanted.facts = map[WatchID]factsEntry{}
	}
	s.wanted.facts[id] = factsEntry{w.Version, len(log.Evidence), sales, day, f}
	return f, nil
}

func (f *Facts) fill(o opinion.Opinion, file evidence.File) {
	f.Set = o.Watch.Set
	if o.Watch.Metal != "" {
		f.Metal = o.Watch.Metal
	}
	if o.Condition.Overall != nil {
		f.Condition = o.Condition.Overall
		f.ConditionSD = (o.Condition.Interval[1] - o.Condition.Interval[0]) / (2 * 1.6449) // of a normal's 90 %
	}
	sum, n := 0.0, 0
	for _, p := range o.Parts {
		if p.Slot == evidence.Dial && p.Verdict != opinion.Missing {
			f.Dial = strings.TrimSpace(p.VariantName + " " + p.Variant)
		}
		if p.POriginal != nil {
			sum += *p.POriginal
			n++
		}
	}
	for _, x := range evidence.All[*evidence.Fitted](file) {
		if x.Data.Slot == evidence.Dial {
			f.Dial = strings.TrimSpace(f.Dial + " " + x.Data.Description)
		}
	}
	if n > 0 {
		mean := sum / float64(n)
		f.Originality = &mean
	}
	if o.Dating.Known {
		f.Years = map[int]float64{}
		for _, m := range o.Dating.Months {
			f.Years[m.Month.Year()] += m.P
		}
	}
	if o.Value.Known && o.Value.Median != nil && !math.IsNaN(*o.Value.Median) {
		f.Value, f.Currency = *o.Value.Median, o.Value.Currency
	}
}

package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"midcase/market"
)

// wantsCache holds in memory what client pages and matching read again and again.
type wantsCache struct {
	mu       sync.Mutex
	stamp    string
	all      []Client // by name; never changed once it was handed out
	wanting  []int    // places in all of those who want something
	next     int64    // place of the next showing to read
	past     map[string]Past
	about    map[WatchID]map[string]Showing // watch → client → what passed last
	promises map[promiseKey]Showing         // not answered yet
	rates    *market.Rates
	ratesCSV string

	settings *keptSettings
	facts    factsCache
}

type promiseKey struct {
	watch  WatchID
	client string
}

// readClients brings the clients up to date. The cache is locked.
func (s *Shop) readClients(ctx context.Context) (err error) {
	c := &s.wanted
	if c.all, err = s.clientList(ctx); err != nil {
		return err
	}
	c.wanting = nil
	for i := range c.all {
		if len(c.all[i].Wants) > 0 && c.all[i].Erased.IsZero() {
			c.wanting = append(c.wanting, i)
		}
	}
	return nil
}

// refresh brings clients, past showings and rates up to date. The cache is locked.
func (s *Shop) refresh(ctx context.Context, set Settings) error {
	c := &s.wanted
	if err := s.readClients(ctx); err != nil {
		return err
	}
	if set.RatesCSV != c.ratesCSV {
		rates, err := market.ReadRates(strings.NewReader(set.RatesCSV))
		if err != nil {
			return fmt.Errorf("exchange rates: %w", err)
		}
		c.rates, c.ratesCSV = rates, set.RatesCSV
	}
	return s.readShowings(ctx)
}

// readShowings reads what passed since it was read last. The cache is locked.
func (s *Shop) readShowings(ctx context.Context) error {
	c := &s.wanted
	if c.past == nil {
		c.past, c.about, c.promises = map[string]Past{}, map[WatchID]map[string]Showing{}, map[promiseKey]Showing{}
	}
	more, err := s.stores.Steps.Showings(ctx, ShowingFilter{From: c.next})
	if err != nil {
		return err
	}
	for _, v := range more {
		c.next = v.Seq + 1
		if v.Client != "" {
			c.note(v)
		}
	}
	return nil
}

func (c *wantsCache) note(v Showing) {
	p := c.past[v.Client]
	about := c.about[v.Watch]
	if about == nil {
		about = map[string]Showing{}
		c.about[v.Watch] = about
	}
	if about[v.Client].Kind == "" {
		p.Shown++
	}
	if v.Kind == Accepted {
		p.Bought++
	}
	if v.At.After(p.Last) {
		p.Last = v.At
	}
	about[v.Client] = v
	c.past[v.Client] = p
	switch k := (promiseKey{v.Watch, v.Client}); v.Kind {
	case Promised:
		c.promises[k] = v
	case Declined, Withdrawn, Accepted:
		delete(c.promises, k)
	}
}

// openPromises are the promises that were not answered.
func (s *Shop) openPromises(ctx context.Context) ([]Showing, error) {
	c := &s.wanted
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := s.readShowings(ctx); err != nil {
		return nil, fmt.Errorf("promises: %w", err)
	}
	out := make([]Showing, 0, len(c.promises))
	for _, v := range c.promises {
		out = append(out, v)
	}
	return out, nil
}

// ClientLine is a client as the list shows one.
type ClientLine struct {
	Client Client
	Last   time.Time // when something last passed between the two; zero: never
	Bought []Watch   // of the shop's, still on record as sold to them
}

// ClientLines lists the clients whose name, address, number, place, note or wants hold
// all words of a text, by name. Those whose data were erased are left out. That they
// were listed is logged.
func (s *Shop) ClientLines(ctx context.Context, text string) ([]ClientLine, error) {
	all, err := s.Clients(ctx)
	if err != nil {
		return nil, err
	}
	sold, err := s.soldTo(ctx)
	if err != nil {
		return nil, err
	}
	words := strings.Fields(strings.ToLower(text))
	var found []ClientLine
	for _, c := range all {
		if c.Erased.IsZero() && holds(c, words) {
			found = append(found, ClientLine{Client: c, Bought: sold[c.ID]})
		}
	}
	w := &s.wanted
	w.mu.Lock()
	defer w.mu.Unlock()
	if err := s.readShowings(ctx); err != nil {
		return nil, err
	}
	for i := range found {
		found[i].Last = w.past[found[i].Client.ID].Last
	}
	return found, nil
}

// holds reports whether a client's record holds all words, written in lower case.
func holds(c Client, words []string) bool {
	if len(words) == 0 {
		return true
	}
	var b strings.Builder
	add := func(all ...string) {
		for _, s := range all {
			b.WriteString(s)
			b.WriteByte('\n')
		}
	}
	add(c.Name, c.Email, c.Phone, c.Country, c.Address.City, c.Note, c.ID)
	for _, x := range c.Channels {
		add(x.Value)
	}
	for _, w := range c.Wants {
		add(w.Maker, w.Family, w.Reference, w.Metal, w.Dial, w.Note)
	}
	have := strings.ToLower(b.String())
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(have, w) })
}

// soldTo are the watches sold to each client.
func (s *Shop) soldTo(ctx context.Context) (map[string][]Watch, error) {
	stock, err := s.stockList(ctx)
	if err != nil {
		return nil, err
	}
	out := map[string][]Watch{}
	for _, w := range stock {
		if w.State == Sold && w.Client != "" {
			out[w.Client] = append(out[w.Client], w)
		}
	}
	return out, nil
}

// BoughtBy lists the watches sold to a client, by file number.
func (s *Shop) BoughtBy(ctx context.Context, client string) ([]Watch, error) {
	sold, err := s.soldTo(ctx)
	return sold[client], err
}

// Warm reads into memory what client pages, matching and the calendar begin with, so that
// the first page does not wait for it.
func (s *Shop) Warm(ctx context.Context) error {
	if _, err := s.clientList(ctx); err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	if _, err := s.stockList(ctx); err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	in, err := s.weighing(ctx)
	if err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	if _, _, err := s.Stock(ctx); err != nil { // opinions of the list begin to be formed
		return fmt.Errorf("warm: %w", err)
	}
	if _, err := s.TimeToSell(ctx); err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	s.wanted.mu.Lock()
	defer s.wanted.mu.Unlock()
	return s.refresh(ctx, in.set)
}

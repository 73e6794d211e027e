package shop

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// factsCache holds the facts of watches. What they follow from is in their stamp: where it
// is another, they are formed anew.
type factsCache struct {
	of map[WatchID]keptFacts
}

type keptFacts struct {
	stamp factsStamp
	facts Facts
}

// factsStamp is what facts follow from.
type factsStamp struct {
	seen     int // how often the watch was found changed
	sales    int
	day      string
	settings [sha256.Size]byte // of their text
	book     *refbook.Book
}

const factsKept = 50_000

// weighing is what one matching reads once: the settings, the market, the day.
type weighing struct {
	now    time.Time
	set    Settings
	market opinion.Market // nil where the shop has no sales
	rates  *market.Rates  // set once the caches were refreshed
	stamp  factsStamp
}

// convert converts by the rates of the day.
func (in weighing) convert(m money.Money, to money.Currency) (float64, bool) {
	if m.Currency() == to {
		return m.Float(), true
	}
	if in.rates == nil {
		return 0, false
	}
	v, err := in.rates.Convert(m.Float(), m.Currency(), to, in.now)
	return v, err == nil && v > 0
}

func (s *Shop) weighing(ctx context.Context) (weighing, error) {
	w := weighing{now: s.opt.Now()}
	var err error
	if w.set, w.stamp.settings, err = s.readSettings(ctx); err != nil {
		return w, err
	}
	model, err := s.marketIn(ctx, w.now, w.set.Currency)
	if err != nil {
		return w, err
	}
	if model != nil { // a nil *Model in the interface would not be nil
		w.market = model
	}
	if w.stamp.sales, err = s.stores.Sales.SaleCount(ctx); err != nil {
		return w, err
	}
	w.stamp.day, w.stamp.book = w.now.Format(time.DateOnly), s.Book(ctx)
	return w, nil
}

// readSettings are the shop's settings, taken apart only where their text changed, with
// a stamp of the text: a table of many days' rates is in it.
func (s *Shop) readSettings(ctx context.Context) (Settings, [sha256.Size]byte, error) {
	text, err := s.stores.Settings.Setting(ctx, settingsName)
	if err != nil && !errors.Is(err, ErrNotFound) {
		return Settings{}, [sha256.Size]byte{}, fmt.Errorf("settings: %w", err)
	}
	c := &s.wanted
	c.mu.Lock()
	defer c.mu.Unlock()
	if k := c.settings; k != nil && k.text == text {
		return k.settings, k.stamp, nil
	}
	set, err := s.Settings(ctx)
	if err != nil {
		return Settings{}, [sha256.Size]byte{}, err
	}
	c.settings = &keptSettings{text, set, sha256.Sum256([]byte(text))}
	return set, c.settings.stamp, nil
}

type keptSettings struct {
	text     string
	settings Settings
	stamp    [sha256.Size]byte
}

// factsOf are what matching needs to know of a watch, by what is known of it today.
func (s *Shop) factsOf(ctx context.Context, in weighing, w Watch) (Facts, error) {
	stamp := in.stamp
	_, seen, known := s.knownWatch(w.ID)
	stamp.seen = seen
	c := &s.wanted
	if known {
		c.mu.Lock()
		e, ok := c.facts.of[w.ID]
		c.mu.Unlock()
		if ok && e.stamp == stamp {
			return e.facts, nil
		}
	}
	f := s.listed(w, in)
	log, err := s.logOf(ctx, w)
	if err != nil {
		return Facts{}, err
	}
	if o, file, v, err := s.glance(log, in); err == nil { // without one the stock list's word counts
		f.fill(o, file)
		if v != nil && !math.IsNaN(v.Median) {
			f.Value, f.Currency = v.Median, v.Currency
		}
	}
	if known {
		c.mu.Lock()
		defer c.mu.Unlock()
		if c.facts.of == nil || len(c.facts.of) >= factsKept {
			c.facts.of = map[WatchID]keptFacts{}
		}
		c.facts.of[w.ID] = keptFacts{stamp, f}
	}
	return f, nil
}

// factsOfAll is factsOf for many watches, on all cores.
func (s *Shop) factsOfAll(ctx context.Context, in weighing, all []Watch) (map[WatchID]Facts, error) {
	found, errs := make([]Facts, len(all)), make([]error, len(all))
	var next atomic.Int64
	var done sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(all)) {
		done.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(all); i = int(next.Add(1)) - 1 {
				found[i], errs[i] = s.factsOf(ctx, in, all[i])
			}
		})
	}
	done.Wait()
	out := make(map[WatchID]Facts, len(all))
	for i, w := range all {
		out[w.ID] = found[i]
	}
	return out, errors.Join(errs...)
}

// listed are the facts that the stock list and the book give.
func (s *Shop) listed(w Watch, in weighing) Facts {
	f := Facts{Watch: w.ID, Title: w.Title, Maker: w.Maker, Reference: w.Reference, Asking: w.Asking, Currency: s.opt.Currency}
	f.fromBook(in.stamp.book)
	return f
}

// errOnlyGlance keeps an opinion from reckoning what only its value is not needed for.
var errOnlyGlance = errors.New("only a glance")

// glancing is a market that is asked for the value alone: without comparables, and with
// nothing to pay reckoned from it.
type glancing struct {
	opinion.Market
	got *market.Valuation
}

// Value implements opinion.Market.
func (g *glancing) Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	value := g.Market.Value
	if p, ok := g.Market.(interface {
		Predict(market.Subject, time.Time, market.Basis) (*market.Valuation, error)
	}); ok {
		value = p.Predict
	}
	v, err := value(s, asOf, basis)
	if err != nil {
		return nil, err
	}
	g.got = v
	return nil, errOnlyGlance
}

// glance forms what matching needs of an opinion, which takes a small part of the time of
// a whole one.
func (s *Shop) glance(log evidence.Watch, in weighing) (opinion.Opinion, evidence.File, *market.Valuation, error) {
	file := evidence.Fold(log, in.now)
	set := in.set.forOpinion(opinion.Settings{})
	if in.market == nil {
		o, err := opinion.Form(file, in.stamp.book, nil, set, in.now)
		return o, file, nil, err
	}
	g := &glancing{Market: in.market}
	o, err := opinion.Form(file, in.stamp.book, g, set, in.now)
	return o, file, g.got, err
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
}

package people

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// Facts are what matching needs to know of a watch. Unknown fields are zero or nil.
type Facts struct {
	Watch       shop.WatchID
	Title       string
	Maker       string
	Reference   string
	Family      string // id or name
	FamilyName  string
	Metal       string
	Dial        string // names of the dial's variant
	Set         string // watch, papers or full
	Years       map[int]float64
	Condition   *float64 // grade 1–10
	ConditionSD float64
	Originality *float64        // 0–1
	Has, HasNot map[string]bool // ids of terms on record, and of those looked for and not found
	Asking      money.Money
	Value       float64 // median, in Currency; 0 unknown
	Currency    money.Currency
}

// factsMark is what the facts of a watch follow from.
type factsMark struct {
	watch           shop.Mark
	sales, settings int64
	book, day       string
}

// terms are the shop's settings with its table of exchange rates.
type terms struct {
	set   shop.Settings
	rates *market.Rates // nil where there is no table
}

// weighing is what one matching reads once.
type weighing struct {
	terms
	now    time.Time
	market *market.Model // nil where the shop has no sales
	book   *refbook.Book
	passed *passed
	mark   factsMark
}

// convert converts by the rates of the day.
func (in *weighing) convert(m money.Money, to money.Currency) (float64, bool) {
	if m.Currency() == to {
		return m.Float(), true
	}
	if in.rates == nil {
		return 0, false
	}
	v, err := in.rates.Convert(m.Float(), m.Currency(), to, in.now)
	return v, err == nil && v > 0
}

func (r *Room) weighing(ctx context.Context) (*weighing, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	in := &weighing{now: r.shop.Now(), book: r.shop.Book(ctx)}
	in.mark = factsMark{sales: rev.Sales, settings: rev.Settings, book: rev.Book, day: in.now.Format(time.DateOnly)}
	if in.terms, err = r.terms.Get(ctx, struct{}{}, rev.Settings, r.readTerms); err != nil {
		return nil, err
	}
	if in.market, err = r.shop.MarketIn(ctx, in.now, in.set.Currency); err != nil {
		return nil, err
	}
	in.passed, err = r.whatPassed(ctx)
	return in, err
}

func (r *Room) readTerms(ctx context.Context) (out terms, err error) {
	if out.set, err = r.shop.Settings(ctx); err != nil {
		return out, err
	}
	if out.set.RatesCSV == "" {
		return out, nil
	}
	if out.rates, err = market.ReadRates(strings.NewReader(out.set.RatesCSV)); err != nil {
		return out, fmt.Errorf("exchange rates: %w", err)
	}
	return out, nil
}

// factsOf are what matching needs to know of a watch, by what is known of it today.
func (r *Room) factsOf(ctx context.Context, in *weighing, w shop.Watch) (Facts, error) {
	mark := in.mark
	var err error
	if mark.watch, err = r.shop.MarkOf(ctx, w.ID); err != nil {
		return Facts{}, err
	}
	return r.facts.Get(ctx, w.ID, mark, func(ctx context.Context) (Facts, error) {
		f := Facts{Watch: w.ID, Title: w.Title, Maker: w.Maker, Reference: w.Reference, Asking: w.Asking,
			Currency: r.shop.Currency()}
		f.fromBook(in.book)
		log, err := r.shop.LogOf(ctx, w)
		if err != nil {
			return Facts{}, err
		}
		if o, file, v, err := in.glance(log); err == nil { // without one the stock list's word counts
			f.fill(o, file)
			if v != nil && !math.IsNaN(v.Median) {
				f.Value, f.Currency = v.Median, v.Currency
			}
		}
		return f, nil
	})
}

// factsOfAll is factsOf for many watches, on all cores.
func (r *Room) factsOfAll(ctx context.Context, in *weighing, all map[shop.WatchID]shop.Watch) (map[shop.WatchID]Facts,
	error) {
	type one struct{ f Facts }
	found := make(map[shop.WatchID]*one, len(all))
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	for id, w := range all {
		x := &one{}
		found[id] = x
		work.Go(func() (err error) {
			x.f, err = r.factsOf(ctx, in, w)
			return err
		})
	}
	err := work.Wait()
	out := make(map[shop.WatchID]Facts, len(all))
	for id, x := range found {
		out[id] = x.f
	}
	return out, err
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

// errOnlyGlance makes an opinion leave out what its value is not needed for.
var errOnlyGlance = errors.New("only a glance")

// glancing is a market that is asked for the value alone: without comparables, and with
// nothing to pay computed from it.
type glancing struct {
	*market.Model
	got *market.Valuation
}

// Value implements opinion.Market.
func (g *glancing) Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	v, err := g.Predict(s, asOf, basis)
	if err != nil {
		return nil, err
	}
	g.got = v
	return nil, errOnlyGlance
}

// glance forms what matching needs of an opinion, which takes a small part of the time of
// a whole one.
func (in *weighing) glance(log evidence.Watch) (opinion.Opinion, evidence.File, *market.Valuation, error) {
	file := evidence.Fold(log, in.now)
	set := in.set.ForOpinion(opinion.Settings{})
	if in.market == nil {
		o, err := opinion.Form(file, in.book, nil, set, in.now)
		return o, file, nil, err
	}
	g := &glancing{Model: in.market}
	o, err := opinion.Form(file, in.book, g, set, in.now)
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
	f.Originality = o.Originality
	for _, p := range o.Parts {
		if p.Slot == evidence.Dial && p.Verdict != opinion.Missing {
			f.Dial = strings.TrimSpace(p.VariantName + " " + p.Variant)
		}
	}
	for _, x := range evidence.All[*evidence.Fitted](file) { // the latest first
		if x.Data.Slot == evidence.Dial {
			if f.Dial != "" && x.Data.Description != "" {
				f.Dial += ", "
			}
			f.Dial += x.Data.Description
			break
		}
	}
	f.findings(file)
	if o.Dating.Known {
		f.Years = map[int]float64{}
		for _, m := range o.Dating.Months {
			f.Years[m.Month.Year()] += m.P
		}
	}
}

// findings are what was found on the watch: of each term and slot the latest word.
func (f *Facts) findings(file evidence.File) {
	f.Has, f.HasNot = map[string]bool{}, map[string]bool{}
	type place struct {
		slot evidence.Slot
		term string
	}
	said := map[place]bool{}
	for _, x := range evidence.All[*evidence.Finding](file) {
		t, known := condition.Lookup(x.Data.Term)
		k := place{x.Data.Slot, t.ID}
		if !known || said[k] {
			continue
		}
		said[k] = true
		to := f.Has
		if !t.Good && x.Data.Severity == 0 {
			to = f.HasNot
		}
		to[t.ID] = true
	}
	for id := range f.Has {
		delete(f.HasNot, id) // missing on one part, found on another
	}
}

package shop

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"midcase/deal"
	"midcase/evidence"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/memo"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// ratesTable is the shop's table of exchange rates; nil where it has none.
func (s *Shop) ratesTable(ctx context.Context) (*market.Rates, error) {
	set, err := s.KeptSettings(ctx)
	if err != nil || set.RatesCSV == "" {
		return nil, err
	}
	return s.known.rates.Get(ctx, memo.One{}, set.RatesSum, func(context.Context) (*market.Rates, error) {
		r, err := market.ReadRates(strings.NewReader(set.RatesCSV))
		if err != nil {
			return nil, fmt.Errorf("exchange rates: %w", err)
		}
		return r, nil
	})
}

// latestRate is the rate of a day, or the latest one of the year before it: enough for an estimate,
// though not for a booking.
func (s *Shop) latestRate(ctx context.Context, of, in money.Currency, day string) (float64, bool) {
	on, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return 0, false
	}
	const step, most = 10, 370 // the table looks back ten days by itself
	for back := 0; back <= most; back += step {
		if r, ok := s.rateBetween(ctx, of, in, on.AddDate(0, 0, -back).Format(time.DateOnly)); ok {
			return r, true
		}
	}
	return 0, false
}

// rateBetween is so much of one currency for 1 of another on a day.
func (s *Shop) rateBetween(ctx context.Context, of, in money.Currency, day string) (float64, bool) {
	if of == in {
		return 1, true
	}
	on, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return 0, false
	}
	table, err := s.ratesTable(ctx)
	if err != nil || table == nil {
		return 0, false
	}
	r, err := table.Convert(1, of, in, on)
	return r, err == nil && r > 0
}

// SellingOf is what selling a watch is reckoned from: its evidence as of a moment, the market in
// a currency (empty: the shop's), the shop's terms, what was paid and is asked, how long it has been
// on sale, and how long such watches took to sell. Terms and prices kept in another currency are
// turned at the rate of the day, or the latest of the year before it; without one it errs.
func (s *Shop) SellingOf(ctx context.Context, id WatchID, asOf time.Time,
	currency money.Currency) (opinion.SellingInput, error) {
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return opinion.SellingInput{}, fmt.Errorf("selling: %w", err)
	}
	in, err := s.SellingTerms(ctx, asOf, currency)
	if err != nil {
		return in, err
	}
	log, err := s.Log(ctx, id)
	if err != nil {
		return in, fmt.Errorf("selling: %w", err)
	}
	in.File = evidence.Fold(log, asOf)
	return in, s.standing(ctx, w, &in.Settings, asOf)
}

// Standing adds to the settings how a watch stands in the shop as of a moment, as the
// opinion on it counts it.
func (s *Shop) Standing(ctx context.Context, w Watch, set *opinion.Settings, asOf time.Time) error {
	return s.standing(ctx, w, set, asOf)
}

// standing adds to the settings how a watch stands in the shop as of a moment: what was
// paid and is asked, and for how long it has been on sale. An amount in a currency that
// the shop has no rate for stays as it is; the error says so.
func (s *Shop) standing(ctx context.Context, w Watch, set *opinion.Settings, asOf time.Time) error {
	day := asOf.Format(time.DateOnly)
	paid, asked := w.Cost, w.Asked
	if w.Ownership() == OfOthers {
		paid = money.Money{} // the agreed value, which nobody has paid
	}
	if day < s.opt.Now().Format(time.DateOnly) { // the record says how it stands today
		asked = money.Money{}
		if first, ok := w.Acquired.First(); ok && first.After(asOf) {
			paid = money.Money{}
		}
	}
	if !set.Asked.IsZero() {
		asked = set.Asked
	}
	var problems []error
	for _, x := range []struct {
		from money.Money
		into *money.Money
	}{{paid, &set.Stock.Paid}, {w.Asking, &set.Stock.Asking}, {asked, &set.Asked}} {
		var err error
		*x.into, err = s.turned(ctx, x.from, set.Currency, day)
		problems = append(problems, err)
	}
	moves, err := s.stores.Steps.Movements(ctx, w.ID)
	problems = append(problems, err)
	set.Stock.DaysOnSale, set.Stock.Sold = daysOnOffer(moves, day), w.State == Sold
	if w.Ownership() == OfOthers && w.State.Held() {
		set.Stock.Consigned, err = s.consigned(ctx, w.ID, set.Currency, day)
		problems = append(problems, err)
	}
	return errors.Join(problems...)
}

// consigned are the terms on which a watch is sold for its owner; nil where the ledger has
// none.
func (s *Shop) consigned(ctx context.Context, id WatchID, in money.Currency, day string) (*opinion.Consigned, error) {
	entries, err := s.Entries(ctx, EntryFilter{Watch: id})
	if err != nil {
		return nil, fmt.Errorf("selling: %w", err)
	}
	h, err := ledger.HoldingOf(string(id), entries)
	if err != nil || h.Consign == nil {
		return nil, err
	}
	out := &opinion.Consigned{}
	out.Commission, _ = h.Consign.Commission.Float64()
	out.Net, err = s.turned(ctx, h.Consign.Net, in, day)
	return out, err
}

// turned is an amount in another currency at the rate of a day.
func (s *Shop) turned(ctx context.Context, m money.Money, to money.Currency, day string) (money.Money, error) {
	if m.IsZero() || m.Currency() == to {
		return m, nil
	}
	r, ok := s.latestRate(ctx, m.Currency(), to, day)
	if !ok {
		return m, Refuse("selling", "currency", fmt.Sprintf("%s and no rate to %s", m.Currency(), to),
			"a table of exchange rates with both in the shop's settings")
	}
	return money.Round(m.Float()*r, to)
}

// SellingTerms are the shop's book, market and terms in a currency (empty: the shop's), without a
// watch.
func (s *Shop) SellingTerms(ctx context.Context, asOf time.Time, currency money.Currency) (opinion.SellingInput,
	error) {
	in := opinion.SellingInput{AsOf: asOf, Book: s.Book(ctx)}
	set, err := s.OwnTerms(ctx, asOf, opinion.Settings{Currency: currency})
	if err != nil {
		return in, err
	}
	if !set.NoDeal.IsZero() {
		return in, Refuse("selling", "currency", fmt.Sprintf("%q", currency),
			"a currency of the shop's table of exchange rates: "+set.NoDeal.String())
	}
	in.Settings = set
	if currency != "" && currency != s.Currency() {
		in.Settings.Spots = nil // given in the shop's currency, and not used here
	}
	in.Market, err = s.MarketFor(ctx, asOf, &in.Settings)
	return in, err
}

// ownTerms are the settings of an opinion on the shop's own terms: those given, else its
// own; its routes of selling, and its time to sell as learned. Terms are turned into the
// opinion's currency at the latest rate; without one, NoDeal says so.
func (s *Shop) OwnTerms(ctx context.Context, asOf time.Time, given opinion.Settings) (opinion.Settings, error) {
	own, err := s.Settings(ctx)
	if err != nil {
		return opinion.Settings{}, err
	}
	set := own.ForOpinion(given)
	if set.Time, err = s.timesToSell(ctx, asOf); err != nil {
		return set, err
	}
	if len(set.Selling.Routes) == 0 {
		set.Selling = opinion.CommonSellingTerms(set.Terms)
	}
	if set.Currency == own.Currency {
		return set, nil
	}
	rate, ok := s.latestRate(ctx, own.Currency, set.Currency, asOf.Format(time.DateOnly))
	if !ok {
		set.NoDeal = say.That("deal.no-rate", say.Name("from", string(own.Currency)),
			say.Name("to", string(set.Currency)))
		return set, nil
	}
	set.Terms, set.Selling = termsAt(set.Terms, rate), sellingAt(set.Selling, rate)
	return set, nil
}

// termsAt are the deal terms with their amounts turned at a rate.
func termsAt(t opinion.DealTerms, rate float64) opinion.DealTerms {
	t.FixedCost *= rate
	for i := range t.ServiceCost {
		t.ServiceCost[i] *= rate
	}
	return t
}

// sellingAt are the terms of selling with their amounts turned at a rate.
func sellingAt(t opinion.SellingTerms, rate float64) opinion.SellingTerms {
	out := t
	out.Routes = append([]opinion.RouteTerms(nil), t.Routes...)
	for i := range out.Routes {
		r := &out.Routes[i]
		fees := append([]deal.Fee(nil), r.Fees...)
		for k := range fees {
			fees[k].Fixed *= rate
			fees[k].Least *= rate
			fees[k].Tiers = tiersAt(fees[k].Tiers, rate)
		}
		r.Fees, r.BuyersPremium.Tiers = fees, tiersAt(r.BuyersPremium.Tiers, rate)
	}
	return out
}

func tiersAt(tiers []deal.Tier, rate float64) []deal.Tier {
	out := append([]deal.Tier(nil), tiers...)
	for i := range out {
		out[i].Over *= rate
	}
	return out
}

// Turned is an amount in another currency at the rate of a day from the shop's table of exchange
// rates, or the latest of the year before it.
func (s *Shop) Turned(ctx context.Context, m money.Money, to money.Currency, day string) (money.Money, error) {
	return s.turned(ctx, m, to, day)
}

// RateOn is the shop's rate of a day from its table of exchange rates: so much of the
// shop's currency for 1 of another. ok is false where the table does not tell.
func (s *Shop) RateOn(ctx context.Context, of money.Currency, day string) (rate float64, ok bool) {
	return s.rateBetween(ctx, of, s.Currency(), day)
}

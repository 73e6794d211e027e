package opinion

import (
	"errors"
	"math"
	"strings"

	"midcase/deal"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/money"
	"midcase/say"
)

// deal computes what to pay: the shop's first route, by the same plan as the page that
// compares routes. A value to insure is no sale, so no price follows from it.
func (f *forming) deal() {
	t := f.settings.Terms
	out := Deal{WantedMargin: t.WantedMargin, Confidence: t.Confidence, Says: []say.Statement{}}
	switch {
	case f.valuation == nil:
		out.CannotTell = say.That("deal.no-value")
	case f.settings.Basis == "insurance":
		out.CannotTell = say.That("deal.insurance")
	case !f.settings.NoDeal.IsZero():
		out.CannotTell = f.settings.NoDeal
	default:
		if err := f.fillDeal(&out); err != nil {
			out.CannotTell = because(err)
		}
	}
	f.out.Deal = out
}

// workExpected is the work that the evidence makes likely, as ranges of cost.
func (f *forming) workExpected() []deal.Cost {
	needed, service := f.workNeeded()
	s := f.settings.Terms.ServiceCost
	if s == ([3]float64{}) || service {
		return needed
	}
	c := deal.Cost{Name: "service", Low: s[0], Mode: s[1], High: s[2], Chance: 0.5}
	switch need := f.out.Running.ServiceExpected; {
	case need != nil && *need:
		c.Chance = 1
	case need != nil:
		c.Chance = 0.15
	}
	return append([]deal.Cost{c}, needed...)
}

// How far the cost of work strays from its estimate: common practice, no published source.
const (
	belowEstimate = 0.9
	aboveEstimate = 1.25
)

// workNeeded is the work on record as still needed, with its estimates; service reports
// whether a service is among it.
func (f *forming) workNeeded() (out []deal.Cost, service bool) {
	for _, n := range evidence.All[*evidence.Need](f.file) {
		cost := n.Data.Cost
		if cost.IsZero() || cost.Currency() != f.settings.Currency {
			continue
		}
		v := cost.Float()
		out = append(out, deal.Cost{Name: n.Data.What, Low: belowEstimate * v, Mode: v, High: aboveEstimate * v, Chance: 1})
		service = service || strings.Contains(strings.ToLower(n.Data.What), "service")
	}
	return out, service
}

// asked is the price asked, as set or as last claimed, where its currency is the
// opinion's.
func (f *forming) asked() (money.Money, []Basis) {
	if !f.settings.Asked.IsZero() {
		return f.inCurrency(f.settings.Asked, []Basis{{Source: "setting", ID: "asked"}})
	}
	for _, c := range evidence.All[*evidence.Claim](f.file) {
		if !c.Data.Price.IsZero() {
			return f.inCurrency(c.Data.Price, fromEvidence(c.Item.ID))
		}
	}
	return money.Money{}, nil
}

func (f *forming) inCurrency(m money.Money, basis []Basis) (money.Money, []Basis) {
	if m.Currency() != f.valuation.Currency {
		f.unknown(say.That("unknown.currency", say.Name("asked", string(m.Currency())),
			say.Name("value", string(f.valuation.Currency))))
		return money.Money{}, nil
	}
	return m, basis
}

// fillDeal fills all of out, or errs before it touches it.
func (f *forming) fillDeal(out *Deal) error {
	s, err := f.seller()
	if err != nil {
		return err
	}
	s.value(s.terms.Routes[:1])
	if !s.out.CannotTell.IsZero() {
		return errors.New(s.out.CannotTell.String())
	}
	s.price()
	s.withTrade()
	p, err := s.plan()
	if err != nil {
		return err
	}
	profit, r := p.profit, p.result
	out.Known, out.Route, out.HighestPrice, out.ExpectedProfit = true, p.route, p.highest, &profit
	out.ChanceOfLoss = ptr(round(r.ChanceOfLoss, 4))
	out.ProfitInterval = [2]float64{math.Round(r.ProfitInterval90.Low()), math.Round(r.ProfitInterval90.High())}
	switch s.out.PriceIs {
	case PriceIsPaid:
		out.PaidPrice = s.out.Price
	case PriceIsAsked:
		out.AskedPrice = s.out.Price
	}
	if r.MonthsToSell.Told() {
		m := r.MonthsToSell
		out.MonthsToSell = &m
	}
	for _, c := range r.Costs {
		out.Costs = append(out.Costs, Cost{Name: c.Name, Mean: round(c.Mean, 0),
			Interval: [2]float64{round(c.Interval90.Low(), 0), round(c.Interval90.High(), 0)}})
	}
	out.Floor = f.out.Metal.MeltFloor
	out.Basis = append(append(s.priceBasis, f.out.Value.Basis...), Basis{Source: "setting", ID: "terms"})
	out.Says = append(out.Says, s.standing()...)
	if p.highest != nil {
		out.Says = append(out.Says, say.That("deal.pay", say.Money("price", *p.highest),
			say.Share("margin", out.WantedMargin), say.Share("confidence", out.Confidence), route("route", p.route)))
	}
	out.Says = append(out.Says, resultAt(s.out, *out))
	if r.Ask > 0 {
		out.Says = append(out.Says, say.That("deal.plan", say.Amount("ask", r.Ask, s.currency()),
			say.Chance("unsold", r.ChanceUnsold)))
	}
	out.Says = append(out.Says, r.Says...)
	return nil
}

// resultAt says what is expected at the price paid, or asked, or else the highest.
func resultAt(at Selling, d Deal) say.Statement {
	profit := func(name string) say.Arg {
		return say.Valued(name, d.ExpectedProfit.Float(), estimate.Interval(d.ProfitInterval),
			d.ExpectedProfit.Currency())
	}
	loss := *d.ChanceOfLoss
	if at.Consigned {
		return say.That("deal.result-consigned", profit("profit"), say.Chance("loss", loss))
	}
	switch at.PriceIs {
	case PriceIsPaid:
		return say.That("deal.result-at-paid", say.Money("price", *at.Price), profit("profit"),
			say.Chance("loss", loss))
	case PriceIsAsked:
		return say.That("deal.result-at-asked", say.Money("price", *at.Price), profit("profit"),
			say.Chance("loss", loss))
	}
	return say.That("deal.result", profit("profit"), say.Chance("loss", loss))
}

// route is the name of a route, which is a word of the trade or the shop's own.
func route(name, id string) say.Arg { return say.Term(name, "route", id, id) }

// floorTo3 rounds a price to pay down to three significant figures, so that rounding
// never eats the margin.
func floorTo3(v float64) float64 {
	if v <= 0 {
		return 0
	}
	unit := unitOf3(v)
	return math.Floor(v/unit) * unit
}

// roundTo3 rounds an expected amount to three significant figures, and to whole units:
// more would only be the noise of the draws.
func roundTo3(v float64) float64 {
	unit := unitOf3(v)
	return math.Round(v/unit) * unit
}

func unitOf3(v float64) float64 {
	return math.Pow(10, math.Max(0, math.Floor(math.Log10(math.Max(1, math.Abs(v))))-2))
}

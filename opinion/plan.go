package opinion

import (
	"fmt"
	"math"
	"time"

	"midcase/deal"
	"midcase/market"
	"midcase/money"
	"midcase/say"
)

// seller is the work that what to pay, routes and ladder share.
type seller struct {
	f          *forming
	terms      SellingTerms
	time       *deal.TimeToSell
	priced     []pricedRoute // the routes that the market has a value for
	priceBasis []Basis       // where the price at which routes are compared is from
	out        Selling
}

type pricedRoute struct {
	RouteTerms
	value *market.Valuation
}

// newSeller values and prices all routes.
func newSeller(in SellingInput) (*seller, error) {
	set, err := complete(in.Settings)
	if err != nil {
		return &seller{}, err
	}
	s, err := formedFor(in, set).seller()
	if err != nil {
		return s, err
	}
	if s.f.market == nil {
		s.out.CannotTell = set.noMarket()
		return s, nil
	}
	s.value(s.terms.Routes)
	if len(s.priced) > 0 {
		s.price()
	}
	return s, nil
}

// seller is the seller of a watch of which all but value and deal is formed.
func (f *forming) seller() (*seller, error) {
	s := &seller{f: f, terms: f.settings.Selling, time: f.settings.Time}
	s.out = Selling{
		Watch: f.out.Watch, AsOf: f.asOf.Format(time.DateOnly), Route: s.terms.Routes[0].Name,
		Values: []RouteValue{}, Says: []say.Statement{}, Cautions: sellingCautions,
	}
	if s.time == nil {
		var err error
		if s.time, err = deal.FitTimeToSell(nil, deal.PriorAround(f.settings.Terms.TimeToSell)); err != nil {
			return s, fmt.Errorf("settings: time to sell: %w", err)
		}
	}
	return s, nil
}

// plan is what to pay, by the first route of the shop's terms. Every page, paper and
// file that names a highest price takes it from here.
type plan struct {
	route           string
	highest, profit money.Money
	result          deal.Result
}

func (s *seller) plan() (plan, error) {
	r, err := deal.Buy(s.routes().First())
	if err != nil {
		return plan{}, err
	}
	p := plan{route: s.priced[0].Name, result: r}
	if p.highest, err = money.Round(floorTo3(r.HighestPrice), s.currency()); err != nil {
		return p, err
	}
	if p.profit, err = money.Round(roundTo3(r.ExpectedProfit), s.currency()); err != nil {
		return p, err
	}
	s.out.HighestPrice, s.out.ExpectedProfit = &p.highest, &p.profit
	return p, nil
}

// hasFirst reports whether the market has a value for the first route of the terms.
func (s *seller) hasFirst() bool { return s.priced[0].Name == s.terms.Routes[0].Name }

// routes are the routes that the market has a value for, on the shop's terms.
func (s *seller) routes() deal.RoutesInput {
	t := s.f.settings.Terms
	out := deal.RoutesInput{
		Currency: s.currency(), Work: s.f.workExpected(), CarryingRatePerYear: t.CarryingRatePerYear, Tax: t.Tax,
		WantedMargin: t.WantedMargin, Confidence: t.Confidence, Together: s.terms.Together, Seed: t.Seed,
	}
	if s.out.Price != nil {
		paid := s.out.Price.Float()
		out.Paid = &paid
	}
	for _, r := range s.priced {
		out.Routes = append(out.Routes, deal.Route{
			Name: r.Name, Sale: saleOf(r.value), BuyersPremium: r.BuyersPremium, Fees: r.Fees,
			TimeToSell: s.timeOn(r.RouteTerms), Tax: r.Tax,
		})
	}
	return out
}

// ladder is the first route over asking prices. at is the price of the plan, so that
// both tell the net result of the same purchase.
func (s *seller) ladder(at float64) deal.LadderInput {
	first, t, stock := s.priced[0], s.f.settings.Terms, s.f.settings.Stock
	in := deal.LadderInput{
		Currency: s.currency(), Value: saleOf(first.value), Paid: at, Work: s.f.workExpected(), Fees: first.Fees,
		CarryingRatePerYear: t.CarryingRatePerYear, Tax: t.Tax, Time: s.time, Watch: CovariatesOf(s.out.Watch),
		Haggling: s.haggling(), DaysOnSale: stock.DaysOnSale, Seed: t.Seed,
	}
	if first.Tax != nil {
		in.Tax = *first.Tax
	}
	if !stock.Asking.IsZero() {
		asking, _ := s.f.inCurrency(stock.Asking, nil)
		in.CurrentAsk = asking.Float()
	}
	if in.CurrentAsk == 0 {
		in.DaysOnSale = 0 // no price was asked so far, so that nothing can be learned of it
	}
	return in
}

// againstPlan says by how much the net result at the best ask differs from the plan's
// expected profit, which leaves the ask open.
func (s *seller) againstPlan(l deal.LadderReport, p plan) say.Statement {
	net := l.Rungs[l.Best].ExpectedNet
	by := net - p.result.ExpectedProfit
	if by < 0 {
		return say.That("selling.ladder-less", say.Amount("net", net, s.currency()),
			say.Amount("by", -by, s.currency()), say.Money("profit", p.profit))
	}
	return say.That("selling.ladder-more", say.Amount("net", net, s.currency()), say.Amount("by", by, s.currency()),
		say.Money("profit", p.profit))
}

// value asks the market for each route's price.
func (s *seller) value(routes []RouteTerms) {
	var problem error
	for _, r := range routes {
		v, err := s.f.valueOn(r.Basis)
		if err != nil {
			problem = err
			s.out.Says = append(s.out.Says, say.That("selling.route-without-value", route("route", r.Name),
				say.Term("basis", "basis", string(r.Basis), ""), say.Saying("why", because(err))))
			continue
		}
		s.priced = append(s.priced, pricedRoute{r, v})
		i := v.Interval[90]
		s.out.Values = append(s.out.Values, RouteValue{
			Route: r.Name, Basis: r.Basis, Definition: r.Basis.Definition(),
			Median: round(v.Median, 2), Interval90: [2]float64{round(i[0], 2),
				round(i[1], 2)}, Says: v.Says,
		})
	}
	if len(s.priced) == 0 {
		s.out.CannotTell = because(problem)
		return
	}
	if s.f.valuation == nil {
		s.f.valuation = s.priced[0].value
	}
}

// price is what was paid, or is asked of the shop.
func (s *seller) price() {
	before := len(s.f.out.Unknown)
	m, is := money.Money{}, PriceIsPaid
	if paid := s.f.settings.Stock.Paid; !paid.IsZero() {
		m, s.priceBasis = s.f.inCurrency(paid, []Basis{{Source: "setting", ID: "paid"}})
	} else {
		m, s.priceBasis = s.f.asked()
		is = PriceIsAsked
	}
	s.out.Says = append(s.out.Says, s.f.out.Unknown[before:]...)
	if !m.IsZero() {
		s.out.Price, s.out.PriceIs = &m, is
	}
}

func (s *seller) currency() money.Currency { return s.priced[0].value.Currency }

func (s *seller) timeOn(r RouteTerms) deal.Weibull {
	if r.TimeToSell != (deal.Weibull{}) {
		return r.TimeToSell
	}
	c := CovariatesOf(s.out.Watch)
	c.AskOverValue = 1
	return s.time.At(c)
}

// haggling takes what a watch given up brings from the market, where that has both
// trade prices and those of the first route.
func (s *seller) haggling() deal.Haggling {
	h := s.terms.Haggling
	for _, r := range s.priced {
		if r.Basis == market.Trade {
			h.GivenUp = math.Min(1, math.Exp(r.value.LogMedian-s.priced[0].value.LogMedian))
		}
	}
	return h
}

func saleOf(v *market.Valuation) deal.Sale {
	return deal.Sale{LogMedian: v.LogMedian, LogScale: v.LogScale, DoF: v.DoF}
}

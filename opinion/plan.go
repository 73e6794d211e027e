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
	last       *pricedRoute  // to the trade, where that is no route looked at
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
	route   string
	highest *money.Money // nil for a consigned watch
	profit  money.Money
	result  deal.Result
}

func (s *seller) plan() (plan, error) {
	r, err := deal.Buy(s.routes().First())
	if err != nil {
		return plan{}, err
	}
	p := plan{route: s.priced[0].Name, result: r}
	if p.profit, err = money.Round(roundTo3(r.ExpectedProfit), s.currency()); err != nil {
		return p, err
	}
	s.out.ExpectedProfit = &p.profit
	if s.consigned() {
		return p, nil
	}
	highest, err := money.Round(floorTo3(r.HighestPrice), s.currency())
	p.highest, s.out.HighestPrice = &highest, &highest
	return p, err
}

// hasFirst reports whether the market has a value for the first route of the terms.
func (s *seller) hasFirst() bool { return s.priced[0].Name == s.terms.Routes[0].Name }

// routes are the routes that the market has a value for, on the shop's terms.
func (s *seller) routes() deal.RoutesInput {
	t, bound := s.f.settings.Terms, s.bound()
	out := deal.RoutesInput{
		Currency: s.currency(), Work: s.f.workExpected(), CarryingRatePerYear: t.CarryingRatePerYear,
		HurdleRatePerYear: t.HurdleRatePerYear, Bound: &bound, Tax: t.Tax, WantedMargin: t.WantedMargin,
		Confidence: t.Confidence, Together: s.terms.Together, Seed: t.Seed,
	}
	if s.out.Price != nil {
		paid := s.out.Price.Float()
		out.Paid = &paid
	}
	for i, r := range s.priced {
		one := deal.Route{Name: r.Name, Sale: saleOf(r.value), BuyersPremium: r.BuyersPremium, Fees: r.Fees, Tax: r.Tax}
		switch r.Name {
		case deal.Trade:
			one.TimeToSell = s.timeOn(r.RouteTerms)
		case deal.Auction:
			one.TimeToSell, one.Lot = s.timeOn(r.RouteTerms), r.Lot
			one.Lot.Last = s.inTheEnd(r.value, r.Lot.Last)
		default:
			one.Listing = s.listing(r, i == 0)
		}
		out.Routes = append(out.Routes, one)
	}
	if s.consigned() {
		s.forOwner(&out)
	}
	return out
}

// listing is how the watch is offered on a route. Its days on offer and the price asked
// meanwhile are those of the first route.
func (s *seller) listing(r pricedRoute, first bool) *deal.Listing {
	l := &deal.Listing{Time: s.time, Watch: CovariatesOf(s.out.Watch), Haggling: s.terms.Haggling}
	if r.TimeToSell != (deal.Weibull{}) {
		l.Time = statedTime(r.TimeToSell, s.time)
	}
	l.GivenUp = s.inTheEnd(r.value, l.GivenUp)
	if trade := s.trade(); trade != nil {
		l.LastFees = trade.Fees
	}
	stock := s.f.settings.Stock
	if first && !stock.Sold && stock.Asking.Currency() == s.currency() && stock.Asking.Sign() > 0 {
		l.CurrentAsk, l.DaysOnSale = stock.Asking.Float(), stock.DaysOnSale
	} // else no price was asked so far, so that nothing can be learned of it
	return l
}

// statedTime is the time to sell that the terms of a route state; where it cannot be
// used, that of the shop's history.
func statedTime(w deal.Weibull, otherwise *deal.TimeToSell) *deal.TimeToSell {
	t, err := deal.FitTimeToSell(nil, deal.PriorAround(w))
	if err != nil {
		return otherwise
	}
	t.Says = nil
	return t
}

// trade is the route of selling to the trade; nil where the market has no value for it.
func (s *seller) trade() *pricedRoute {
	for i := range s.priced {
		if s.priced[i].Basis == market.Trade {
			return &s.priced[i]
		}
	}
	return s.last
}

// inTheEnd is what the trade pays, as a share of another value; otherwise where the market
// does not tell.
func (s *seller) inTheEnd(of *market.Valuation, otherwise float64) float64 {
	if trade := s.trade(); trade != nil {
		return math.Min(1, math.Exp(trade.value.LogMedian-of.LogMedian))
	}
	return otherwise
}

// bound is the money bound in the watch: what selling it to the trade today would free.
func (s *seller) bound() float64 {
	switch trade := s.trade(); {
	case s.consigned():
		return 0
	case trade != nil:
		return math.Exp(trade.value.LogMedian)
	}
	return s.terms.Haggling.GivenUp * math.Exp(s.priced[0].value.LogMedian)
}

func (s *seller) consigned() bool { return s.f.settings.Stock.Consigned != nil }

// forOwner sells on consignment: the owner's part of the price is a cost of selling, tax
// is on the commission, and unsold it goes back to its owner.
func (s *seller) forOwner(out *deal.RoutesInput) {
	nothing, tax := 0.0, 0.0
	out.Paid = &nothing
	if t := out.Tax; t.Scheme == deal.MarginTaxed || t.Scheme == deal.Ordinary {
		tax = t.Rate / (1 + t.Rate)
	}
	out.Tax = deal.Tax{}
	var listed []deal.Route
	for _, r := range out.Routes {
		if r.Listing == nil {
			continue
		}
		r.Listing.GivenUp, r.Listing.LastFees, r.Tax = 0, nil, nil
		r.Fees = append(append([]deal.Fee(nil), r.Fees...), s.ownersPart(r.Fees, tax)...)
		listed = append(listed, r)
	}
	out.Routes = listed
}

// mostCosts is the share of a price that all fees may take together: something must be
// left of it.
const mostCosts = 0.98

// ownersPart is what the owner of a consigned watch gets, and the tax on what the shop keeps.
func (s *seller) ownersPart(others []deal.Fee, tax float64) []deal.Fee {
	c := s.f.settings.Stock.Consigned
	if c.Net.Sign() > 0 && c.Net.Currency() == s.currency() {
		return []deal.Fee{{Name: "owner_and_tax", ShareOfSale: tax, Fixed: (1 - tax) * c.Net.Float()}}
	}
	left := mostCosts - tax*c.Commission
	for _, f := range others {
		left -= f.ShareOfSale * (1 + f.TaxRate)
	}
	return []deal.Fee{{Name: "owner", ShareOfSale: math.Max(0, math.Min(1-c.Commission, left))},
		{Name: "commission_tax", ShareOfSale: tax * c.Commission}}
}

// standing says what of how the watch stands in the shop counts.
func (s *seller) standing() []say.Statement {
	var out []say.Statement
	if c := s.f.settings.Stock.Consigned; c != nil && c.Net.IsZero() {
		out = append(out, say.That("selling.consigned", say.Share("commission", c.Commission)))
	} else if c != nil {
		out = append(out, say.That("selling.consigned-net", say.Money("net", c.Net)))
	}
	return out
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

// withTrade asks the market what the trade pays, where no route looked at is to the trade.
func (s *seller) withTrade() {
	if s.trade() != nil {
		return
	}
	for _, r := range s.terms.Routes {
		if r.Basis != market.Trade {
			continue
		}
		if v, err := s.f.valueOn(r.Basis); err == nil {
			s.last = &pricedRoute{r, v}
			return
		}
	}
}

// price is what was paid, or is asked of the shop.
func (s *seller) price() {
	if s.consigned() {
		s.out.Consigned = true
		return
	}
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

func saleOf(v *market.Valuation) deal.Sale {
	return deal.Sale{LogMedian: v.LogMedian, LogScale: v.LogScale, DoF: v.DoF}
}

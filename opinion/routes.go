package opinion

import (
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/deal"
	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/refbook"
)

// RouteTerms are the shop's terms on one route of selling.
type RouteTerms struct {
	Name          string
	Basis         market.Basis // of the sale price: at auction the hammer price, unless BuyersPremium is given
	Fees          []deal.Fee
	BuyersPremium deal.BuyersPremium
	TimeToSell    deal.Weibull // zero: by the shop's history of watches on sale
	Tax           *deal.Tax    // nil: that of DealTerms
}

// SellingTerms are the shop's terms of selling. The zero value means
// CommonSellingTerms of the deal terms.
type SellingTerms struct {
	Routes   []RouteTerms // the first is the one that a price ladder is for
	Haggling deal.Haggling
	Together float64 // correlation of the routes' prices, see deal.RoutesInput
}

// CommonSellingTerms are terms to start from until the shop sets its own: common
// practice, no published source.
func CommonSellingTerms(t DealTerms) SellingTerms {
	return SellingTerms{
		Routes: []RouteTerms{
			{Name: deal.OwnSite, Basis: market.Retail, Fees: []deal.Fee{{Name: "selling costs", ShareOfSale: t.SellingFeeShare, Fixed: t.FixedCost}}},
			{Name: deal.PrivateClient, Basis: market.Private, Fees: []deal.Fee{{Name: "carriage and insurance", Fixed: t.FixedCost / 2}}, TimeToSell: deal.Weibull{Shape: 1, ScaleDays: 45}},
			{Name: deal.Auction, Basis: market.AuctionHammer, TimeToSell: deal.Weibull{Shape: 5, ScaleDays: 130},
				Fees: []deal.Fee{{Name: "commission", ShareOfSale: 0.10, TaxRate: t.Tax.Rate}, {Name: "photographs, insurance, carriage", ShareOfSale: 0.015, Fixed: t.FixedCost}}},
			{Name: deal.Trade, Basis: market.Trade, TimeToSell: deal.Weibull{Shape: 1, ScaleDays: 10}},
		},
		Haggling: deal.CommonHaggling(), Together: deal.CommonTogether,
	}
}

// InStock is how a watch stands in the shop.
type InStock struct {
	Paid       money.Money // zero: not bought; the price asked of the shop counts
	Asking     money.Money // what the shop asks; zero: not yet on sale
	DaysOnSale float64
}

// SellingInput is what selling one watch is reckoned from. Book and Market may be nil,
// as in Form.
type SellingInput struct {
	File     evidence.File
	Book     *refbook.Book
	Market   Market
	Settings Settings
	Terms    SellingTerms
	Stock    InStock
	Time     *deal.TimeToSell // nil: without history, the prior around DealTerms.TimeToSell
	AsOf     time.Time
}

// RouteValue is what a route's sale price was taken from.
type RouteValue struct {
	Route      string       `json:"route"`
	Basis      market.Basis `json:"basis"`
	Definition string       `json:"definition"`
	Median     float64      `json:"median"`
	Interval90 [2]float64   `json:"interval_90"`
	Says       []string     `json:"says"`
}

// Selling is how a watch sells best.
type Selling struct {
	Watch      Watch              `json:"watch"`
	AsOf       string             `json:"as_of"`
	Known      bool               `json:"known"`
	Price      *money.Money       `json:"price"`    // at which routes are compared, where one is known
	PriceIs    string             `json:"price_is"` // paid, asked, or empty: the highest price of the routes
	Values     []RouteValue       `json:"values"`
	Comparison *deal.RouteReport  `json:"comparison,omitempty"`
	Ladder     *deal.LadderReport `json:"ladder,omitempty"`
	Says       []string           `json:"says"`
	Cautions   []string           `json:"cautions"`
	CannotTell string             `json:"cannot_tell,omitempty"`
}

// What the price that routes are compared at is.
const (
	PriceIsPaid  = "paid"
	PriceIsAsked = "asked"
)

var sellingCautions = []string{"These are estimates for the shop's own decision: no valuation and no advice. Which tax applies, and on what, is for a licensed tax adviser; rules differ by country and change."}

// CompareRoutes says on which route the watch brings most. It errs on settings and
// terms that make no sense; what the market cannot tell is said in the result.
func CompareRoutes(in SellingInput) (Selling, error) {
	s, err := newSeller(in)
	if err != nil || s.out.CannotTell != "" {
		return s.out, err
	}
	t := s.f.settings.Terms
	routes := deal.RoutesInput{Currency: s.currency(), Work: s.f.workExpected(), CarryingRatePerYear: t.CarryingRatePerYear, Tax: t.Tax,
		WantedMargin: t.WantedMargin, Confidence: t.Confidence, Together: s.terms.Together, Seed: t.Seed}
	if s.out.Price != nil {
		paid := s.out.Price.Float()
		routes.Paid = &paid
	}
	for _, r := range s.priced {
		routes.Routes = append(routes.Routes, deal.Route{Name: r.Name, Sale: saleOf(r.value), BuyersPremium: r.BuyersPremium, Fees: r.Fees, TimeToSell: s.timeOn(r.RouteTerms), Tax: r.Tax})
	}
	report, err := deal.CompareRoutes(routes)
	if err != nil {
		return Selling{}, fmt.Errorf("routes: %w", err)
	}
	s.out.Known, s.out.Comparison = true, &report
	s.out.Says = append(s.out.Says, report.Says...)
	return s.out, nil
}

// PriceLadder says what to ask on the first route of the terms, and when to cut.
func PriceLadder(in SellingInput) (Selling, error) {
	s, err := newSeller(in)
	if err != nil || s.out.CannotTell != "" {
		return s.out, err
	}
	first := s.priced[0]
	if first.Name != s.terms.Routes[0].Name {
		s.out.CannotTell = fmt.Sprintf("the market has no value for selling by %s", s.terms.Routes[0].Name)
		return s.out, nil
	}
	t := s.f.settings.Terms
	ladder := deal.LadderInput{Currency: s.currency(), Value: saleOf(first.value), Work: s.f.workExpected(), Fees: first.Fees, CarryingRatePerYear: t.CarryingRatePerYear,
		Tax: t.Tax, Time: s.time, Watch: CovariatesOf(s.out.Watch), Haggling: s.haggling(), DaysOnSale: in.Stock.DaysOnSale, Seed: t.Seed}
	if first.Tax != nil {
		ladder.Tax = *first.Tax
	}
	if s.out.Price != nil {
		ladder.Paid = s.out.Price.Float()
	}
	if !in.Stock.Asking.IsZero() {
		asking, _ := s.f.inCurrency(in.Stock.Asking, nil)
		ladder.CurrentAsk = asking.Float()
	}
	if ladder.CurrentAsk == 0 {
		ladder.DaysOnSale = 0 // no price was asked so far, so that nothing can be learned of it
	}
	report, err := deal.Ladder(ladder)
	if err != nil {
		return Selling{}, fmt.Errorf("price ladder: %w", err)
	}
	s.out.Known, s.out.Ladder = true, &report
	s.out.Values = s.out.Values[:1]
	s.out.Says = append(s.out.Says, report.Says...)
	return s.out, nil
}

// StockHolding is the watch as the whole stock counts it: its value on the basis of
// the settings and the spread that is its own. Where the market cannot tell, it says
// why.
func StockHolding(in SellingInput) (h deal.Holding, cannotTell string, err error) {
	s, err := complete(in.Settings)
	if err != nil {
		return h, "", err
	}
	f := formedFor(in, s)
	if f.market == nil {
		return h, "there are no sales to value by", nil
	}
	v, err := f.predict(s.Basis)
	if err != nil {
		return h, err.Error(), nil
	}
	f.valuation = v
	c := CovariatesOf(f.out.Watch)
	paid := money.Money{}
	if !in.Stock.Paid.IsZero() {
		paid, _ = f.inCurrency(in.Stock.Paid, nil)
	}
	return deal.Holding{ID: f.out.Watch.ID, Reference: c.Reference, Metal: c.Metal, Paid: paid.Float(), LogMedian: v.LogMedian, OwnLogSD: logSD(v)}, "", nil
}

// logSD is the standard deviation of ln price, with that of a Student-t where it has
// one.
func logSD(v *market.Valuation) float64 {
	if v.DoF > 2 && !math.IsInf(v.DoF, 1) {
		return v.LogScale * math.Sqrt(v.DoF/(v.DoF-2))
	}
	return v.LogScale
}

// CovariatesOf is what the time to sell of a watch depends on, named as a history of
// spells has to name it.
func CovariatesOf(w Watch) deal.Covariates {
	return deal.Covariates{Reference: strings.TrimSpace(w.Maker + " " + w.Reference), Metal: w.Metal, FullSet: w.Set == "full"}
}

// seller is the work that routes and ladder share.
type seller struct {
	f      *forming
	terms  SellingTerms
	time   *deal.TimeToSell
	priced []pricedRoute // the routes that the market has a value for
	out    Selling
}

type pricedRoute struct {
	RouteTerms
	value *market.Valuation
}

func newSeller(in SellingInput) (*seller, error) {
	s := &seller{terms: in.Terms, time: in.Time}
	set, err := complete(in.Settings)
	if err != nil {
		return s, err
	}
	if len(s.terms.Routes) == 0 {
		s.terms = CommonSellingTerms(set.Terms)
	}
	if s.time == nil {
		if s.time, err = deal.FitTimeToSell(nil, deal.PriorAround(set.Terms.TimeToSell)); err != nil {
			return s, fmt.Errorf("settings: time to sell: %w", err)
		}
	}
	s.f = formedFor(in, set)
	s.out = Selling{Watch: s.f.out.Watch, AsOf: in.AsOf.Format(time.DateOnly), Values: []RouteValue{}, Says: []string{}, Cautions: sellingCautions}
	if s.f.market == nil {
		s.out.CannotTell = "there are no sales to value by"
		return s, nil
	}
	s.value()
	if len(s.priced) > 0 {
		s.price(in.Stock)
	}
	return s, nil
}

// formedFor forms as much of the opinion as a value needs.
func formedFor(in SellingInput, s Settings) *forming {
	f := &forming{file: in.File, book: in.Book, market: in.Market, settings: s, asOf: in.AsOf}
	f.identify()
	f.rules()
	f.dateAndParts()
	f.measure()
	f.running()
	f.condition()
	return f
}

// predict values without comparables, where the market can.
func (f *forming) predict(basis market.Basis) (*market.Valuation, error) {
	if p, ok := f.market.(predictor); ok {
		return p.Predict(f.subjectForMarket(), f.asOf, basis)
	}
	return f.market.Value(f.subjectForMarket(), f.asOf, basis)
}

// value asks the market for each route's price.
func (s *seller) value() {
	var problem error
	for _, r := range s.terms.Routes {
		v, err := s.f.predict(r.Basis)
		if err != nil {
			problem = err
			s.out.Says = append(s.out.Says, fmt.Sprintf("%s: no value on the basis %s: %v", r.Name, r.Basis, err))
			continue
		}
		s.priced = append(s.priced, pricedRoute{r, v})
		i := v.Interval[90]
		s.out.Values = append(s.out.Values, RouteValue{Route: r.Name, Basis: r.Basis, Definition: r.Basis.Definition(), Median: round(v.Median, 2), Interval90: [2]float64{round(i[0], 2), round(i[1], 2)}, Says: append([]string{}, v.Says...)})
	}
	if len(s.priced) == 0 {
		s.out.CannotTell = problem.Error()
		return
	}
	s.f.valuation = s.priced[0].value
}

// price is what was paid, or is asked of the shop.
func (s *seller) price(stock InStock) {
	before := len(s.f.out.Unknown)
	m, is := money.Money{}, PriceIsPaid
	if !stock.Paid.IsZero() {
		m, _ = s.f.inCurrency(stock.Paid, nil)
	} else {
		m, _ = s.f.asked()
		is = PriceIsAsked
	}
	s.out.Says = append(s.out.Says, s.f.out.Unknown[before:]...)
	if !m.IsZero() {
		s.out.Price, s.out.PriceIs = &m, is
	}
}

func (s *seller) currency() money.Currency { return s.f.valuation.Currency }

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

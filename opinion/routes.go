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
	"midcase/say"
)

// RouteTerms are the shop's terms on one route of selling.
type RouteTerms struct {
	Name          string
	Basis         market.Basis // of the sale price: at auction the hammer price, unless BuyersPremium is given
	Fees          []deal.Fee
	BuyersPremium deal.BuyersPremium
	TimeToSell    deal.Weibull // asked at its value; zero: by the shop's history of watches on sale
	Lot           deal.Lot     // the reserve, at an auction
	Tax           *deal.Tax    // nil: that of DealTerms
}

// SellingTerms are the shop's terms of selling. The zero value means
// CommonSellingTerms of the deal terms.
type SellingTerms struct {
	Routes   []RouteTerms // what to pay and what to ask go by the first
	Haggling deal.Haggling
	Together float64 // correlation of the routes' prices, see deal.RoutesInput
}

// CommonSellingTerms are terms to start from until the shop sets its own: common
// practice, no published source.
func CommonSellingTerms(t DealTerms) SellingTerms {
	return SellingTerms{
		Routes: []RouteTerms{
			{Name: deal.OwnSite, Basis: market.Retail, Fees: []deal.Fee{{Name: "selling costs",
				ShareOfSale: t.SellingFeeShare, Fixed: t.FixedCost}}},
			{Name: deal.PrivateClient, Basis: market.Private, Fees: []deal.Fee{{Name: "carriage and insurance",
				Fixed: t.FixedCost / 2}}, TimeToSell: deal.Weibull{Shape: 1, ScaleDays: 45}},
			{Name: deal.Auction, Basis: market.AuctionHammer, TimeToSell: deal.Weibull{Shape: 5, ScaleDays: 130},
				Lot: deal.CommonLot(),
				Fees: []deal.Fee{{Name: "commission", ShareOfSale: 0.10, TaxRate: unreclaimed(t.Tax)},
					{Name: "photographs, insurance, carriage", ShareOfSale: 0.015, Fixed: t.FixedCost}}},
			{Name: deal.Trade, Basis: market.Trade, TimeToSell: deal.Weibull{Shape: 1, ScaleDays: 10}},
		},
		Haggling: deal.CommonHaggling(), Together: deal.CommonTogether,
	}
}

// unreclaimed is the tax on fees that stays with the shop: a dealer who is registered for
// tax on sales reclaims it, under a margin scheme too, which is closed only to the tax on
// the goods themselves (EU Directive 2006/112, Art. 168 and 322).
func unreclaimed(t deal.Tax) float64 {
	if t.Scheme == deal.MarginTaxed || t.Scheme == deal.Ordinary {
		return 0
	}
	return t.Rate
}

// InStock is how a watch stands in the shop, in the opinion's currency.
type InStock struct {
	Paid       money.Money // zero: not bought; the price asked of the shop counts
	Asking     money.Money // what the shop asks; zero: not yet on sale
	DaysOnSale float64
	Sold       bool
	Consigned  *Consigned // nil: the shop's own, or not in stock
}

// Consigned are the terms on which a watch is sold for its owner.
type Consigned struct {
	Commission float64     // as a share of the price
	Net        money.Money // what the owner gets whatever the price; zero: the rest of the price
}

// SellingInput is what selling one watch is reckoned from. Book and Market may be nil,
// as in Form.
type SellingInput struct {
	File     evidence.File
	Book     *refbook.Book
	Market   Market
	Settings Settings
	AsOf     time.Time
}

// RouteValue is what a route's sale price was taken from.
type RouteValue struct {
	Route      string          `json:"route"`
	Basis      market.Basis    `json:"basis"`
	Definition say.Statement   `json:"definition"`
	Median     float64         `json:"median"`
	Interval90 [2]float64      `json:"interval_90"`
	Says       []say.Statement `json:"says"`
}

// Selling is how a watch sells best.
type Selling struct {
	Watch Watch  `json:"watch"`
	AsOf  string `json:"as_of"`
	Known bool   `json:"known"`
	// HighestPrice and ExpectedProfit are those of the opinion: by Route, the first of
	// the terms. Nil where the market has no value for that route; a consigned watch has
	// no highest price.
	Route          string       `json:"route"`
	HighestPrice   *money.Money `json:"highest_price"`
	ExpectedProfit *money.Money `json:"expected_profit"`

	Consigned  bool               `json:"consigned,omitempty"`
	Price      *money.Money       `json:"price"`    // at which routes are compared, where one is known
	PriceIs    string             `json:"price_is"` // paid, asked, or empty: the highest price
	Values     []RouteValue       `json:"values"`
	Comparison *deal.RouteReport  `json:"comparison,omitempty"`
	Ladder     *deal.LadderReport `json:"ladder,omitempty"`
	Says       []say.Statement    `json:"says"`
	Cautions   []say.Statement    `json:"cautions"`
	CannotTell say.Statement      `json:"cannot_tell,omitzero"`
}

// What the price that routes are compared at is.
const (
	PriceIsPaid  = "paid"
	PriceIsAsked = "asked"
)

var sellingCautions = []say.Statement{say.That("caution.selling")}

// CompareRoutes says on which route the watch brings most. It errs on settings and
// terms that make no sense; what the market cannot tell is said in the result.
func CompareRoutes(in SellingInput) (Selling, error) {
	s, err := newSeller(in)
	if err != nil || !s.out.CannotTell.IsZero() {
		return s.out, err
	}
	if s.hasFirst() {
		if _, err := s.plan(); err != nil {
			return Selling{}, fmt.Errorf("what to pay: %w", err)
		}
	}
	report, err := deal.CompareRoutes(s.routes())
	if err != nil {
		return Selling{}, fmt.Errorf("routes: %w", err)
	}
	for i := range report.Routes { // as the highest price of the opinion is rounded
		report.Routes[i].HighestPrice = floorTo3(report.Routes[i].HighestPrice)
	}
	s.out.Known, s.out.Comparison = true, &report
	s.out.Says = append(s.out.Says, s.standing()...)
	s.out.Says = append(s.out.Says, report.Says...)
	return s.out, nil
}

// PriceLadder says what to ask on the first route of the terms, and when to cut.
func PriceLadder(in SellingInput) (Selling, error) {
	s, err := newSeller(in)
	if err != nil || !s.out.CannotTell.IsZero() {
		return s.out, err
	}
	if s.f.settings.Stock.Sold {
		s.out.CannotTell = say.That("selling.sold")
		return s.out, nil
	}
	if !s.hasFirst() {
		s.out.CannotTell = say.That("selling.no-value", route("route", s.terms.Routes[0].Name))
		return s.out, nil
	}
	first := s.routes().First()
	if first.Listing == nil {
		s.out.CannotTell = say.That("selling.no-ask", route("route", s.terms.Routes[0].Name))
		return s.out, nil
	}
	if _, err := s.plan(); err != nil {
		return Selling{}, fmt.Errorf("what to pay: %w", err)
	}
	report, err := deal.Ladder(first)
	if err != nil {
		return Selling{}, fmt.Errorf("price ladder: %w", err)
	}
	s.out.Known, s.out.Ladder = true, &report
	s.out.Values = s.out.Values[:1]
	s.out.Says = append(append(s.out.Says, s.standing()...), report.Says...)
	return s.out, nil
}

// StockHolding is the watch as the whole stock counts it: its value on the basis of
// the settings, the spread that is its own, and what selling it should earn. Where the
// market cannot tell, it says why.
//
// profit is the expected profit of an opinion that was formed already; nil computes it.
func StockHolding(in SellingInput, profit *float64) (h deal.Holding, cannotTell say.Statement, err error) {
	s, err := complete(in.Settings)
	if err != nil {
		return h, cannotTell, err
	}
	f := formedFor(in, s)
	if f.market == nil {
		return h, s.noMarket(), nil
	}
	v, err := f.predict(s.Basis)
	if err != nil {
		return h, because(err), nil
	}
	f.valuation = v
	c := CovariatesOf(f.out.Watch)
	paid := money.Money{}
	if stock := in.Settings.Stock; !stock.Paid.IsZero() {
		paid, _ = f.inCurrency(stock.Paid, nil)
	}
	if profit == nil {
		p, err := f.expectedProfit()
		if err != nil {
			return h, cannotTell, err
		}
		profit = &p
	}
	all := logSD(v)
	shared := math.Min(v.LogShared, all)
	return deal.Holding{ID: f.out.Watch.ID, Reference: c.Reference, Metal: c.Metal, Paid: paid.Float(),
		LogMedian: v.LogMedian, OwnLogSD: math.Sqrt(all*all - shared*shared), SharedLogSD: shared,
		ExpectedProfit: *profit}, cannotTell, nil
}

// expectedProfit is that of the opinion, rounded as there, without the rest of it; 0 where the market has
// no value for the first route.
func (f *forming) expectedProfit() (float64, error) {
	s, err := f.seller()
	if err != nil {
		return 0, err
	}
	if s.value(s.terms.Routes[:1]); !s.out.CannotTell.IsZero() {
		return 0, nil
	}
	s.price()
	s.withTrade()
	profit, err := deal.Expected(s.routes().First())
	return roundTo3(profit), err
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
	return deal.Covariates{Reference: strings.TrimSpace(w.Maker + " " + w.Reference), Metal: w.Metal,
		FullSet: w.Set == "full"}
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

// valueOn is the value on a basis: the one that was formed, where that is the basis.
func (f *forming) valueOn(basis market.Basis) (*market.Valuation, error) {
	if f.valuation != nil && f.valuation.Basis == basis {
		return f.valuation, nil
	}
	return f.predict(basis)
}

// predict values without comparables, where the market can.
func (f *forming) predict(basis market.Basis) (*market.Valuation, error) {
	if p, ok := f.market.(predictor); ok {
		return p.Predict(f.subjectForMarket(), f.asOf, basis)
	}
	return f.market.Value(f.subjectForMarket(), f.asOf, basis)
}

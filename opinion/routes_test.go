package opinion_test

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"midcase/deal"
	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// basisMarket values everything at 10,000 retail, and other bases beside.
type basisMarket struct{ missing market.Basis }

func (m basisMarket) Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	if basis == m.missing {
		return nil, errNoBasis
	}
	log := math.Log(10000) + map[market.Basis]float64{market.Private: -0.08, market.AuctionHammer: -0.25, market.Trade: -0.2}[basis]
	return &market.Valuation{Basis: basis, Currency: "EUR", Median: math.Exp(log), Interval: map[int][2]float64{90: {math.Exp(log - 0.3), math.Exp(log + 0.3)}}, LogMedian: log, LogScale: 0.15, DoF: 6}, nil
}

var errNoBasis = errorText("no sale on this basis")

type errorText string

func (e errorText) Error() string { return string(e) }

func sellingOf(t testing.TB) opinion.SellingInput {
	return opinion.SellingInput{File: evidence.Fold(richWatch(), day(100)), Book: theBook(t), Market: basisMarket{}, AsOf: day(100)}
}

func routesOf(t testing.TB, in opinion.SellingInput) opinion.Selling {
	t.Helper()
	s, err := opinion.CompareRoutes(in)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestRoutesTakeEachBasis(t *testing.T) {
	s := routesOf(t, sellingOf(t))
	if !s.Known || len(s.Values) != 4 || len(s.Comparison.Routes) != 4 || s.PriceIs != opinion.PriceIsAsked || s.Price.Amount() != "6500.00" {
		t.Fatalf("%s", jsonOf(t, s))
	}
	for _, v := range s.Values {
		want := map[string]float64{deal.OwnSite: 10000, deal.PrivateClient: 10000 * math.Exp(-0.08), deal.Auction: 10000 * math.Exp(-0.25), deal.Trade: 10000 * math.Exp(-0.2)}[v.Route]
		if math.Abs(v.Median-want) > 0.01 || v.Definition == "" {
			t.Errorf("%s: %g, want %g", v.Route, v.Median, want)
		}
	}
	if best := s.Comparison.Best(); best.Name != deal.OwnSite || best.At != 6500 {
		t.Errorf("best %s at %g", best.Name, best.At)
	}
	if text := jsonOf(t, s); !strings.Contains(text, "no valuation and no advice") {
		t.Error("the usual caution is missing")
	}
}

// The own site is the same deal as the opinion's own, which draws by itself.
func TestOwnSiteIsTheOpinionsDeal(t *testing.T) {
	in := sellingOf(t)
	o := opinionOn(t, richWatch(), in.Market)
	for _, r := range routesOf(t, in).Comparison.Routes {
		if r.Name == deal.OwnSite && math.Abs(r.HighestPrice-o.Deal.HighestPrice.Float()) > 0.01*r.HighestPrice {
			t.Errorf("highest price %g, the opinion says %s", r.HighestPrice, o.Deal.HighestPrice)
		}
	}
}

func TestRoutesWithoutMarketOrBasis(t *testing.T) {
	in := sellingOf(t)
	in.Market = nil
	if s := routesOf(t, in); s.Known || s.CannotTell != "there are no sales to value by" {
		t.Errorf("%s", jsonOf(t, s))
	}
	in.Market = noMarket{}
	if s := routesOf(t, in); s.Known || s.CannotTell != "no sale of anything like it" {
		t.Errorf("%s", jsonOf(t, s))
	}
	in.Market = basisMarket{missing: market.Trade}
	s := routesOf(t, in)
	if !s.Known || len(s.Comparison.Routes) != 3 || !strings.Contains(strings.Join(s.Says, "; "), "trade: no value") {
		t.Errorf("%s", jsonOf(t, s))
	}
	in.Market = basisMarket{missing: market.Retail}
	if s, err := opinion.PriceLadder(in); err != nil || s.Known || !strings.Contains(s.CannotTell, deal.OwnSite) {
		t.Errorf("%v %s", err, jsonOf(t, s))
	}
}

// A price paid goes before a price asked; one in another currency is not compared.
func TestRoutesAtPricePaid(t *testing.T) {
	in := sellingOf(t)
	in.Stock.Paid = money.MustParse("5000", "EUR")
	if s := routesOf(t, in); s.PriceIs != opinion.PriceIsPaid || s.Comparison.At != 5000 {
		t.Errorf("at %g, %s", s.Comparison.At, s.PriceIs)
	}
	in.Stock.Paid = money.MustParse("5000", "USD")
	if s := routesOf(t, in); s.Price != nil || s.PriceIs != "" || !strings.Contains(strings.Join(s.Says, "; "), "without a rate") {
		t.Errorf("%s", jsonOf(t, s))
	}
}

func TestPriceLadderOfAWatch(t *testing.T) {
	in := sellingOf(t)
	in.Stock = opinion.InStock{Paid: money.MustParse("6000", "EUR"), Asking: money.MustParse("12500", "EUR"), DaysOnSale: 250}
	s, err := opinion.PriceLadder(in)
	if err != nil {
		t.Fatal(err)
	}
	l := s.Ladder
	if !s.Known || l.Asked != 12500 || l.Schedule[0].DaysOnSale != 250 || l.ValueMedian >= l.ValueStated || len(s.Values) != 1 {
		t.Errorf("asked %g, days %g, value %g then %g", l.Asked, l.Schedule[0].DaysOnSale, l.ValueStated, l.ValueMedian)
	}
	// Without a price that was asked, days say nothing.
	in.Stock.Asking = money.Money{}
	if s, err = opinion.PriceLadder(in); err != nil || s.Ladder.Schedule[0].DaysOnSale != 0 {
		t.Errorf("%v %+v", err, s.Ladder)
	}
	// A history of the shop's own takes the place of the prior.
	c := opinion.CovariatesOf(s.Watch)
	if c.Reference != "Corvane KR-1" || c.FullSet {
		t.Errorf("covariates %+v", c)
	}
	var spells []deal.Spell
	for range 60 {
		spells = append(spells, deal.Spell{Days: 12, Sold: true, Covariates: c}, deal.Spell{Days: 25, Sold: true, Covariates: c})
	}
	fast, err := deal.FitTimeToSell(spells, deal.CommonPrior())
	if err != nil {
		t.Fatal(err)
	}
	in.Time = fast
	quick, err := opinion.PriceLadder(in)
	if err != nil || quick.Ladder.Rungs[10].Days.Value > s.Ladder.Rungs[10].Days.Value/2 {
		t.Errorf("%v: %g days, by the prior %g", err, quick.Ladder.Rungs[10].Days.Value, s.Ladder.Rungs[10].Days.Value)
	}
}

func TestStockHolding(t *testing.T) {
	in := sellingOf(t)
	in.Stock.Paid = money.MustParse("6000", "EUR")
	h, cannotTell, err := opinion.StockHolding(in)
	if err != nil || cannotTell != "" {
		t.Fatal(cannotTell, err)
	}
	want := deal.Holding{ID: "w_test", Reference: "Corvane KR-1", Metal: "steel", Paid: 6000, LogMedian: math.Log(10000), OwnLogSD: 0.15 * math.Sqrt(1.5)}
	if !reflect.DeepEqual(h, want) {
		t.Errorf("%+v, want %+v", h, want)
	}
	in.Market = noMarket{}
	if _, cannotTell, err = opinion.StockHolding(in); err != nil || cannotTell != "no sale of anything like it" {
		t.Error(cannotTell, err)
	}
}

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
	"midcase/say"
)

// basisMarket values everything at 10,000 retail, and other bases beside.
type basisMarket struct{ missing market.Basis }

func (m basisMarket) Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	if basis == m.missing {
		return nil, errNoBasis
	}
	log := math.Log(10000) + map[market.Basis]float64{market.Private: -0.08, market.AuctionHammer: -0.25,
		market.Trade: -0.2}[basis]
	return &market.Valuation{Basis: basis, Currency: "EUR", Median: math.Exp(log),
		Interval: map[int][2]float64{90: {math.Exp(log - 0.3), math.Exp(log +
			0.3)}}, LogMedian: log, LogScale: 0.15, DoF: 6}, nil
}

var errNoBasis = errorText("no sale on this basis")

type errorText string

func (e errorText) Error() string { return string(e) }

func sellingOf(t testing.TB) opinion.SellingInput {
	return opinion.SellingInput{File: evidence.Fold(richWatch(), day(100)), Book: theBook(t), Market: basisMarket{},
		AsOf: day(100)}
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
	if !s.Known || len(s.Values) != 4 || len(s.Comparison.Routes) != 4 || s.PriceIs != opinion.PriceIsAsked ||
		s.Price.Amount() != "6500.00" {
		t.Fatalf("%s", jsonOf(t, s))
	}
	for _, v := range s.Values {
		want := map[string]float64{deal.OwnSite: 10000, deal.PrivateClient: 10000 * math.Exp(-0.08),
			deal.Auction: 10000 * math.Exp(-0.25), deal.Trade: 10000 * math.Exp(-0.2)}[v.Route]
		if math.Abs(v.Median-want) > 0.01 || v.Definition.IsZero() {
			t.Errorf("%s: %g, want %g", v.Route, v.Median, want)
		}
	}
	if best := s.Comparison.Best(); best.Name != deal.PrivateClient || best.At != 6500 || best.Ask == 0 {
		t.Errorf("best %s at %g", best.Name, best.At)
	}
	if text := jsonOf(t, s); !strings.Contains(text, "no valuation and no advice") {
		t.Error("the usual caution is missing")
	}
}

// The opinion names the highest price and the profit of the first route, whichever
// that is and whatever value it states: to the last digit, at a price paid or asked.
func TestOpinionsDealIsTheFirstRoute(t *testing.T) {
	common := opinion.CommonSellingTerms(opinion.CommonTerms())
	for first, route := range common.Routes {
		for _, stock := range []opinion.InStock{{}, {Paid: money.MustParse("5000", "EUR")}} {
			for _, basis := range []market.Basis{market.Retail, market.Trade} {
				in := sellingOf(t)
				terms := common
				terms.Routes = append(append([]opinion.RouteTerms{route}, common.Routes[:first]...),
					common.Routes[first+1:]...)
				in.Settings = opinion.Settings{Basis: basis, Selling: terms, Stock: stock}
				o, err := opinion.Form(in.File, in.Book, in.Market, in.Settings, in.AsOf)
				if err != nil || !o.Deal.Known {
					t.Fatal(o.Deal.CannotTell, err)
				}
				s := routesOf(t, in)
				if o.Deal.Route != route.Name || s.Route != route.Name ||
					s.HighestPrice.String() != o.Deal.HighestPrice.String() ||
					s.ExpectedProfit.String() != o.Deal.ExpectedProfit.String() {
					t.Errorf("%s, %s: %s and %s; the opinion says %s and %s", route.Name, basis, s.HighestPrice,
						s.ExpectedProfit, o.Deal.HighestPrice, o.Deal.ExpectedProfit)
				}
				for _, r := range s.Comparison.Routes {
					if r.Name == route.Name &&
						(math.Abs(r.ExpectedProfit-o.Deal.ExpectedProfit.Float()) > 0.006*math.Abs(r.ExpectedProfit) ||
							r.HighestPrice < o.Deal.HighestPrice.Float() ||
							r.HighestPrice > 1.01*o.Deal.HighestPrice.Float()) {
						t.Errorf("%s: %g, profit %g; the opinion says %s, %s", r.Name, r.HighestPrice, r.ExpectedProfit,
							o.Deal.HighestPrice, o.Deal.ExpectedProfit)
					}
				}
			}
		}
	}
}

// Terms that could not be turned into the opinion's currency give no price.
func TestNoDealWithoutRate(t *testing.T) {
	in := sellingOf(t)
	o, err := opinion.Form(in.File, in.Book, in.Market, opinion.Settings{NoDeal: say.Verbatim("there is no rate from USD to EUR")},
		in.AsOf)
	if err != nil || o.Deal.Known || !o.Value.Known ||
		o.Deal.CannotTell.String() != "there is no rate from USD to EUR" {
		t.Errorf("%+v, %v", o.Deal, err)
	}
}

// What was told counts for the value until somebody examined it, and for nothing else.
func TestToldCountsUntilExamined(t *testing.T) {
	var got market.Subject
	value := func(data ...evidence.Data) opinion.Opinion {
		t.Helper()
		return opinionOn(t, watchOf("KR-1", data...), fixedMarket{&got})
	}
	told := &evidence.Claim{About: "at a glance", Text: "as told", Told: evidence.Told{Grade: 9, Year: 1931,
		Set: "full", Metal: "gold18"}}
	o := value(told)
	if got.Condition == nil || *got.Condition != 9 || got.ConditionSD < 0.5 || got.Year != 1931 || got.YearSD < 0.5 ||
		got.Completeness != "full" || got.Metal != "gold18" {
		t.Errorf("told: %+v", got)
	}
	if o.Condition.Overall != nil || o.Watch.Set != "watch" || o.Watch.Metal != "steel" || len(o.Value.Basis) == 0 {
		t.Errorf("told of is taken for fact: %+v, %+v", o.Condition, o.Watch)
	}
	value(told, &evidence.Document{What: "papers"}, &evidence.Fitted{Slot: evidence.Case, Variant: evidence.Unknown,
		Metal: "gold14"},
		&evidence.Mark{What: evidence.MarkSerial, Text: "299298",
			Confidence: 0.95}, &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2})
	if got.Completeness != "papers" || got.Metal != "gold14" || got.Year == 1931 || got.Condition == nil ||
		*got.Condition == 9 {
		t.Errorf("examined: %+v", got)
	}
	value(told, &evidence.Claim{About: "set", Text: "no box after all", Told: evidence.Told{Set: "papers"}})
	if got.Completeness != "papers" || *got.Condition != 9 {
		t.Errorf("the later claim: %+v", got)
	}
}

func TestRoutesWithoutMarketOrBasis(t *testing.T) {
	in := sellingOf(t)
	in.Market = nil
	if s := routesOf(t, in); s.Known || s.CannotTell.String() != "there are no sales to value it by" {
		t.Errorf("%s", jsonOf(t, s))
	}
	in.Market = noMarket{}
	if s := routesOf(t, in); s.Known || s.CannotTell.String() != "no sale of anything like it" {
		t.Errorf("%s", jsonOf(t, s))
	}
	in.Market = basisMarket{missing: market.Trade}
	s := routesOf(t, in)
	if !s.Known || len(s.Comparison.Routes) != 3 || !strings.Contains(strings.Join(say.Strings(s.Says), "; "),
		"The trade is left out, as there is no value") {
		t.Errorf("%s", jsonOf(t, s))
	}
	in.Market = basisMarket{missing: market.Retail}
	if s, err := opinion.PriceLadder(in); err != nil || s.Known || !strings.Contains(s.CannotTell.String(),
		deal.OwnSite) {
		t.Errorf("%v %s", err, jsonOf(t, s))
	}
}

// A price paid goes before a price asked; one in another currency is not compared.
func TestRoutesAtPricePaid(t *testing.T) {
	in := sellingOf(t)
	in.Settings.Stock.Paid = money.MustParse("5000", "EUR")
	if s := routesOf(t, in); s.PriceIs != opinion.PriceIsPaid || s.Comparison.At != 5000 {
		t.Errorf("at %g, %s", s.Comparison.At, s.PriceIs)
	}
	in.Settings.Stock.Paid = money.MustParse("5000", "USD")
	if s := routesOf(t, in); s.Price != nil || s.PriceIs != "" || !strings.Contains(strings.Join(say.Strings(s.Says),
		"; "), "without an exchange rate") {
		t.Errorf("%s", jsonOf(t, s))
	}
}

func TestPriceLadderOfAWatch(t *testing.T) {
	in := sellingOf(t)
	in.Settings.Stock = opinion.InStock{Paid: money.MustParse("6000", "EUR"), Asking: money.MustParse("12500", "EUR"),
		DaysOnSale: 250}
	s, err := opinion.PriceLadder(in)
	if err != nil {
		t.Fatal(err)
	}
	l := s.Ladder
	if !s.Known || l.Asked != 12500 || l.Schedule[0].DaysOnSale != 250 || l.ValueMedian >= l.ValueStated ||
		len(s.Values) != 1 {
		t.Errorf("asked %g, days %g, value %g then %g", l.Asked, l.Schedule[0].DaysOnSale, l.ValueStated, l.ValueMedian)
	}
	// Without a price that was asked, days say nothing.
	in.Settings.Stock.Asking = money.Money{}
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
		spells = append(spells, deal.Spell{Days: 12, Sold: true, Covariates: c},
			deal.Spell{Days: 25, Sold: true, Covariates: c})
	}
	fast, err := deal.FitTimeToSell(spells, deal.CommonPrior())
	if err != nil {
		t.Fatal(err)
	}
	in.Settings.Time = fast
	quick, err := opinion.PriceLadder(in)
	if err != nil || quick.Ladder.Rungs[10].Days.Value > s.Ladder.Rungs[10].Days.Value/2 {
		t.Errorf("%v: %g days, by the prior %g", err, quick.Ladder.Rungs[10].Days.Value, s.Ladder.Rungs[10].Days.Value)
	}
}

func ladderOf(t testing.TB, in opinion.SellingInput) *deal.LadderReport {
	t.Helper()
	s, err := opinion.PriceLadder(in)
	if err != nil || !s.Known {
		t.Fatal(s.CannotTell, err)
	}
	return s.Ladder
}

func TestStockHolding(t *testing.T) {
	in := sellingOf(t)
	in.Settings.Stock.Paid = money.MustParse("6000", "EUR")
	h, cannotTell, err := opinion.StockHolding(in, nil)
	if err != nil || cannotTell.String() != "" {
		t.Fatal(cannotTell, err)
	}
	own := ladderOf(t, in)
	want := deal.Holding{ID: "w_test", Reference: "Corvane KR-1", Metal: "steel", Paid: 6000,
		LogMedian: math.Log(10000), OwnLogSD: 0.15 * math.Sqrt(1.5), ExpectedProfit: h.ExpectedProfit}
	if net := own.Rungs[own.Best].ExpectedNet; !reflect.DeepEqual(h, want) || math.Abs(net-h.ExpectedProfit) > 5 {
		t.Errorf("%+v, want %+v and a profit of %g", h, want, net)
	}
	known := 123.0
	if h, _, err = opinion.StockHolding(in, &known); err != nil || h.ExpectedProfit != known {
		t.Errorf("a profit known already counts as %g, %v", h.ExpectedProfit, err)
	}
	in.Market = noMarket{}
	if _, cannotTell, err = opinion.StockHolding(in, nil); err != nil ||
		cannotTell.String() != "no sale of anything like it" {
		t.Error(cannotTell, err)
	}
}

package deal

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

func testRoutes() RoutesInput {
	paid := 7000.0
	return RoutesInput{
		Currency: "EUR", Tax: Tax{Scheme: MarginTaxed, Rate: 0.2}, WantedMargin: 0.1, Confidence: 0.8,
		CarryingRatePerYear: 0.08, Together: CommonTogether, Paid: &paid,
		Work: []Cost{{Name: "service", Low: 300, Mode: 400, High: 700}},
		Routes: []Route{
			{Name: OwnSite, Sale: Sale{LogMedian: math.Log(10000), LogScale: 0.15, DoF: 5},
				TimeToSell: Weibull{1.2, 90}, Fees: []Fee{{Name: "card", ShareOfSale: 0.02},
					{Name: "photographs, insurance, carriage", Fixed: 150}}},
			{Name: PrivateClient, Sale: Sale{LogMedian: math.Log(9500), LogScale: 0.15, DoF: 5},
				TimeToSell: Weibull{1, 30}},
			{Name: Auction, Sale: Sale{LogMedian: math.Log(8500), LogScale: 0.25}, TimeToSell: Weibull{6, 140},
				Fees: []Fee{{Name: "commission", Tiers: []Tier{{0, 0.1}, {5000, 0.06}}, Least: 100, TaxRate: 0.2}}},
			{Name: Trade, Sale: Sale{LogMedian: math.Log(8000), LogScale: 0.1}, TimeToSell: Weibull{1, 7}},
		},
	}
}

func compare(t interface{ Fatal(...any) }, in RoutesInput) RouteReport {
	r, err := CompareRoutes(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func named(r RouteReport, name string) RouteResult {
	for _, one := range r.Routes {
		if one.Name == name {
			return one
		}
	}
	return RouteResult{}
}

// A route by itself is what Buy says of it, within what draws leave.
func TestRouteAloneIsBuy(t *testing.T) {
	in := testRoutes()
	for i := range in.Routes {
		one := in
		one.Routes = in.Routes[i : i+1]
		one.Draws = testDraws
		got := compare(t, one).Routes[0]
		as := one.input(one.Routes[0])
		as.Asked = in.Paid
		want := buy(t, as)
		within(t, got.Name+" highest price", got.HighestPrice, want.HighestPrice, 0.005*want.HighestPrice)
		within(t, got.Name+" expected profit", got.ExpectedProfit, want.ExpectedProfit, 30)
		within(t, got.Name+" chance of loss", got.ChanceOfLoss, want.ChanceOfLoss, 0.02)
		within(t, got.Name+" chance to be the best", got.ChanceBest, 1, 1e-9)
	}
}

// With lognormal prices and nothing else, the chance that the first brings more is
// Φ((μ₁−μ₂)/√(σ₁²+σ₂²−2ρσ₁σ₂)), and the differences have known means.
func TestChanceBestAgainstClosedForm(t *testing.T) {
	for _, rho := range []float64{0, 0.3, 0.5, 0.9} {
		paid := 0.0
		r := compare(t, RoutesInput{Confidence: 0.5, Together: rho, Paid: &paid, Draws: testDraws, Seed: 5,
			Routes: []Route{
				{Name: "a", Sale: Sale{LogMedian: 8.1, LogScale: 0.3}},
				{Name: "b", Sale: Sale{LogMedian: 8, LogScale: 0.2}}}})
		sd := math.Sqrt(0.09 + 0.04 - 2*rho*0.06)
		p := 0.5 * math.Erfc(-0.1/sd/math.Sqrt2)
		within(t, "chance that a is best", named(r, "a").ChanceBest, p, 4*math.Sqrt(p*(1-p)/testDraws))
		within(t, "sum of chances", r.Routes[0].ChanceBest+r.Routes[1].ChanceBest, 1, 1e-9)
		better := math.Exp(8.1+0.045) - math.Exp(8.02)
		within(t, "better by", r.Better(), better, 0.01*math.Exp(8))
		within(t, "behind", r.Routes[1].Behind, r.Routes[0].ExpectedProfit-r.Routes[1].ExpectedProfit, 1e-6)
		if r.Best().Name != "a" || r.Best().Behind != 0 {
			t.Errorf("best %+v", r.Best())
		}
	}
}

// closed_forms.csv: two lognormals with ln X₁ ~ N(8, 0.3²), ln X₂ ~ N(7, 0.5²) of
// correlation 0.4.
func TestChanceBestAgainstTable(t *testing.T) {
	paid := 0.0
	r := compare(t, RoutesInput{Confidence: 0.5, Together: 0.4, Paid: &paid, Draws: testDraws, Seed: 2, Routes: []Route{
		{Name: "a", Sale: Sale{LogMedian: 8, LogScale: 0.3}}, {Name: "b", Sale: Sale{LogMedian: 7, LogScale: 0.5}}}})
	p := closedForm(t, "P(X1>X2)")
	within(t, "chance that a is best", named(r, "a").ChanceBest, p, 4*math.Sqrt(p*(1-p)/testDraws))
}

// Without a price, routes are compared at the highest that the first allows.
func TestRoutesWithoutPrice(t *testing.T) {
	in := testRoutes()
	in.Paid = nil
	in.Routes[0], in.Routes[2] = in.Routes[2], in.Routes[0]
	r := compare(t, in)
	for _, one := range r.Routes {
		within(t, one.Name+" stated at", one.At, r.At, 0)
	}
	within(t, "at", r.At, named(r, Auction).HighestPrice, 0)
	if r.Paid || len(r.Says) == 0 || !strings.Contains(r.Says[0].String(), r.Best().Name) {
		t.Errorf("says %q", r.Says)
	}
}

// Whichever route comes first, Buy says the same of it, to the last digit.
func TestFirstRouteIsBuy(t *testing.T) {
	for _, paid := range []*float64{nil, testRoutes().Paid} {
		for i := range testRoutes().Routes {
			in := testRoutes()
			in.Paid, in.Seed = paid, uint64(i)
			in.Routes[0], in.Routes[i] = in.Routes[i], in.Routes[0]
			in.Routes[0].BuyersPremium = BuyersPremium{Tiers: []Tier{{0, 0.25}}}
			in.Routes[0].Exchange = Exchange{PerUnit: 0.9, LogSD: 0.02}
			want := buy(t, in.First())
			if got := named(compare(t, in), in.Routes[0].Name).Result; !reflect.DeepEqual(got, want) {
				t.Errorf("%s: %+v; Buy says %+v", in.Routes[0].Name, got, want)
			}
		}
	}
}

// A fee that falls never lowers what its route brings, nor the highest price, nor what
// the best route earns for money and time.
func TestLowerFeeNeverBringsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := testRoutes()
		in.Draws, in.Seed = 300, rapid.Uint64().Draw(t, "seed")
		in.Tax.Scheme = rapid.SampledFrom([]string{NoTax, MarginTaxed, Ordinary}).Draw(t, "scheme")
		k := rapid.IntRange(0, 3).Draw(t, "route")
		f := Fee{ShareOfSale: rapid.Float64Range(0, 0.3).Draw(t, "share"),
			Fixed: rapid.Float64Range(0, 500).Draw(t, "fixed"), Least: rapid.Float64Range(0, 2000).Draw(t, "least"),
			ShareOfPurchase: rapid.Float64Range(0, 0.2).Draw(t, "of purchase"),
			TaxRate:         rapid.Float64Range(0, 0.3).Draw(t, "tax"),
			Tiers: []Tier{{0, rapid.Float64Range(0, 0.1).Draw(t, "low tier")},
				{6000, rapid.Float64Range(0, 0.1).Draw(t, "high tier")}}}
		less := rapid.Float64Range(0, 1).Draw(t, "less")
		lower := f
		switch rapid.IntRange(0, 5).Draw(t, "what falls") {
		case 0:
			lower.ShareOfSale *= less
		case 1:
			lower.Fixed *= less
		case 2:
			lower.Least *= less
		case 3:
			lower.ShareOfPurchase *= less
		case 4:
			lower.TaxRate *= less
		default:
			lower.Tiers = []Tier{{0, f.Tiers[0].Share * less}, f.Tiers[1]}
		}
		with := func(f Fee) RouteReport {
			one := in
			one.Routes = slices.Clone(in.Routes)
			one.Routes[k].Fees = append(slices.Clone(in.Routes[k].Fees), f)
			return compare(t, one)
		}
		name := in.Routes[k].Name
		before, after := with(f), with(lower)
		a, b := named(before, name), named(after, name)
		if b.ExpectedProfit < a.ExpectedProfit-1e-7 || b.HighestPrice < a.HighestPrice-1e-7 ||
			after.Best().AfterHurdle < before.Best().AfterHurdle-1e-7 {
			t.Fatalf("%s: profit %g then %g, highest price %g then %g", name, a.ExpectedProfit, b.ExpectedProfit,
				a.HighestPrice, b.HighestPrice)
		}
	})
}

func scaledRoutes(in RoutesInput, by float64) RoutesInput {
	paid := *in.Paid * by
	in.Paid = &paid
	in.Work = slices.Clone(in.Work)
	for i := range in.Work {
		in.Work[i].Low, in.Work[i].Mode, in.Work[i].High = in.Work[i].Low*by, in.Work[i].Mode*by, in.Work[i].High*by
	}
	in.Routes = slices.Clone(in.Routes)
	for i := range in.Routes {
		r := &in.Routes[i]
		r.Sale.LogMedian += math.Log(by)
		r.Fees = slices.Clone(r.Fees)
		for k := range r.Fees {
			f := &r.Fees[k]
			f.Fixed, f.Least, f.Tiers = f.Fixed*by, f.Least*by, slices.Clone(f.Tiers)
			for j := range f.Tiers {
				f.Tiers[j].Over *= by
			}
		}
	}
	return in
}

func TestRoutesScaleWithCurrency(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := testRoutes()
		in.Draws, in.Seed = 300, rapid.Uint64().Draw(t, "seed")
		by := rapid.Float64Range(0.01, 200).Draw(t, "by")
		before, after := compare(t, in), compare(t, scaledRoutes(in, by))
		for i, r := range after.Routes {
			b := before.Routes[i]
			if r.Name != b.Name || math.Abs(r.ExpectedProfit-by*b.ExpectedProfit) > 1e-6*by*1e4 ||
				math.Abs(r.HighestPrice-by*b.HighestPrice) > 1e-8*by*1e4 || r.ChanceBest != b.ChanceBest {
				t.Fatalf("%s: %g, want %g", r.Name, r.ExpectedProfit, by*b.ExpectedProfit)
			}
		}
	})
}

// A route in another currency, with a rate that is certain, is the same route with
// all its amounts at that rate.
func TestExchange(t *testing.T) {
	in := testRoutes()
	in.Routes = in.Routes[2:3]
	home := compare(t, in).Routes[0]
	abroad := in
	abroad.Routes = scaledRoutes(in, 1/0.9).Routes
	abroad.Routes[0].Exchange = Exchange{PerUnit: 0.9}
	there := compare(t, abroad).Routes[0]
	within(t, "profit", there.ExpectedProfit, home.ExpectedProfit, 1e-6)
	within(t, "highest price", there.HighestPrice, home.HighestPrice, 1e-6)
	within(t, "fee", there.Costs[1].Mean, home.Costs[1].Mean, 1e-6)
	// A lognormal price at a lognormal rate is lognormal with the sum of the variances.
	paid := 0.0
	both := compare(t, RoutesInput{Paid: &paid, Confidence: 0.9, Draws: testDraws,
		Routes: []Route{{Name: "a", Sale: Sale{LogMedian: 9, LogScale: 0.2},
			Exchange: Exchange{PerUnit: 2, LogSD: 0.15}}}}).Routes[0]
	within(t, "mean", both.Sale.Mean, 2*math.Exp(9+0.0625/2), 4*0.26*2*math.Exp(9)/math.Sqrt(testDraws))
	within(t, "90 % confident", both.HighestPrice, 2*math.Exp(9-1.2815515655446004*0.25), 0.01*2*math.Exp(9))
	share := map[string]float64{}
	for _, s := range both.Sensitivity {
		share[s.Source.String()] = s.Share
	}
	within(t, "share of the rate", share["exchange rate"], math.Expm1(0.0225)/(math.Expm1(0.0225)+math.Expm1(0.04)),
		0.02)
}

// A sale stated with the buyer's premium is the sale at the hammer.
func TestRouteWithBuyersPremium(t *testing.T) {
	in := testRoutes()
	in.Routes = in.Routes[2:3]
	hammer := compare(t, in).Routes[0]
	in.Routes = slices.Clone(in.Routes)
	in.Routes[0].BuyersPremium = BuyersPremium{Tiers: []Tier{{0, 0.25}}, TaxRate: 0.2}
	in.Routes[0].Sale.LogMedian += math.Log(1.3)
	allIn := compare(t, in).Routes[0]
	within(t, "profit", allIn.ExpectedProfit, hammer.ExpectedProfit, 1e-6)
	within(t, "sale", allIn.Sale.Median, hammer.Sale.Median, 1e-6)
}

func TestRoutesKeepArguments(t *testing.T) {
	in, same := testRoutes(), testRoutes()
	first := compare(t, in)
	if !reflect.DeepEqual(in, same) {
		t.Error("the input was changed")
	}
	if !reflect.DeepEqual(first, compare(t, in)) {
		t.Error("the same input gave other figures")
	}
	// One more route leaves the figures of the others as they were.
	in.Routes = append(in.Routes, Route{Name: "fair", Sale: Sale{LogMedian: 8.5, LogScale: 0.4}})
	within(t, "own site", named(compare(t, in), OwnSite).ExpectedProfit, named(first, OwnSite).ExpectedProfit, 0)
}

func TestBadRoutes(t *testing.T) {
	negative := -1.0
	for field, change := range map[string]func(*RoutesInput){
		"routes":                           func(in *RoutesInput) { in.Routes = nil },
		"routes[0].name":                   func(in *RoutesInput) { in.Routes[0].Name = "" },
		"routes[1].name":                   func(in *RoutesInput) { in.Routes[1].Name = OwnSite },
		"routes[1].sale.log_scale":         func(in *RoutesInput) { in.Routes[1].Sale.LogScale = -1 },
		"routes[2].fees[0].tiers[1].over":  func(in *RoutesInput) { in.Routes[2].Fees[0].Tiers[1].Over = 0 },
		"routes[2].fees[0].tiers[0].share": func(in *RoutesInput) { in.Routes[2].Fees[0].Tiers[0].Share = 1 },
		"routes[2].fees[0].least":          func(in *RoutesInput) { in.Routes[2].Fees[0].Least = -1 },
		"routes[2].fees[0].tax_rate":       func(in *RoutesInput) { in.Routes[2].Fees[0].TaxRate = math.NaN() },
		"routes[2].fees": func(in *RoutesInput) {
			in.Routes[2].Fees[0].TaxRate, in.Routes[2].Fees[0].ShareOfSale = 4.9, 0.2
		},
		"routes[2].buyers_premium.tiers[0].share": func(in *RoutesInput) {
			in.Routes[2].BuyersPremium.Tiers = []Tier{{0,
				-1}}
		},
		"routes[2].buyers_premium.tax_rate": func(in *RoutesInput) { in.Routes[2].BuyersPremium.TaxRate = -1 },
		"routes[3].exchange.per_unit":       func(in *RoutesInput) { in.Routes[3].Exchange.LogSD = 0.1 },
		"routes[3].exchange.log_sd": func(in *RoutesInput) {
			in.Routes[3].Exchange = Exchange{1,
				math.NaN()}
		},
		"routes[0].tax.rate": func(in *RoutesInput) {
			in.Routes[0].Tax = &Tax{Scheme: Ordinary,
				Rate: -1}
		},
		"routes[0].time_to_sell.shape": func(in *RoutesInput) { in.Routes[0].TimeToSell.Shape = 99 },
		"together":                     func(in *RoutesInput) { in.Together = 1.5 },
		"confidence":                   func(in *RoutesInput) { in.Confidence = 0 },
		"work[0].low":                  func(in *RoutesInput) { in.Work[0].Low = -1 },
		"paid":                         func(in *RoutesInput) { in.Paid = &negative },
	} {
		in := testRoutes()
		change(&in)
		r, err := CompareRoutes(in)
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), " "+field+":") {
			t.Errorf("%s: got %v", field, err)
		}
		if !reflect.DeepEqual(r, RouteReport{}) {
			t.Errorf("%s: a report came with the error", field)
		}
	}
}

func BenchmarkCompareRoutes(b *testing.B) {
	in := testRoutes()
	for b.Loop() {
		compare(b, in)
	}
}

// Any two routes have the correlation asked for, not only those with the first.
func TestScoresCorrelate(t *testing.T) {
	for _, together := range []float64{0, 0.3, 0.5, 0.9, 1} {
		in := testRoutes()
		in.Together, in.Seed = together, 7
		scores := in.scores()
		n := float64(len(scores[0]))
		for i := range scores {
			within(t, "variance", stat.Variance(scores[i], nil), 1, 0.08)
			for k := range i {
				got := stat.Correlation(scores[i], scores[k], nil)
				within(t, "correlation", got, together, 4*(1-together*together)/math.Sqrt(n)+1e-9)
			}
		}
	}
}

package deal

import (
	"errors"
	"math"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func drawInput(t *rapid.T) Input {
	low := rapid.Float64Range(0, 500).Draw(t, "low")
	asked := rapid.Float64Range(0, 20000).Draw(t, "asked")
	return Input{
		Sale: Sale{LogMedian: rapid.Float64Range(5, 11).Draw(t, "log median"),
			LogScale: rapid.Float64Range(0, 0.8).Draw(t, "log scale"),
			DoF:      rapid.SampledFrom([]float64{0, 2, 5, 30}).Draw(t, "dof")},
		Work: []Cost{{Name: "service", Low: low, High: low + rapid.Float64Range(0, 500).Draw(t, "width"),
			Chance: rapid.Float64Range(0, 1).Draw(t, "chance")}},
		Fees: []Fee{{ShareOfSale: rapid.Float64Range(0, 0.2).Draw(t, "fee"),
			ShareOfPurchase: rapid.Float64Range(0, 0.3).Draw(t, "premium"),
			Fixed:           rapid.Float64Range(0, 100).Draw(t, "fixed")}},
		CarryingRatePerYear: rapid.Float64Range(0, 0.3).Draw(t, "carrying"),
		TimeToSell: Weibull{rapid.Float64Range(0.5, 3).Draw(t, "shape"),
			rapid.Float64Range(5, 500).Draw(t, "scale")},
		Tax: Tax{Scheme: rapid.SampledFrom([]string{NoTax, MarginTaxed, Ordinary}).Draw(t, "scheme"),
			Rate: rapid.Float64Range(0, 0.3).Draw(t, "rate"), RecoverInput: rapid.Bool().Draw(t, "recover")},
		WantedMargin: rapid.Float64Range(0, 0.6).Draw(t, "margin"),
		Confidence:   rapid.Float64Range(0.05, 0.95).Draw(t, "confidence"),
		Asked:        &asked,
		Seed:         rapid.Uint64().Draw(t, "seed"),
		Draws:        300,
	}
}

func buy(t interface{ Fatal(...any) }, in Input) Result {
	r, err := Buy(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Whatever makes the deal worse never raises the highest price.
func TestHighestPriceFalls(t *testing.T) {
	worse := map[string]func(*Input, float64){
		"margin":     func(in *Input, by float64) { in.WantedMargin += by },
		"confidence": func(in *Input, by float64) { in.Confidence += (0.999 - in.Confidence) * by },
		"work": func(in *Input, by float64) {
			in.Work = append(slices.Clone(in.Work),
				Cost{Low: 0, High: 800 * by})
		},
		"dearer work": func(in *Input, by float64) {
			in.Work = slices.Clone(in.Work)
			in.Work[0].Low, in.Work[0].High = in.Work[0].Low*(1+by), in.Work[0].High*(1+by)
		},
		"fee": func(in *Input, by float64) {
			in.Fees = append(slices.Clone(in.Fees), Fee{ShareOfSale: by / 2, Fixed: by})
		},
		"carrying": func(in *Input, by float64) { in.CarryingRatePerYear += by },
		"time":     func(in *Input, by float64) { in.TimeToSell.ScaleDays *= 1 + by },
		"lower sale": func(in *Input, by float64) {
			in.Sale.LogMedian -= by
		},
	}
	for name, change := range worse {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				in := drawInput(t)
				before := buy(t, in)
				change(&in, rapid.Float64Range(0, 1).Draw(t, "by"))
				after := buy(t, in)
				if after.HighestPrice > before.HighestPrice*(1+1e-12) {
					t.Fatalf("rose from %g to %g", before.HighestPrice, after.HighestPrice)
				}
			})
		})
	}
}

func TestScaleOfCurrency(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		by := rapid.Float64Range(0.01, 200).Draw(t, "by")
		before := buy(t, in)
		in.Sale.LogMedian += math.Log(by)
		in.Work[0].Low, in.Work[0].High = in.Work[0].Low*by, in.Work[0].High*by
		in.Fees[0].Fixed *= by
		asked := *in.Asked * by
		in.Asked = &asked
		after := buy(t, in)
		size := by * math.Exp(in.Sale.LogMedian-math.Log(by))
		for _, c := range [][2]float64{{before.HighestPrice * by, after.HighestPrice},
			{before.ExpectedProfit * by, after.ExpectedProfit}} {
			if math.Abs(c[0]-c[1]) > 1e-8*(size+math.Abs(c[0])) {
				t.Fatalf("%g, want %g", c[1], c[0])
			}
		}
	})
}

func TestDearerIsRiskier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := buy(t, in)
		asked := *in.Asked * rapid.Float64Range(1, 3).Draw(t, "times")
		in.Asked = &asked
		after := buy(t, in)
		if after.ChanceOfLoss < before.ChanceOfLoss || after.ExpectedProfit > before.ExpectedProfit+1e-9 {
			t.Fatalf("chance of loss %g then %g", before.ChanceOfLoss, after.ChanceOfLoss)
		}
	})
}

// At the highest price the wanted margin is kept in the wanted share of draws, and
// a little above it no longer.
func TestHighestPriceIsHighest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.Asked = nil
		r := buy(t, in)
		if !r.Reachable {
			return
		}
		if r.ChanceOfMargin < in.Confidence-1.0/float64(r.Draws) {
			t.Fatalf("at %g the margin is kept with %g, want %g", r.HighestPrice, r.ChanceOfMargin, in.Confidence)
		}
		above := r.HighestPrice * (1 + 1e-6)
		in.Asked = &above
		if after := buy(t, in); after.ChanceOfMargin > in.Confidence+2.0/float64(r.Draws) && in.Sale.LogScale > 0.01 {
			t.Fatalf("above %g the margin is still kept with %g, want %g", r.HighestPrice, after.ChanceOfMargin,
				in.Confidence)
		}
	})
}

// With other draws the margin is kept as often as was promised.
func TestConfidenceHoldsOutOfSample(t *testing.T) {
	in := benchInput()
	r := buy(t, in)
	in.Asked, in.Seed, in.Draws = &r.HighestPrice, 99, 100_000
	within(t, "chance of the margin", buy(t, in).ChanceOfMargin, in.Confidence, 0.012)
}

func TestSameSeedSameFigures(t *testing.T) {
	in := benchInput()
	first := buy(t, in)
	old := runtime.GOMAXPROCS(1)
	second := buy(t, in)
	runtime.GOMAXPROCS(old)
	if !reflect.DeepEqual(first, second) {
		t.Error("the same input gave other figures")
	}
	in.Seed++
	if buy(t, in).HighestPrice == first.HighestPrice {
		t.Error("the seed changes nothing")
	}
}

func TestArgumentsUnchanged(t *testing.T) {
	in := benchInput()
	in.Sale = Sale{Quantiles: []Quantile{{0.1, 100}, {0.9, 200}}}
	asked := 50.0
	in.Asked = &asked
	work, fees, qs := slices.Clone(in.Work), slices.Clone(in.Fees), slices.Clone(in.Sale.Quantiles)
	buy(t, in)
	if !slices.Equal(work, in.Work) || !reflect.DeepEqual(fees, in.Fees) || !slices.Equal(qs, in.Sale.Quantiles) ||
		asked != 50 {
		t.Error("the input was changed")
	}
}

func TestSensitivity(t *testing.T) {
	r := buy(t, benchInput())
	sum := 0.0
	for _, s := range r.Sensitivity {
		sum += s.Share
	}
	within(t, "sum of shares", sum, 1, 1e-12)
	if len(r.Sensitivity) != 4 || r.Sensitivity[0].Source.String() != "sale price" {
		t.Errorf("got %v", r.Sensitivity)
	}
	// Half the price is kept after a fee of a half, so that only a quarter of its
	// variance is left beside that of the work. A lognormal of scale 0.1 around 100 has
	// the variance 101.5 (closed form), work from 0 to 10 has 100/24.
	asked := 200.0
	half := buy(t, Input{Sale: Sale{LogMedian: math.Log(100), LogScale: 0.1}, Fees: []Fee{{ShareOfSale: 0.5}},
		Work: []Cost{{High: 10, Mode: 5}},
		Tax:  Tax{Scheme: MarginTaxed, Rate: 0.2}, Asked: &asked, Confidence: 0.5})
	ofSale := 10000 * (math.Exp(0.01) - 1) * math.Exp(0.01) / 4
	within(t, "share of the sale price", half.Sensitivity[0].Share, ofSale/(ofSale+100.0/24), 0.01)
	certain := buy(t, Input{Sale: Sale{LogMedian: 8}, Confidence: 0.5})
	if certain.Sensitivity != nil {
		t.Errorf("nothing is uncertain, got %v", certain.Sensitivity)
	}
}

func TestCostsAreNamed(t *testing.T) {
	asked := 1000.0
	r := buy(t, Input{Sale: Sale{LogMedian: math.Log(2000)}, Asked: &asked, Confidence: 0.5,
		Tax:  Tax{Scheme: Ordinary, Rate: 0.25},
		Work: []Cost{{Low: 40, High: 60}}, Fees: []Fee{{Name: "auction", ShareOfPurchase: 0.2, Fixed: 5},
			{Name: "card", ShareOfSale: 0.01}}})
	want := []CostShare{{Name: cost("work", ""), Mean: 50}, {Name: cost("auction", ""), Mean: 205},
		{Name: cost("card", ""), Mean: 20}, {Name: cost("tax", ""), Mean: 400}}
	if len(r.Costs) != len(want) {
		t.Fatalf("costs %+v", r.Costs)
	}
	profit := 2000 - asked
	for i, c := range r.Costs {
		if c.Name.String() != want[i].Name.String() || !c.Interval90.Contains(c.Mean) {
			t.Errorf("%+v, want %s", c, want[i].Name)
		}
		within(t, c.Name.String(), c.Mean, want[i].Mean, 0.5)
		profit -= c.Mean
	}
	// Without carrying, profit is sale less price less costs.
	within(t, "expected profit", r.ExpectedProfit, profit, 1e-6)
}

func TestNotEvenAsAGift(t *testing.T) {
	r := buy(t, Input{Sale: Sale{LogMedian: math.Log(100), LogScale: 0.1}, Work: []Cost{{Low: 500, High: 600}},
		Confidence: 0.8})
	if r.Reachable || r.HighestPrice != 0 || r.ChanceOfLoss != 1 {
		t.Errorf("got %+v", r)
	}
	if r.Says[0].Kind != "deal.gift" {
		t.Errorf("says %q", r.Says)
	}
}

func TestBadInput(t *testing.T) {
	nan, negative := math.NaN(), -1.0
	for field, change := range map[string]func(*Input){
		"sale.log_median":           func(in *Input) { in.Sale.LogMedian = nan },
		"sale.log_scale":            func(in *Input) { in.Sale.LogScale = -0.1 },
		"sale.dof":                  func(in *Input) { in.Sale.DoF = 0.5 },
		"sale.quantiles":            func(in *Input) { in.Sale.Quantiles = []Quantile{{0.5, 10}} },
		"sale.quantiles[0].value":   func(in *Input) { in.Sale.Quantiles = []Quantile{{0.1, 0}, {0.9, 10}} },
		"sale.quantiles[1].p":       func(in *Input) { in.Sale.Quantiles = []Quantile{{0.1, 5}, {1, 10}} },
		"sale.quantiles[1]":         func(in *Input) { in.Sale.Quantiles = []Quantile{{0.5, 5}, {0.4, 10}} },
		"work[0].low":               func(in *Input) { in.Work[0].Low = -1 },
		"work[0].high":              func(in *Input) { in.Work[0].High = 1 },
		"work[0].mode":              func(in *Input) { in.Work[0].Mode = 9999 },
		"work[1].low":               func(in *Input) { in.Work[1].Low = 0 },
		"work[0].chance":            func(in *Input) { in.Work[0].Chance = 1.5 },
		"work[0].shape":             func(in *Input) { in.Work[0].Shape = "square" },
		"fees[0].share_of_sale":     func(in *Input) { in.Fees[0].ShareOfSale = 2 },
		"fees[0].share_of_purchase": func(in *Input) { in.Fees[0].ShareOfPurchase = -2 },
		"fees[0].fixed":             func(in *Input) { in.Fees[0].Fixed = math.Inf(1) },
		"fees":                      func(in *Input) { in.Fees = []Fee{{ShareOfSale: 0.6}, {ShareOfSale: 0.6}} },
		"carrying_rate_per_year":    func(in *Input) { in.CarryingRatePerYear = nan },
		"time_to_sell.shape":        func(in *Input) { in.TimeToSell.Shape = 0 },
		"time_to_sell.scale_days":   func(in *Input) { in.TimeToSell.ScaleDays = -3 },
		"tax.scheme":                func(in *Input) { in.Tax.Scheme = "secret" },
		"tax.rate":                  func(in *Input) { in.Tax.Rate = -0.2 },
		"wanted_margin":             func(in *Input) { in.WantedMargin = -0.1 },
		"confidence":                func(in *Input) { in.Confidence = 1 },
		"asked":                     func(in *Input) { in.Asked = &negative },
		"draws":                     func(in *Input) { in.Draws = 5 },
	} {
		in := benchInput()
		change(&in)
		r, err := Buy(in)
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), field+":") {
			t.Errorf("%s: got %v", field, err)
		}
		if !reflect.DeepEqual(r, Result{}) {
			t.Errorf("%s: a result came with the error", field)
		}
	}
}

func TestQuantilesAgainstSorting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xs := rapid.SliceOfN(rapid.Float64Range(-10, 10), 1, 60).Draw(t, "xs")
		ps := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 5).Draw(t, "ps")
		slices.Sort(ps)
		sorted := slices.Sorted(slices.Values(xs))
		got := quantiles(slices.Clone(xs), ps...)
		for i, p := range ps {
			h := p * float64(len(xs)-1)
			k := int(h)
			want := sorted[k]
			if k+1 < len(xs) {
				want += (h - float64(k)) * (sorted[k+1] - sorted[k])
			}
			if math.Abs(got[i]-want) > 1e-12 {
				t.Fatalf("p %g of %v: %g, want %g", p, xs, got[i], want)
			}
		}
	})
}

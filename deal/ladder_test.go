package deal

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/say"
)

func testLadder(t interface{ Fatal(...any) }) LadderInput {
	return LadderInput{
		Currency: "EUR", Value: Sale{LogMedian: math.Log(10000), LogScale: 0.15, DoF: 5},
		Fees: []Fee{{Name: "card", ShareOfSale: 0.02}}, Work: []Cost{{Low: 100, High: 300}},
		CarryingRatePerYear: 0.08, Tax: Tax{Scheme: MarginTaxed, Rate: 0.2}, Paid: 7000,
		Time: fitTime(t, nil, CommonPrior()), Haggling: CommonHaggling(),
	}
}

func ladder(t interface{ Fatal(...any) }, in LadderInput) LadderReport {
	r, err := Ladder(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// sure is a prior that leaves nothing uncertain in the time to sell.
func sure(w Weibull) Prior {
	p := PriorAround(w)
	p.LogScaleDays.SD, p.ReferenceSD, p.MetalSD = 1e-5, 0, 0
	return p
}

// With a value that is certain all has a closed form.
func TestLadderAgainstClosedForms(t *testing.T) {
	w := Weibull{Shape: 1, ScaleDays: 80}
	in := LadderInput{Value: Sale{LogMedian: math.Log(1000)}, CarryingRatePerYear: 0.2, Paid: 500,
		Time:     fitTime(t, nil, sure(w)),
		Haggling: Haggling{Discount: 0.04, PassThrough: 0.5, MostOver: 0.15}, Asks: []float64{900, 1000, 1210, 1500},
		Draws: testDraws}
	for i, want := range []struct{ scale, price float64 }{{80 * math.Pow(0.9, 4), 0.96 * 900}, {80, 960},
		{80 * math.Pow(1.21, 4), 0.96 * 1100}, {80 * math.Pow(1.5, 4), 0.96 * 1150}} {
		r := ladder(t, in).Rungs[i]
		within(t, "price", r.ExpectedPrice, want.price, 1e-6)
		within(t, "median days", r.Days.Value, want.scale*math.Ln2, 4*want.scale/math.Sqrt(testDraws))
		within(t, "mean days", r.MeanDays, want.scale, 4*want.scale/math.Sqrt(testDraws))
		// Money of 500 at 20 % a year for scale days on average.
		carry := 500 * 0.2 * want.scale / daysPerYear
		within(t, "net", r.ExpectedNet, want.price-500-carry, 4*carry/math.Sqrt(testDraws))
		p := 1 - math.Exp(-30/want.scale)
		within(t, "sold in 30 days", r.ChanceSold30, p, 4*math.Sqrt(p*(1-p)/testDraws))
	}
	// Patience: 1 − F(100) are given up, for 70 % of the value.
	in.PatienceDays, in.GivenUp = 100, 0.7
	r := ladder(t, in).Rungs[1]
	p := math.Exp(-100.0 / 80)
	within(t, "given up", r.ChanceGivenUp, p, 4*math.Sqrt(p*(1-p)/testDraws))
	within(t, "price with giving up", r.ExpectedPrice, 960*(1-p)+700*p, 260*4*math.Sqrt(p*(1-p)/testDraws))
}

// Days on sale so far: S(t+d)/S(d), for a constant hazard the same as new.
func TestLadderConditionalSurvival(t *testing.T) {
	for _, shape := range []float64{0.7, 1, 1.6} {
		w := Weibull{Shape: shape, ScaleDays: 120}
		in := LadderInput{Value: Sale{LogMedian: math.Log(1000)}, Time: fitTime(t, nil, sure(w)), Asks: []float64{1000},
			DaysOnSale: 200, CurrentAsk: 1000, Draws: testDraws}
		r := ladder(t, in).Rungs[0]
		s := func(d float64) float64 { return math.Exp(-math.Pow(d/w.ScaleDays, shape)) }
		p := 1 - s(290)/s(200)
		within(t, "sold in 90 days more", r.ChanceSold90, p, 4*math.Sqrt(p*(1-p)/testDraws))
	}
}

// That a watch did not sell makes values likely at which it would not have sold: the
// median value is that of the prior density times S(days), here by quadrature.
func TestLadderLearnsFromNotSelling(t *testing.T) {
	in := testLadder(t)
	in.Value = Sale{LogMedian: math.Log(1000), LogScale: 0.2}
	in.Asks, in.DaysOnSale, in.CurrentAsk, in.Draws = []float64{900, 1000}, 250, 1000, testDraws
	in.Time = fitTime(t, nil, sure(Weibull{1.1, 110}))
	w := in.Time.At(Covariates{})
	var below, all float64
	var zs, ws []float64
	for z := -6.0; z <= 6; z += 0.001 {
		scale := w.ScaleDays * math.Exp(-0.2*z*in.Time.Price.Estimate)
		p := math.Exp(-z*z/2 - math.Pow(250/scale, w.Shape))
		zs, ws = append(zs, z), append(ws, p)
		all += p
	}
	median := 0.0
	for i, z := range zs {
		if below += ws[i]; below >= all/2 {
			median = 1000 * math.Exp(0.2*z)
			break
		}
	}
	r := ladder(t, in)
	within(t, "median value", r.ValueMedian, median, 3)
	if r.ValueMedian > 950 {
		t.Errorf("250 days unsold at its value, and the value is still %g", r.ValueMedian)
	}
	// Where it is not sure how fast such watches sell, less is said against the value.
	unsure := in
	unsure.Time = fitTime(t, nil, CommonPrior())
	if v := ladder(t, unsure).ValueMedian; v < r.ValueMedian || v > 1000 {
		t.Errorf("with an uncertain time the value is %g, with a sure one %g", v, r.ValueMedian)
	}
	in.DaysOnSale = 0
	within(t, "nothing learned", ladder(t, in).ValueMedian, 1000, 3)
}

func drawLadder(t *rapid.T) LadderInput {
	in := testLadder(t)
	in.Value = Sale{LogMedian: rapid.Float64Range(5, 12).Draw(t, "log median"),
		LogScale: rapid.Float64Range(0, 0.5).Draw(t, "log scale"),
		DoF:      rapid.SampledFrom([]float64{0, 4}).Draw(t, "dof")}
	value := math.Exp(in.Value.LogMedian)
	in.Time = fitTime(t, nil, PriorAround(Weibull{rapid.Float64Range(0.5, 3).Draw(t, "shape"),
		rapid.Float64Range(5, 500).Draw(t, "scale")}))
	in.Paid = value * rapid.Float64Range(0, 1.5).Draw(t, "paid")
	in.Haggling = Haggling{Discount: rapid.Float64Range(0, 0.2).Draw(t, "discount"),
		PassThrough:  rapid.Float64Range(0, 1).Draw(t, "pass through"),
		MostOver:     rapid.Float64Range(0, 0.5).Draw(t, "most over"),
		PatienceDays: rapid.SampledFrom([]float64{0, 100, 365}).Draw(t, "patience"),
		GivenUp:      rapid.Float64Range(0, 1).Draw(t, "given up")}
	in.CarryingRatePerYear = rapid.Float64Range(0, 1).Draw(t, "carrying")
	in.DaysOnSale = rapid.SampledFrom([]float64{0, 50, 400}).Draw(t, "days")
	in.CurrentAsk = value * rapid.SampledFrom([]float64{0.7, 0.9, 1.3}).Draw(t, "current")
	in.Seed, in.Draws = rapid.Uint64().Draw(t, "seed"), 150
	for _, share := range []float64{0.8, 0.9, 1, 1.1, 1.2, 1.4} {
		in.Asks = append(in.Asks, share*value)
	}
	return in
}

func TestDearerAskNeverSellsSooner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rungs := ladder(t, drawLadder(t)).Rungs
		for i := 1; i < len(rungs); i++ {
			a, b := rungs[i-1], rungs[i]
			const e = 1e-9
			if b.Days.Value < a.Days.Value-e || b.Days.Interval.Low() < a.Days.Interval.Low()-e ||
				b.Days.Interval.High() < a.Days.Interval.High()-e || b.MeanDays < a.MeanDays-e ||
				b.ChanceSold30 > a.ChanceSold30+e || b.ChanceSold90 > a.ChanceSold90+e ||
				b.ChanceGivenUp < a.ChanceGivenUp-e {
				t.Fatalf("%+v\n%+v", a, b)
			}
		}
	})
}

// The dearer the money, the lower the best ask, since dearer asks tie it up longer.
func TestBestAskFallsWithCostOfMoney(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		before := ladder(t, in)
		in.CarryingRatePerYear += rapid.Float64Range(0, 1).Draw(t, "dearer by")
		after := ladder(t, in)
		if a, b := before.Rungs[before.Best], after.Rungs[after.Best]; b.Ask > a.Ask &&
			after.Rungs[before.Best].ExpectedNet < b.ExpectedNet-1e-9*b.Ask {
			t.Fatalf("the best ask rose from %g to %g", a.Ask, b.Ask)
		}
	})
}

func TestLadderScalesWithCurrency(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		by := rapid.Float64Range(0.01, 200).Draw(t, "by")
		before := ladder(t, in)
		in.Value.LogMedian += math.Log(by)
		in.Paid, in.CurrentAsk, in.Asks = in.Paid*by, in.CurrentAsk*by, slices.Clone(in.Asks)
		for i := range in.Asks {
			in.Asks[i] *= by
		}
		in.Work = []Cost{{Low: 100 * by, High: 300 * by}}
		after := ladder(t, in)
		for i, r := range after.Rungs {
			b := before.Rungs[i]
			if math.Abs(r.ExpectedNet-by*b.ExpectedNet) > 1e-6*r.Ask ||
				math.Abs(r.Days.Value-b.Days.Value) > 1e-6*(1+b.Days.Value) {
				t.Fatalf("net %g, want %g; days %g, want %g", r.ExpectedNet, by*b.ExpectedNet, r.Days.Value,
					b.Days.Value)
			}
		}
	})
}

// An ordinary watch: asked above its value, cut after some months; a dear one that
// has been on sale for long: cut now.
func TestCuttingAnOldPrice(t *testing.T) {
	in := testLadder(t)
	r := ladder(t, in)
	if best := r.Rungs[r.Best]; best.AskOverValue < 1 || best.AskOverValue > 1.4 || r.CutAt <= 0 ||
		r.BestPerYear > r.Best || r.NearBest[0] > best.Ask || r.NearBest[1] < best.Ask {
		t.Errorf("best %+v, cut at %d", best, r.CutAt)
	}
	for i, s := range r.Schedule {
		if s.BestAsk > r.Asked || i > 0 && s.ValueMedian > r.Schedule[i-1].ValueMedian+1e-9 {
			t.Errorf("step %d: %+v", i, s)
		}
	}
	in.DaysOnSale, in.CurrentAsk = 300, 12000
	if r = ladder(t, in); r.CutAt != 0 || r.Schedule[0].BestAsk >= 12000 ||
		!slices.ContainsFunc(r.Says, func(s say.Statement) bool { return s.Kind == "ladder.cut-now" }) {
		t.Errorf("cut at %d, says %q", r.CutAt, r.Says)
	}
	// An ask beyond all reason says nothing of the value, and is cut.
	in.CurrentAsk = 60000
	if r = ladder(t, in); r.CutAt != 0 || r.Schedule[0].BestAsk > 13000 {
		t.Errorf("cut at %d to %g", r.CutAt, r.Schedule[0].BestAsk)
	}
	in.DaysOnSale, in.CurrentAsk = 300, 8000
	if r = ladder(t, in); r.CutAt != -1 {
		t.Errorf("a low ask is cut at %d: %+v", r.CutAt, r.Schedule)
	}
}

func TestLadderKeepsArguments(t *testing.T) {
	in := testLadder(t)
	in.Asks = []float64{9000, 10000}
	same := in
	same.Asks, same.Fees, same.Work = []float64{9000, 10000}, []Fee{{Name: "card", ShareOfSale: 0.02}},
		[]Cost{{Low: 100, High: 300}}
	first := ladder(t, in)
	if !reflect.DeepEqual(in, same) {
		t.Error("the input was changed")
	}
	if !reflect.DeepEqual(first, ladder(t, in)) {
		t.Error("the same input gave other figures")
	}
}

func TestBadLadder(t *testing.T) {
	for field, change := range map[string]func(*LadderInput){
		"value.log_scale":        func(in *LadderInput) { in.Value.LogScale = -1 },
		"value.quantiles":        func(in *LadderInput) { in.Value.Quantiles = []Quantile{{0.5, 10}} },
		"time":                   func(in *LadderInput) { in.Time = nil },
		"asks[1]":                func(in *LadderInput) { in.Asks = []float64{10, 10} },
		"asks[0]":                func(in *LadderInput) { in.Asks = []float64{0} },
		"discount":               func(in *LadderInput) { in.Discount = 1 },
		"pass_through":           func(in *LadderInput) { in.PassThrough = 1.1 },
		"most_over":              func(in *LadderInput) { in.MostOver = -1 },
		"patience_days":          func(in *LadderInput) { in.PatienceDays = math.NaN() },
		"given_up":               func(in *LadderInput) { in.GivenUp = 2 },
		"watch.ask_over_value":   func(in *LadderInput) { in.Watch.AskOverValue = -2 },
		"paid":                   func(in *LadderInput) { in.Paid = -1 },
		"days_on_sale":           func(in *LadderInput) { in.DaysOnSale = -1 },
		"current_ask":            func(in *LadderInput) { in.DaysOnSale = 5 },
		"fees[0].share_of_sale":  func(in *LadderInput) { in.Fees = []Fee{{ShareOfSale: -1}} },
		"work[0].low":            func(in *LadderInput) { in.Work = []Cost{{Low: -1}} },
		"carrying_rate_per_year": func(in *LadderInput) { in.CarryingRatePerYear = -1 },
		"tax.scheme":             func(in *LadderInput) { in.Tax.Scheme = "secret" },
		"draws":                  func(in *LadderInput) { in.Draws = 1 },
	} {
		in := testLadder(t)
		change(&in)
		r, err := Ladder(in)
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), " "+field+":") {
			t.Errorf("%s: got %v", field, err)
		}
		if !reflect.DeepEqual(r, LadderReport{}) {
			t.Errorf("%s: a report came with the error", field)
		}
	}
}

func BenchmarkLadder(b *testing.B) {
	in := testLadder(b)
	for b.Loop() {
		ladder(b, in)
	}
}

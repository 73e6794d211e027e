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

func testLadder(t interface{ Fatal(...any) }) Input {
	paid := 7000.0
	return Input{
		Currency: "EUR", Sale: Sale{LogMedian: math.Log(10000), LogScale: 0.15, DoF: 5},
		Fees: []Fee{{Name: "card", ShareOfSale: 0.02}}, Work: []Cost{{Low: 100, High: 300}},
		CarryingRatePerYear: 0.08, HurdleRatePerYear: CommonHurdle, Tax: Tax{Scheme: MarginTaxed, Rate: 0.2},
		WantedMargin: 0.15, Confidence: 0.8, Asked: &paid,
		Listing: &Listing{Time: fitTime(t, nil, CommonPrior()), Haggling: CommonHaggling()},
	}
}

// listed is a copy of the input whose listing may be changed.
func listed(in Input) Input {
	l := *in.Listing
	in.Listing = &l
	return in
}

func ladder(t interface{ Fatal(...any) }, in Input) LadderReport {
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
	paid := 500.0
	in := Input{Sale: Sale{LogMedian: math.Log(1000)}, CarryingRatePerYear: 0.2, Asked: &paid, Confidence: 0.5,
		Draws: testDraws, Listing: &Listing{Time: fitTime(t, nil, sure(w)),
			Asks:     []float64{900, 1000, 1210 / 0.96, 1500},
			Haggling: Haggling{Discount: 0.04, PassThrough: 0.5, MostOver: 0.15}}}
	for i, want := range []struct{ scale, price float64 }{{80 * math.Pow(0.9, 4), 0.96 * 900}, {80, 960},
		{80 * math.Pow(1.21/0.96, 4), 1100}, {80 * math.Pow(1.5, 4), 1150}} {
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
	in.Listing.PatienceDays, in.Listing.GivenUp = 100, 0.7
	r := ladder(t, in).Rungs[1]
	p := math.Exp(-100.0 / 80)
	within(t, "given up", r.ChanceUnsold, p, 4*math.Sqrt(p*(1-p)/testDraws))
	within(t, "price with giving up", r.ExpectedPrice, 960*(1-p)+700*p, 260*4*math.Sqrt(p*(1-p)/testDraws))
}

// Days on sale so far: S(t+d)/S(d), for a constant hazard the same as new.
func TestLadderConditionalSurvival(t *testing.T) {
	for _, shape := range []float64{0.7, 1, 1.6} {
		w := Weibull{Shape: shape, ScaleDays: 120}
		in := Input{Sale: Sale{LogMedian: math.Log(1000)}, Confidence: 0.5, Draws: testDraws,
			Listing: &Listing{Time: fitTime(t, nil, sure(w)), Asks: []float64{1000}, DaysOnSale: 200, CurrentAsk: 1000}}
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
	in.Sale, in.Draws = Sale{LogMedian: math.Log(1000), LogScale: 0.2}, testDraws
	l := in.Listing
	l.Asks, l.DaysOnSale, l.CurrentAsk = []float64{900, 1000}, 250, 1000
	l.Time = fitTime(t, nil, sure(Weibull{1.1, 110}))
	w := l.Time.At(Covariates{})
	var below, all float64
	var zs, ws []float64
	for z := -6.0; z <= 6; z += 0.001 {
		scale := w.ScaleDays * math.Exp(-0.2*z*l.Time.Price.Estimate)
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
	unsure := listed(in)
	unsure.Listing.Time = fitTime(t, nil, CommonPrior())
	if v := ladder(t, unsure).ValueMedian; v < r.ValueMedian || v > 1000 {
		t.Errorf("with an uncertain time the value is %g, with a sure one %g", v, r.ValueMedian)
	}
	l.DaysOnSale = 0
	within(t, "nothing learned", ladder(t, in).ValueMedian, 1000, 3)
}

func drawLadder(t *rapid.T) Input {
	in := testLadder(t)
	in.Sale = Sale{LogMedian: rapid.Float64Range(5, 12).Draw(t, "log median"),
		LogScale: rapid.Float64Range(0, 0.5).Draw(t, "log scale"),
		DoF:      rapid.SampledFrom([]float64{0, 4}).Draw(t, "dof")}
	value := math.Exp(in.Sale.LogMedian)
	paid := value * rapid.Float64Range(0, 1.5).Draw(t, "paid")
	in.Asked = &paid
	l := in.Listing
	l.Time = fitTime(t, nil, PriorAround(Weibull{rapid.Float64Range(0.5, 3).Draw(t, "shape"),
		rapid.Float64Range(5, 500).Draw(t, "scale")}))
	l.Haggling = Haggling{Discount: rapid.Float64Range(0, 0.2).Draw(t, "discount"),
		PassThrough:  rapid.Float64Range(0, 1).Draw(t, "pass through"),
		MostOver:     rapid.Float64Range(0, 0.5).Draw(t, "most over"),
		CutEveryDays: rapid.SampledFrom([]float64{0, 30, 90}).Draw(t, "cut every"),
		CutBy:        rapid.Float64Range(0, 0.3).Draw(t, "cut by"),
		PatienceDays: rapid.SampledFrom([]float64{0, 100, 365}).Draw(t, "patience"),
		GivenUp:      rapid.Float64Range(0, 1).Draw(t, "given up")}
	in.CarryingRatePerYear = rapid.Float64Range(0, 1).Draw(t, "carrying")
	in.HurdleRatePerYear = rapid.Float64Range(0, 1).Draw(t, "hurdle")
	l.DaysOnSale = rapid.SampledFrom([]float64{0, 50, 400}).Draw(t, "days")
	l.CurrentAsk = value * rapid.SampledFrom([]float64{0.7, 0.9, 1.3}).Draw(t, "current")
	in.Seed, in.Draws = rapid.Uint64().Draw(t, "seed"), 150
	for _, share := range []float64{0.8, 0.9, 1, 1.1, 1.2, 1.4} {
		l.Asks = append(l.Asks, share*value)
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
				b.ChanceUnsold < a.ChanceUnsold-e {
				t.Fatalf("%+v\n%+v", a, b)
			}
		}
	})
}

// The more the money has to earn, the lower the best ask, since dearer asks bind it longer.
func TestBestAskFallsWithHurdle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		before := ladder(t, in)
		in.HurdleRatePerYear += rapid.Float64Range(0, 1).Draw(t, "dearer by")
		after := ladder(t, in)
		if a, b := before.Rungs[before.Best], after.Rungs[after.Best]; b.Ask > a.Ask &&
			after.Rungs[before.Best].Behind > 1e-9*b.Ask {
			t.Fatalf("the best ask rose from %g to %g", a.Ask, b.Ask)
		}
	})
}

func TestLadderScalesWithCurrency(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		by := rapid.Float64Range(0.01, 200).Draw(t, "by")
		before := ladder(t, in)
		in.Sale.LogMedian += math.Log(by)
		in = listed(in)
		paid, l := *in.Asked*by, in.Listing
		in.Asked, l.CurrentAsk, l.Asks = &paid, l.CurrentAsk*by, slices.Clone(l.Asks)
		for i := range l.Asks {
			l.Asks[i] *= by
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

// An ordinary watch: asked about its value, mostly sold; a dear one that has been on sale
// for long: cut now.
func TestCuttingAnOldPrice(t *testing.T) {
	in := testLadder(t)
	r := ladder(t, in)
	if best := r.Rungs[r.Best]; best.AskOverValue < 0.9 || best.AskOverValue > 1.3 || best.ChanceUnsold > 0.35 ||
		r.NearBest[0] > best.Ask || r.NearBest[1] < best.Ask {
		t.Errorf("best %+v", best)
	}
	for i, s := range r.Schedule {
		if s.BestAsk > r.Asked || i > 0 && (s.ValueMedian > r.Schedule[i-1].ValueMedian+1e-9 ||
			s.BestAsk > r.Schedule[i-1].BestAsk) {
			t.Errorf("step %d: %+v", i, s)
		}
	}
	in.Listing.DaysOnSale, in.Listing.CurrentAsk = 300, 12000
	if r = ladder(t, in); r.CutAt != 0 || r.Schedule[0].BestAsk >= 12000 ||
		!slices.ContainsFunc(r.Says, func(s say.Statement) bool { return s.Kind == "ladder.cut-now" }) {
		t.Errorf("cut at %d, says %q", r.CutAt, r.Says)
	}
	// An ask beyond all reason says nothing of the value, and is cut.
	in.Listing.CurrentAsk = 60000
	if r = ladder(t, in); r.CutAt != 0 || r.Schedule[0].BestAsk > 13000 {
		t.Errorf("cut at %d to %g", r.CutAt, r.Schedule[0].BestAsk)
	}
	in.Listing.CurrentAsk = 8000
	if r = ladder(t, in); r.Rungs[r.Best].Ask > 8000 {
		t.Errorf("unsold for 300 days at 8,000, the best ask is %g", r.Rungs[r.Best].Ask)
	}
}

func TestLadderKeepsArguments(t *testing.T) {
	make := func() Input {
		in := testLadder(t)
		in.Listing.Time = nil
		in.Listing.Asks, in.Listing.DaysOnSale, in.Listing.CurrentAsk = []float64{9000, 10000}, 40, 9500
		return in
	}
	in, same, time := make(), make(), fitTime(t, nil, CommonPrior())
	in.Listing.Time, same.Listing.Time = time, time
	first := ladder(t, in)
	if !reflect.DeepEqual(in, same) {
		t.Error("the input was changed")
	}
	if !reflect.DeepEqual(first, ladder(t, in)) {
		t.Error("the same input gave other figures")
	}
}

func TestBadLadder(t *testing.T) {
	negative := -1.0
	for field, change := range map[string]func(*Input, *Listing){
		"sale.log_scale":               func(in *Input, _ *Listing) { in.Sale.LogScale = -1 },
		"sale.quantiles":               func(in *Input, _ *Listing) { in.Sale.Quantiles = []Quantile{{0.5, 10}} },
		"listing":                      func(in *Input, _ *Listing) { in.Listing = nil },
		"listing.time":                 func(_ *Input, l *Listing) { l.Time = nil },
		"listing.asks[1]":              func(_ *Input, l *Listing) { l.Asks = []float64{10, 10} },
		"listing.asks[0]":              func(_ *Input, l *Listing) { l.Asks = []float64{0} },
		"listing.discount":             func(_ *Input, l *Listing) { l.Discount = 1 },
		"listing.pass_through":         func(_ *Input, l *Listing) { l.PassThrough = 1.1 },
		"listing.most_over":            func(_ *Input, l *Listing) { l.MostOver = -1 },
		"listing.cut_every_days":       func(_ *Input, l *Listing) { l.CutEveryDays = -1 },
		"listing.cut_by":               func(_ *Input, l *Listing) { l.CutBy = 1 },
		"listing.patience_days":        func(_ *Input, l *Listing) { l.PatienceDays = math.NaN() },
		"listing.given_up":             func(_ *Input, l *Listing) { l.GivenUp = 2 },
		"listing.watch.ask_over_value": func(_ *Input, l *Listing) { l.Watch.AskOverValue = -2 },
		"listing.days_on_sale":         func(_ *Input, l *Listing) { l.DaysOnSale = -1 },
		"listing.current_ask":          func(_ *Input, l *Listing) { l.DaysOnSale = 5 },
		"listing.last_fees[0].least":   func(_ *Input, l *Listing) { l.LastFees = []Fee{{Least: -1}} },
		"lot.reserve":                  func(in *Input, _ *Listing) { in.Lot.Reserve = -1 },
		"lot.charge":                   func(in *Input, _ *Listing) { in.Lot.Charge = 2 },
		"lot.last":                     func(in *Input, _ *Listing) { in.Lot.Last = -1 },
		"hurdle_rate_per_year":         func(in *Input, _ *Listing) { in.HurdleRatePerYear = -1 },
		"bound":                        func(in *Input, _ *Listing) { in.Bound = &negative },
		"asked":                        func(in *Input, _ *Listing) { in.Asked = &negative },
		"fees[0].share_of_sale":        func(in *Input, _ *Listing) { in.Fees = []Fee{{ShareOfSale: -1}} },
		"work[0].low":                  func(in *Input, _ *Listing) { in.Work = []Cost{{Low: -1}} },
		"carrying_rate_per_year":       func(in *Input, _ *Listing) { in.CarryingRatePerYear = -1 },
		"tax.scheme":                   func(in *Input, _ *Listing) { in.Tax.Scheme = "secret" },
		"draws":                        func(in *Input, _ *Listing) { in.Draws = 1 },
	} {
		in := testLadder(t)
		change(&in, in.Listing)
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

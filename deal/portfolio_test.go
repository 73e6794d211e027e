package deal

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/say"
)

func portfolio(t interface{ Fatal(...any) }, in PortfolioInput) PortfolioReport {
	r, err := Portfolio(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func testStock(n int) PortfolioInput {
	rng := rand.New(rand.NewPCG(3, 3))
	in := PortfolioInput{Currency: "EUR", CommonLogSD: 0.08, MetalLogSD: 0.05,
		MetalLogSDs: map[string]float64{"Yellow gold": 0.12},
		Falls:       []Fall{{Metal: "yellow gold", Premium: 0.8, By: 0.2}}, Draws: testDraws}
	metals := []string{"steel", "steel", "yellow gold", "steel and gold", ""}
	for i := range n {
		m := math.Log(4000) + 0.6*rng.NormFloat64()
		in.Holdings = append(in.Holdings, Holding{ID: fmt.Sprint(i), Reference: fmt.Sprint("ref ", rng.IntN(1+n/3)),
			Metal: metals[rng.IntN(5)], Paid: 0.75 * math.Exp(m), LogMedian: m, OwnLogSD: 0.1 + 0.2*rng.Float64()})
	}
	return in
}

// closed_forms.csv: mean and variance of the sum of two lognormals, ln X₁ ~ N(8, 0.3²)
// and ln X₂ ~ N(7, 0.5²) of correlation 0.4, which is a common variance of 0.06.
func TestPortfolioAgainstTable(t *testing.T) {
	in := PortfolioInput{CommonLogSD: math.Sqrt(0.06), Draws: 200_000, Holdings: []Holding{
		{LogMedian: 8, OwnLogSD: math.Sqrt(0.09 - 0.06)}, {LogMedian: 7, OwnLogSD: math.Sqrt(0.25 - 0.06)}}}
	r := portfolio(t, in)
	mean, variance := closedForm(t, "sum of 2 correlated lognormals: mean"), closedForm(t, "variance")
	within(t, "mean", r.Mean, mean, 1e-10*mean)
	within(t, "SD", r.SD, math.Sqrt(variance), 1e-10*math.Sqrt(variance))
	// Moment matching is close to the exact distribution here.
	within(t, "median", r.Median, math.Exp(closedForm(t, "Fenton-Wilkinson mu")), 0.01*mean)
	within(t, "95 % point", r.Interval90.High(), math.Exp(closedForm(t,
		"Fenton-Wilkinson mu")+1.6448536269514722*closedForm(t, "Fenton-Wilkinson sigma")), 0.01*mean)
}

// The exact moments against the double sum over all pairs, and what is drawn against
// the exact moments within three standard errors.
func TestPortfolioMoments(t *testing.T) {
	for _, n := range []int{1, 7, 60, 400} {
		in := testStock(n)
		r := portfolio(t, in)
		mean, variance, alone := 0.0, 0.0, 0.0
		sd := in.metalSD()
		log := func(h Holding) float64 {
			return h.LogMedian + (h.OwnLogSD*h.OwnLogSD+0.08*0.08+math.Pow(sd(fold(h.Metal)), 2))/2
		}
		for i, a := range in.Holdings {
			mean += math.Exp(log(a))
			for j, b := range in.Holdings {
				c := 0.08 * 0.08
				if fold(a.Metal) == fold(b.Metal) {
					c += math.Pow(sd(fold(a.Metal)), 2)
				}
				if i == j {
					c += a.OwnLogSD * a.OwnLogSD
					alone += math.Exp(2*log(a)) * math.Expm1(c)
				}
				variance += math.Exp(log(a)+log(b)) * math.Expm1(c)
			}
		}
		within(t, "mean", r.Mean, mean, 1e-10*mean)
		within(t, "SD", r.SD, math.Sqrt(variance), 1e-9*r.SD)
		within(t, "SD alone", r.SDAlone, math.Sqrt(alone), 1e-9*r.SD)
		totals := in.drawTotals(in.groups(), nil)
		drawn := rangeOf(slices.Clone(totals)).Mean
		within(t, "drawn mean", drawn, mean, 3*r.SD/math.Sqrt(testDraws))
		got := variance2(totals)
		// The standard error of a variance of near-normal draws is var·√(2/n); 1.5 for the skew.
		within(t, "drawn variance", got, variance, 3*1.5*variance*math.Sqrt(2.0/testDraws))
	}
}

func variance2(xs []float64) float64 {
	return variance(len(xs), func(i int) float64 { return xs[i] })
}

// One watch is a lognormal; many alike that move together only by the market come to
// n times one lognormal of the market.
func TestPortfolioQuantiles(t *testing.T) {
	one := portfolio(t, PortfolioInput{CommonLogSD: 0.3, MetalLogSD: 0.4, Draws: testDraws,
		Holdings: []Holding{{LogMedian: 8, OwnLogSD: 1.2, Paid: math.Exp(8)}}})
	se := 1.3 * math.Exp(8) * math.Sqrt(0.25/testDraws) / 0.3989
	within(t, "median of one", one.Median, math.Exp(8), 4*se)
	within(t, "chance under its median", one.ChanceUnderPaid, 0.5, 4*0.5/math.Sqrt(testDraws))
	in := PortfolioInput{CommonLogSD: 0.2, Draws: testDraws}
	for range 1000 {
		in.Holdings = append(in.Holdings, Holding{LogMedian: 8, OwnLogSD: 0.2})
	}
	many := portfolio(t, in)
	low := 1000 * math.Exp(8+0.02-1.6448536269514722*0.2)
	within(t, "5 % point of many", many.Interval90.Low(), low, 0.01*low)
}

// A sum of more than a few is drawn by its moments: the same range as one by one.
func TestManyDrawnAsFew(t *testing.T) {
	in := testStock(0)
	in.CommonLogSD, in.MetalLogSDs, in.MetalLogSD = 0, nil, 0
	rng := rand.New(rand.NewPCG(9, 9))
	for range few + 1 {
		in.Holdings = append(in.Holdings, Holding{LogMedian: 8 + 0.5*rng.NormFloat64(), OwnLogSD: 0.4})
	}
	r := portfolio(t, in)
	own := make([]float64, 40_000)
	for i := range own {
		for _, h := range in.Holdings {
			own[i] += math.Exp(h.LogMedian + h.OwnLogSD*rng.NormFloat64())
		}
	}
	q := quantiles(own, 0.05, 0.5, 0.95)
	within(t, "low", r.Interval90.Low(), q[0], 0.003*q[1])
	within(t, "median", r.Median, q[1], 0.003*q[1])
	within(t, "high", r.Interval90.High(), q[2], 0.003*q[1])
}

func TestConcentration(t *testing.T) {
	in := PortfolioInput{Holdings: []Holding{{Reference: "A", Metal: "steel", LogMedian: math.Log(500), Paid: 400},
		{Reference: "a ", Metal: "Steel", LogMedian: math.Log(300), Paid: 200},
		{Reference: "B", Metal: "gold", LogMedian: math.Log(200), Paid: 100}}}
	r := portfolio(t, in)
	if len(r.References) != 2 || r.References[0].Name != "A" || r.References[0].Watches != 2 ||
		r.References[0].TiedUp != 600 || r.TiedUp != 700 {
		t.Fatalf("%+v", r.References)
	}
	within(t, "share", r.References[0].Share, 0.8, 1e-12)
	within(t, "Herfindahl", r.HerfindahlReferences, 0.8*0.8+0.2*0.2, 1e-12)
	if !strings.Contains(strings.Join(say.Strings(r.Says), " "), "80 % of the value lies in A.") {
		t.Errorf("says %q", r.Says)
	}
	// Watches of unknown reference are not taken for one reference.
	for i := range in.Holdings {
		in.Holdings[i].Reference = ""
	}
	r = portfolio(t, in)
	within(t, "Herfindahl of unknown", r.HerfindahlReferences, 0.25+0.09+0.04, 1e-12)
	if len(r.References) != 1 || r.References[0].Watches != 3 {
		t.Errorf("%+v", r.References)
	}
}

// A premium of 0.8 that falls by a fifth takes 1.8 to 1.64.
func TestFallOfPremium(t *testing.T) {
	in := PortfolioInput{Holdings: []Holding{{Metal: "gold", LogMedian: math.Log(1800), Paid: 1700},
		{Metal: "steel", LogMedian: math.Log(1000)}},
		Falls: []Fall{{Metal: "Gold", Premium: 0.8, By: 0.2}, {Metal: "platinum", Premium: 1, By: 0.2}}}
	r := portfolio(t, in)
	within(t, "change", r.Falls[0].Change, -160, 1e-9)
	within(t, "share", r.Falls[0].Share, -160.0/2800, 1e-12)
	if r.Falls[0].Watches != 1 || r.Falls[1].Watches != 0 || r.Falls[1].Change != 0 {
		t.Errorf("%+v", r.Falls)
	}
	in.Holdings[1].Paid = 1000 // 2,700 paid, worth 2,800, then 2,640
	r = portfolio(t, in)
	if r.ChanceUnderPaid != 0 || r.Falls[0].ChanceUnderPaid != 1 || r.Falls[1].ChanceUnderPaid != 0 {
		t.Errorf("chance under paid %g, then %+v", r.ChanceUnderPaid, r.Falls)
	}
}

func TestPortfolioLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := testStock(rapid.IntRange(1, 50).Draw(t, "watches"))
		in.Draws = 200
		in.CommonLogSD = rapid.Float64Range(0, 0.5).Draw(t, "common")
		r := portfolio(t, in)
		if r.SD < r.SDAlone*(1-1e-9) {
			t.Fatalf("moving together narrows the spread: %g, alone %g", r.SD, r.SDAlone)
		}
		shares := 0.0
		for _, c := range r.Metals {
			shares += c.Share
		}
		if math.Abs(shares-1) > 1e-9 || r.HerfindahlReferences > 1+1e-9 ||
			r.HerfindahlReferences < 1/float64(len(in.Holdings))-1e-9 {
			t.Fatalf("shares %g, Herfindahl %g", shares, r.HerfindahlReferences)
		}
		by := rapid.Float64Range(0.01, 200).Draw(t, "by")
		scaled := in
		scaled.Holdings = slices.Clone(in.Holdings)
		for i := range scaled.Holdings {
			scaled.Holdings[i].LogMedian += math.Log(by)
			scaled.Holdings[i].Paid *= by
		}
		s := portfolio(t, scaled)
		for _, c := range [][2]float64{{r.Mean, s.Mean}, {r.SD, s.SD}, {r.Median, s.Median}, {r.TiedUp, s.TiedUp},
			{r.Falls[0].Change, s.Falls[0].Change}} {
			if math.Abs(c[0]*by-c[1]) > 1e-9*by*r.Mean {
				t.Fatalf("%g, want %g", c[1], by*c[0])
			}
		}
	})
}

func TestPortfolioKeepsArguments(t *testing.T) {
	in, same := testStock(50), testStock(50)
	first := portfolio(t, in)
	if !reflect.DeepEqual(in, same) {
		t.Error("the input was changed")
	}
	if !reflect.DeepEqual(first, portfolio(t, in)) {
		t.Error("the same input gave other figures")
	}
	empty := portfolio(t, PortfolioInput{Falls: []Fall{{Metal: "gold", Premium: 0.5, By: 0.2}}})
	if empty.Mean != 0 || empty.HerfindahlMetals != 0 || empty.Says[0].Kind != "whole.none" {
		t.Errorf("%+v", empty)
	}
}

func TestBadPortfolio(t *testing.T) {
	for field, change := range map[string]func(*PortfolioInput){
		"holdings[1].paid":       func(in *PortfolioInput) { in.Holdings[1].Paid = -1 },
		"holdings[1].log_median": func(in *PortfolioInput) { in.Holdings[1].LogMedian = math.Inf(-1) },
		"holdings[1].own_log_sd": func(in *PortfolioInput) { in.Holdings[1].OwnLogSD = math.NaN() },
		"common_log_sd":          func(in *PortfolioInput) { in.CommonLogSD = -1 },
		"metal_log_sd":           func(in *PortfolioInput) { in.MetalLogSD = 9 },
		"metal_log_sds[gold]":    func(in *PortfolioInput) { in.MetalLogSDs = map[string]float64{"gold": -1} },
		"metal_log_sds[gold ]": func(in *PortfolioInput) {
			in.MetalLogSDs = map[string]float64{"gold ": 0.1,
				"Gold": 0.2}
		},
		"falls[0].metal":   func(in *PortfolioInput) { in.Falls[0].Metal = "" },
		"falls[0].premium": func(in *PortfolioInput) { in.Falls[0].Premium = -1 },
		"falls[0].by":      func(in *PortfolioInput) { in.Falls[0].By = 1.5 },
		"draws":            func(in *PortfolioInput) { in.Draws = 5 },
	} {
		in := testStock(3)
		change(&in)
		r, err := Portfolio(in)
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), " "+field+":") {
			t.Errorf("%s: got %v", field, err)
		}
		if !reflect.DeepEqual(r, PortfolioReport{}) {
			t.Errorf("%s: a report came with the error", field)
		}
	}
}

func BenchmarkPortfolio(b *testing.B) {
	in := testStock(20_000)
	in.Draws = 0
	for b.Loop() {
		portfolio(b, in)
	}
}

// Five of one reference share an error: mean and variance of their sum are those of
// correlated lognormals, Σᵢⱼ EVᵢ·EVⱼ·(exp(covᵢⱼ) − 1) (closed form), and what is drawn
// agrees, one by one and as a sum of many.
func TestOfOneReferenceShareAnError(t *testing.T) {
	for _, n := range []int{5, 60} {
		in := PortfolioInput{CommonLogSD: 0.07, Draws: testDraws}
		for i := range n {
			in.Holdings = append(in.Holdings, Holding{Reference: []string{"A", "B"}[i%2], Metal: "steel",
				LogMedian: math.Log(1000 * float64(1+i%3)), OwnLogSD: 0.15, SharedLogSD: 0.1})
		}
		var mean, variance float64
		for i, a := range in.Holdings {
			va := 0.15*0.15 + 0.1*0.1 + 0.07*0.07
			ea := math.Exp(a.LogMedian + va/2)
			mean += ea
			for j, b := range in.Holdings {
				cov := 0.07 * 0.07
				if a.Reference == b.Reference {
					cov += 0.1 * 0.1
				}
				if i == j {
					cov = va
				}
				variance += ea * math.Exp(b.LogMedian+va/2) * math.Expm1(cov)
			}
		}
		r := portfolio(t, in)
		within(t, "mean", r.Mean, mean, 1e-9*mean)
		within(t, "sd", r.SD, math.Sqrt(variance), 1e-9*mean)
		// A sum of this few is close to a lognormal of the same mean and variance.
		s2 := math.Log1p(variance / (mean * mean))
		for k, z := range []float64{-1.645, 1.645} {
			want := math.Exp(math.Log(mean) - s2/2 + z*math.Sqrt(s2))
			got := r.Interval90.Low()
			if k == 1 {
				got = r.Interval90.High()
			}
			within(t, "end of the range", got, want, 0.01*want)
		}
		for i := range in.Holdings {
			in.Holdings[i].Reference = ""
		}
		if alone := portfolio(t, in); alone.SD >= r.SD {
			t.Errorf("%d watches: sd %g, of unknown references %g", n, r.SD, alone.SD)
		}
	}
}

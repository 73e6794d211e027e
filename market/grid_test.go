package market

import (
	"math"
	"midcase/market/algebra"
	"testing"

	"pgregory.net/rapid"
)

// A walk on any grid says one value for each quarter: weights that are positive, sum
// to 1 and point to the quarter.
func TestTimeGridCoversEveryQuarter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &scheme{quarters: rapid.IntRange(1+forecastQuarters, maxQuarters+forecastQuarters).Draw(t, "quarters")}
		g := newTimeGrid(s, rapid.SampledFrom([]int{1, 2, 4, 8}).Draw(t, "gap"))
		if g.first > 0 || g.first+g.gap*(g.n-1) != s.quarters-1 {
			t.Fatalf("%+v over %d quarters", g, s.quarters)
		}
		q := rapid.IntRange(0, s.quarters-1).Draw(t, "quarter")
		var sum, at float64
		for _, x := range g.terms(7, q, nil) {
			if x.x <= 0 || x.at < 7 || x.at >= 7+g.n {
				t.Fatalf("%+v", x)
			}
			sum += x.x
			at += x.x * float64(g.first+g.gap*(x.at-7))
		}
		if math.Abs(sum-1) > 1e-12 || math.Abs(at-float64(q)) > 1e-9 {
			t.Fatalf("quarter %d: weights sum to %g, place %g", q, sum, at)
		}
		if k := g.near(q); k < 0 || k >= g.n || math.Abs(float64(g.first+g.gap*k-q)) > float64(g.gap)/2 {
			t.Fatalf("quarter %d is near point %d of %+v", q, k, g)
		}
	})
}

// The momentum of a walk in steps of several quarters against sums of simulated
// quarterly steps: the formulas of a sum of an autoregressive series.
func TestMomentumOfLongerSteps(t *testing.T) {
	for _, gap := range []int{1, 2, 4, 8} {
		phi, _ := timeGrid{gap: gap}.momentum(algebra.PremiumCarry)
		// Covariances of an AR(1) with unit variance, summed directly.
		var same, next float64
		for i := range gap {
			for j := range gap {
				same += math.Pow(algebra.PremiumCarry, math.Abs(float64(i-j)))
				next += math.Pow(algebra.PremiumCarry, float64(gap+j-i))
			}
		}
		if math.Abs(phi-next/same) > 1e-12 {
			t.Errorf("gap %d: %g, want %g", gap, phi, next/same)
		}
	}
}

package origin

import (
	"math"
	"testing"

	"midcase/edtf"
)

// Two-sided 5 % points of Student's t: NIST/SEMATECH e-Handbook of Statistical
// Methods, table 1.3.6.7.2, column 0.975; values from memory. A number so many
// scales from a month that is certain has a surprise of 0.05.
func TestSurpriseOfNumberAgreesWithTable(t *testing.T) {
	g := grid{first: edtf.MonthOf(1960, 1), n: 3}
	for dof, point := range map[float64]float64{1: 12.706, 2: 4.303, 4: 2.776, 10: 2.228, 30: 2.042} {
		for _, sign := range []float64{-1, 1} {
			n := numbered{is: []placed{{at: g.month(1) + sign*5*point, scale: 5, dof: dof, weight: 1}}, g: g}
			near(t, "surprise", n.surprise([]float64{0, 1, 0}), 0.05, 5e-5) // the points have three decimals
		}
	}
}

// The density of the number, summed over a fine grid of where it may lie, is 1.
func TestNumberLikelihoodIsADensity(t *testing.T) {
	g := grid{first: edtf.MonthOf(1960, 1), n: 1}
	for _, dof := range []float64{2, 4, 30} {
		sum := 0.0
		for x := -3000.0; x <= 3000; x += 0.1 {
			n := numbered{is: []placed{{at: g.month(0) + x, scale: 3, dof: dof, weight: 1}}, g: g}
			sum += 0.1 * n.likelihood(g)[0]
		}
		near(t, "sum", sum, 1, 1e-5)
	}
}

// The closed form for periods against plain integration over the day on which the
// watch was finished, with the exponential distribution function.
func TestPeriodLikelihoodEqualsIntegration(t *testing.T) {
	g := grid{first: 23500, n: 100}
	cdf := func(x, lag float64) float64 {
		if x <= 0 {
			return 0
		}
		return 1 - math.Exp(-x/lag)
	}
	for _, lag := range []float64{0.2, 4, 30} {
		for _, before := range []bool{true, false} {
			d := dated{from: 23540, to: 23543, lag: lag, eps: 0.1, before: before, g: g}
			for m := 23500.0; m < 23600; m += 3 {
				const n = 4000
				sum := 0.0
				for i := range n {
					done := m + (float64(i)+0.5)/n
					if before {
						sum += cdf(done-d.from, lag) - cdf(done-d.to, lag)
					} else {
						sum += cdf(d.to-done, lag) - cdf(d.from-done, lag)
					}
				}
				if got, want := d.at(m), 0.9*sum/n+0.1*3/100; math.Abs(got-want) > 1e-6 {
					t.Fatalf("lag %v, before %v, month %v: got %v, want %v", lag, before, m-d.from, got, want)
				}
			}
		}
	}
}

// Over periods that follow one another the chances sum to 1, whatever the lag.
func TestPeriodsSumToOne(t *testing.T) {
	g := grid{first: 23500, n: 1200}
	for _, before := range []bool{true, false} {
		sum := 0.0
		for from := 23500.0; from < 24700; from += 3 {
			sum += dated{from: from, to: from + 3, lag: 7, eps: 0.1, before: before, g: g}.at(24100)
		}
		near(t, "sum", sum, 1, 1e-9)
	}
}

package market

import (
	"math"
	"testing"

	"midcase/market/algebra"
)

// The forecast of an integrated autoregression of order one: the level moves on by
// φ(1−φʰ)/(1−φ) of the last step, and the mean squared error after h steps is
// σ²·Σ((1−φʲ)/(1−φ))². Closed form: Hamilton (1994), Time Series Analysis, section 15.3
// (from memory); a random walk has φ = 0.
func TestWalkAhead(t *testing.T) {
	for _, c := range []struct {
		phi         float64
		gap, ahead  int
		carry, want float64
	}{
		{0, 1, 1, 0, 1}, {0, 1, 12, 0, 12}, {0, 4, 8, 0, 2}, {0.5, 1, 4, 0.9375, 1 + 2.25 + 3.0625 + 3.515625},
		{0.5, 2, 4, 0.75, 1 + 2.25}, {0.9, 1, 400, 9, math.NaN()},
	} {
		g := timeGrid{n: 10, gap: c.gap}
		terms, noise := g.ahead(20, &algebra.Component{Phi: c.phi, Lambda: 4}, c.ahead)
		x := collect(terms)
		if x.At[len(x.At)-1] != 29 {
			t.Fatalf("%+v: %v", c, x)
		}
		within(t, "last point", x.Val[len(x.Val)-1], 1+c.carry, 1e-12)
		if len(x.At) == 2 {
			within(t, "point before", x.Val[0], -c.carry, 1e-12)
		}
		if c.want == c.want {
			within(t, "noise", noise, c.want*algebra.FutureStep/4, 1e-12)
		}
	}
	// Between two points it lies between them.
	g, c := timeGrid{n: 10, gap: 4}, &algebra.Component{Phi: 0.3, Lambda: 1}
	last := 0.0
	for q := 1; q <= 40; q++ {
		_, noise := g.ahead(0, c, q)
		if noise <= last {
			t.Errorf("%d quarters ahead: %g after %g", q, noise, last)
		}
		last = noise
	}
}

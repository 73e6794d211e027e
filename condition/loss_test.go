package condition_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"midcase/condition"
)

// numericLoss works the same posterior out by sums over a fine grid, without any of the
// closed forms.
func numericLoss(diff, u, tol float64) condition.Loss {
	sd := math.Hypot(u, tol) / 1.959963985
	density := func(x float64) float64 { return math.Exp(-x * x / 2 / sd / sd) }
	const steps = 200000
	var sum, first float64
	w := make([]float64, steps)
	at := func(i int) float64 { return 0.05 + 0.55*(float64(i)+0.5)/steps }
	for i := range w {
		w[i] = density(diff + at(i))
		sum += w[i] / steps
		first += w[i] / steps * at(i)
	}
	out := condition.Loss{P: sum / (sum + density(diff)), MM: first / sum}
	running := 0.0
	for i := range w {
		before := running
		running += w[i] / steps / sum
		if before < 0.05 && running >= 0.05 {
			out.Interval90[0] = at(i)
		}
		if before < 0.95 && running >= 0.95 {
			out.Interval90[1] = at(i)
		}
	}
	return out
}

func TestMaterialLossAgainstSums(t *testing.T) {
	for _, c := range [][3]float64{{0, 0.05, 0.1}, {-0.05, 0.05, 0.1}, {-0.2, 0.05, 0.1}, {-0.5, 0.05, 0.1},
		{0.1, 0.05, 0.1}, {-0.3, 0.2, 0.1}, {-0.58, 0.02, 0.05}, {-0.12, 0.02, 0.03}} {
		got, err := condition.MaterialLoss(c[0], c[1], c[2])
		if err != nil {
			t.Fatal(err)
		}
		want := numericLoss(c[0], c[1], c[2])
		for _, x := range [][2]float64{{got.P, want.P}, {got.MM, want.MM}, {got.Interval90[0], want.Interval90[0]},
			{got.Interval90[1], want.Interval90[1]}} {
			if math.Abs(x[0]-x[1]) > 2e-4 {
				t.Errorf("%v: %+v, by sums %+v", c, got, want)
				break
			}
		}
	}
}

// A smaller case is never less likely to have lost material, nor lost less; a reading
// that tells nothing leaves what was thought before.
func TestMaterialLossLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, tol := rapid.Float64Range(0.01, 0.5).Draw(t, "u"), rapid.Float64Range(0, 0.3).Draw(t, "tol")
		a, b := rapid.Float64Range(-2, 1).Draw(t, "a"), rapid.Float64Range(-2, 1).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		less, err := condition.MaterialLoss(a, u, tol)
		if err != nil {
			t.Fatal(err)
		}
		more, err := condition.MaterialLoss(b, u, tol)
		if err != nil {
			t.Fatal(err)
		}
		if a > -0.5 && less.P < more.P-1e-9 || less.MM < more.MM-1e-6 {
			t.Errorf("%g: %+v; %g: %+v", a, less, b, more)
		}
		for _, l := range []condition.Loss{less, more} {
			if !(l.P >= 0 && l.P <= 1) || l.MM < condition.LeastLossMM || l.MM > condition.MostLossMM ||
				l.Interval90[0] > l.MM+1e-6 || l.Interval90[1] < l.MM-1e-6 {
				t.Errorf("%+v", l)
			}
		}
	})
	if vague, _ := condition.MaterialLoss(-0.3, 50, 0); math.Abs(vague.P-0.5) > 0.01 {
		t.Errorf("a reading to ± 50 mm gives %+v", vague)
	}
}

func TestMaterialLossRefuses(t *testing.T) {
	for _, c := range [][3]float64{{0, 0, 0}, {math.NaN(), 0.1, 0.1}, {0, -0.1, 0.2}, {0, 0.1, math.Inf(1)},
		{math.Inf(-1), 0.1, 0.1}} {
		if _, err := condition.MaterialLoss(c[0], c[1], c[2]); !errors.Is(err, condition.ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

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
	const steps, span = 400000, 4.0
	var sum, first float64
	w := make([]float64, steps)
	at := func(i int) float64 { return 0.05 + span*(float64(i)+0.5)/steps }
	for i := range w {
		w[i] = density(diff+at(i)) * math.Exp(-(at(i)-0.05)/0.2) / 0.2 * span / steps
		sum += w[i]
		first += w[i] * at(i)
	}
	p := sum / (sum + density(diff))
	out := condition.Loss{P: p, GivenMM: first / sum, MM: p * first / sum}
	running := 1 - p
	for i := range w {
		before := running
		running += p * w[i] / sum
		for k, q := range []float64{0.05, 0.95} {
			if before < q && running >= q {
				out.Interval90[k] = at(i)
			}
		}
	}
	return out
}

func TestMaterialLossAgainstSums(t *testing.T) {
	for _, c := range [][3]float64{{0, 0.05, 0.1}, {-0.05, 0.05, 0.1}, {-0.2, 0.05, 0.1}, {-0.5, 0.05, 0.1},
		{0.1, 0.05, 0.1}, {-0.3, 0.2, 0.1}, {-0.58, 0.02, 0.05}, {-0.7, 0.05, 0.1}, {-1.5, 0.05, 0.1}, {0.4, 0.05,
			0.1}, {-0.12, 0.02, 0.03}} {
		got, err := condition.MaterialLoss(c[0], c[1], c[2])
		if err != nil {
			t.Fatal(err)
		}
		want := numericLoss(c[0], c[1], c[2])
		for _, x := range [][2]float64{{got.P, want.P}, {got.MM, want.MM}, {got.GivenMM, want.GivenMM},
			{got.Interval90[0], want.Interval90[0]},
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
		if less.P < more.P-1e-9 || less.MM < more.MM-1e-6 {
			t.Errorf("%g: %+v; %g: %+v", a, less, b, more)
		}
		for _, l := range []condition.Loss{less, more} {
			if !(l.P >= 0 && l.P <= 1) || l.GivenMM < condition.LeastLossMM || l.MM > l.GivenMM ||
				l.Interval90[0] < 0 || l.Interval90[0] > l.Interval90[1] || l.P > 0.95 && l.Interval90[0] == 0 {
				t.Errorf("%+v", l)
			}
		}
	})
	if vague, _ := condition.MaterialLoss(-0.3, 50, 0); math.Abs(vague.P-0.5) > 0.01 {
		t.Errorf("a reading to ± 50 mm gives %+v", vague)
	}
}

// What is missing has no upper bound; more than polishing takes off is another case.
func TestMaterialLossIsUnbounded(t *testing.T) {
	for _, c := range []struct {
		under   float64
		another bool
	}{{0.2, false}, {0.7, false}, {1.5, true}, {3, true}} {
		l, err := condition.MaterialLoss(-c.under, 0.05, 0.1)
		if err != nil || math.Abs(l.MM-c.under) > 0.06 || l.Interval90[0] > c.under || l.Interval90[1] < c.under ||
			l.Another != c.another {
			t.Errorf("%g under: %+v, %v", c.under, l, err)
		}
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

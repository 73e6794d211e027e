package refbook_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"midcase/refbook"
)

// The first is the example of isoreg in R's package stats (R 4, GPL-2; data and fit as its documentation gives them,
// from memory), the second a worked case of scikit-learn's tests of isotonic regression (BSD-3; from memory).
func TestIsotonicAgainstOthers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ y, want []float64 }{
		{[]float64{1, 0, 4, 3, 3, 5, 4, 2, 0}, []float64{0.5, 0.5, 3, 3, 3, 3, 3, 3, 3}},
		{[]float64{3, 7, 5, 9, 8, 7, 10}, []float64{3, 6, 6, 8, 8, 8, 10}},
	} {
		ones := make([]float64, len(c.y))
		for i := range ones {
			ones[i] = 1
		}
		for i, got := range refbook.Isotonic(c.y, ones) {
			if math.Abs(got-c.want[i]) > 1e-12 {
				t.Errorf("%v: place %d is %g; want %g", c.y, i, got, c.want[i])
			}
		}
	}
}

// What characterises the regression: it never falls, keeps the weighted sum, and no point can be moved to lessen the
// sum of squares.
func TestIsotonicLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-100, 100), 1, 40).Draw(t, "y")
		w := rapid.SliceOfN(rapid.Float64Range(0.1, 5), len(y), len(y)).Draw(t, "w")
		fit := refbook.Isotonic(y, w)
		sum, before := 0.0, math.Inf(-1)
		for i := range y {
			sum += w[i] * (y[i] - fit[i])
			if fit[i] < before-1e-9 {
				t.Fatalf("falls at %d", i)
			}
			before = fit[i]
			if sum < -1e-6 { // partial sums of residuals never fall below zero
				t.Fatalf("residuals up to %d sum to %g", i, sum)
			}
		}
		if math.Abs(sum) > 1e-6 {
			t.Fatalf("residuals sum to %g", sum)
		}
	})
}

// A curve drawn here is found within its range, a batch used three years late is named with its numbers, and a number
// misread by itself is no batch.
func TestLearnCurve(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(2, 4))
	truth := func(n int64) float64 { return 100 + 60*math.Sqrt(float64(n)/100000) }
	held, of := 0, 0
	for range 40 {
		var dated []refbook.DatedNumber
		for i := range 60 {
			n := int64(1000 + r.IntN(99000))
			m := truth(n) + 3*r.NormFloat64()
			if n >= 50000 && n < 56000 {
				m += 36
			}
			dated = append(dated, refbook.DatedNumber{ID: fmt.Sprint(i), Number: n, Month: m, SDMonths: 1})
		}
		for i := range 4 { // some of the batch, for sure
			n := int64(51000 + 1000*i)
			dated = append(dated, refbook.DatedNumber{ID: fmt.Sprint("batch ", i), Number: n, Month: truth(n) + 36,
				SDMonths: 1})
		}
		dated = append(dated, refbook.DatedNumber{ID: "misread", Number: 20000, Month: truth(20000) + 80, SDMonths: 1})
		c, err := refbook.LearnCurve(dated)
		if err != nil {
			t.Fatal(err)
		}
		if len(c.Batches) != 1 || c.Batches[0].First < 50000 || c.Batches[0].Last >= 56000 {
			t.Errorf("batches %+v; want the one from 50,000 to 56,000", c.Batches)
		}
		for _, p := range c.Points {
			of++
			if m := truth(p.Number) + 3*r.NormFloat64(); p.Low <= m && m <= p.High {
				held++
			}
		}
	}
	if share := float64(held) / float64(of); share < 0.85 || share > 0.97 {
		t.Errorf("the 90 %% range held %.3f of watches drawn anew", share)
	} else {
		t.Logf("the 90 %% range held %.3f", share)
	}
	if _, err := refbook.LearnCurve(nil); err == nil {
		t.Error("a curve of nothing")
	}
}

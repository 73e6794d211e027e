package deal

import (
	"math"
	"math/rand/v2"
	"testing"
)

// By hand: ranks 0.03 sold, 0.2 unsold, 0.4 sold, 0.92 sold. After the first 3/4 are left, after the second sale
// 3/4 · 1/2, after the third none: 1/4 by 0.05 and 0.1, 5/8 by 0.5 and 0.9, all by 0.95.
func TestRanksWithUnsoldOnesByHand(t *testing.T) {
	var b BackTest
	b.count([]rank{{0.92, true}, {0.2, false}, {0.03, true}, {0.4, true}})
	if b.Spells != 4 || b.Sold != 3 {
		t.Errorf("%+v", b)
	}
	within(t, "within 80 %", b.Within80, 0.375, 1e-12)
	within(t, "within 90 %", b.Within90, 0.75, 1e-12)
	within(t, "by the median", b.BeforeMedian, 0.625, 1e-12)
}

// The stated chance with a scale that is certain is the distribution itself: 1 − exp(−(t/scale)^shape).
func TestSoldByAgainstTheClosedForm(t *testing.T) {
	m := fitTime(t, nil, sure(Weibull{Shape: 1.3, ScaleDays: 80}))
	within(t, "sold by 60", m.soldBy(Covariates{}, 60), 1-math.Exp(-math.Pow(60.0/80, 1.3)), 2e-3)
}

// invented is a shop's history of so many watches, one listed every three days, half of them taken off sale after some
// time. Their times to sell are drawn from a distribution that slows down by a factor halfway.
func invented(n int, slower float64) []DatedSpell {
	rng := rand.New(rand.NewPCG(7, 1))
	out := make([]DatedSpell, n)
	for i := range out {
		t := 90 * math.Pow(rng.ExpFloat64(), 1/1.2)
		if i > n/2 {
			t *= slower
		}
		off := 40 + 1200*rng.Float64()
		s := Spell{Days: math.Min(t, off), Sold: t <= off}
		out[i] = DatedSpell{From: 3 * float64(i), Spell: s}
	}
	return out
}

// Of an independent simulation the stated share of watches sells within the ranges stated beforehand; where they begin
// to sell four times as slowly, the back test shows it.
func TestBackTestOfASimulation(t *testing.T) {
	alike := CommonPrior() // and so are the watches drawn
	alike.ReferenceSD, alike.MetalSD = 0, 0
	b, ok, err := BackTestTimeToSell(invented(1500, 1), alike)
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	n := float64(b.Spells)
	within(t, "within 80 %", b.Within80, 0.8, 3*math.Sqrt(0.16/n)+0.01)
	within(t, "within 90 %", b.Within90, 0.9, 3*math.Sqrt(0.09/n)+0.01)
	within(t, "by the median", b.BeforeMedian, 0.5, 3*math.Sqrt(0.25/n)+0.01)
	slow, ok, err := BackTestTimeToSell(invented(1500, 4), alike)
	if err != nil || !ok || slow.BeforeMedian > 0.4 {
		t.Errorf("slower: %+v, %v, %v", slow, ok, err)
	}
	if _, ok, err := BackTestTimeToSell(invented(29, 1), alike); ok || err != nil {
		t.Errorf("29 watches: %v, %v", ok, err)
	}
}

package photo

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// judged is a dial of twelve plots that scatter by so much, some of them aged further along
// the way from pale to brown, each its own part of it, and one perhaps repaired.
func judged(rng *rand.Rand, scatter float64, set []int, repaired int) PlotReport {
	var r PlotReport
	base := Lab{74, 4, 22}
	shift := Lab{-7 + 2*rng.NormFloat64(), 1, 4}
	for h := 1; h <= 12; h++ {
		c := base
		for k, s := range [3]float64{1, 0.35, 0.6} {
			c[k] += scatter * s * rng.NormFloat64()
		}
		if slices.Contains(set, h) {
			far := 1 + 0.3*rng.NormFloat64()
			for k := range c {
				c[k] += far * shift[k]
			}
		}
		if h == repaired {
			c[1], c[2] = c[1]-3, c[2]-7
		}
		r.Plots = append(r.Plots, PlotFigure{Hour: h, Lab: c, SE: 0.3, OddP: 1, At: hourPoint(h, 0.8).times(300)})
	}
	f := dialFrame{toPx: Homography{300, 0, 0, 0, 300, 0, 0, 0, 1}, radius: 300}
	bare, said := unmarked(nil, nil)
	r.judge(f, bare, said)
	return r
}

// Plots that aged as a group are not accused as repaired, each for having gone its own part
// of the way; they were in two of three such dials. A plot outside the group still is.
func TestAgedGroupIsOneClass(t *testing.T) {
	for _, set := range [][]int{{3, 6, 9}, {3, 6, 9, 12}, {6, 9}} {
		rng := rand.New(rand.NewPCG(5, uint64(len(set))))
		const dials = 100
		accused, named, found, other := 0, 0, 0, 0
		for range dials {
			r := judged(rng, 0.6, set, 0)
			if r.Pattern == UnmarkedWorse {
				named++
			}
			if slices.ContainsFunc(r.Plots, func(p PlotFigure) bool { return p.OddP < oddBelow }) {
				accused++
			}
			for _, p := range judged(rng, 0.6, set, 5).Plots {
				if p.OddP < oddBelow && p.Hour == 5 {
					found++
				} else if p.OddP < oddBelow {
					other++
				}
			}
		}
		t.Logf("%v: named %d, accused %d, repaired found %d, another accused %d of %d", set, named, accused, found, other, dials)
		if accused > 20 || named < 80 || found < 85 || other > 25 {
			t.Errorf("%v: named %d, accused %d, repaired found %d, another accused %d of %d", set, named, accused, found, other, dials)
		}
	}
}

// The chance that a plot is odd rises as the share of dials ageing alike falls: none at 1, and
// what Sellke, Bayarri and Berger's bound gives by hand at 0.01: 1/(e·0.01·4.605) = 7.99 on 1 to 4.
func TestChanceOdd(t *testing.T) {
	if got := chanceOdd(1); got != 0 {
		t.Errorf("at 1: %g", got)
	}
	if got, want := chanceOdd(0.01), 7.988/4/(7.988/4+1); got < want-0.001 || got > want+0.001 {
		t.Errorf("at 0.01: %.4f, want %.4f", got, want)
	}
	last := 1.0
	for p := 1e-6; p <= 1; p *= 1.3 {
		v := chanceOdd(p)
		if v > last+1e-12 || v < 0 {
			t.Errorf("at %g: %g after %g", p, v, last)
		}
		last = v
	}
}

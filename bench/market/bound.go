package main

import (
	"math"
)

// bound is the error of one who knows the whole truth (market and premiums up to the
// last sale, all features, families, scales, degrees of freedom and the share of
// mistakes) but the level of each reference and what the market does after the last
// sale: no tool that learns from the sales can expect less. Levels are medians of the
// exact posterior over a grid, with the simulator's own prior.
func (w *world) bound() float64 {
	last := quarterIn(w.cut())
	level := w.levels()
	var errs []float64
	for i := range w.sales {
		s := &w.sales[i]
		if !s.test {
			continue
		}
		est := s.truth - w.reference[s.ref] + level[s.ref]
		if q := quarterIn(s.day); q > last {
			est += w.market[last] + w.Drift*float64(q-last) - w.market[q]
		}
		errs = append(errs, 100*math.Abs(math.Exp(est)/s.price-1))
	}
	return median(errs)
}

// Grid of levels of a reference, in standard deviations of their spread.
const (
	gridSpan  = 4.0
	gridSteps = 800
)

// levels are the posterior medians of the references' own levels.
func (w *world) levels() map[int]float64 {
	post := map[int][]float64{}
	for i := range w.sales {
		post[w.sales[i].ref] = make([]float64, gridSteps+1)
	}
	a, _ := math.Lgamma((w.DoF + 1) / 2)
	b, _ := math.Lgamma(w.DoF / 2)
	constant := math.Exp(a-b) / math.Sqrt(w.DoF*math.Pi)
	for i := range w.sales {
		s := &w.sales[i]
		if s.test {
			continue
		}
		ll := post[s.ref]
		for k := range ll {
			z := (math.Log(s.price) - s.truth + w.reference[s.ref] - gridLevel(k)) / s.scale
			fair := constant / s.scale * math.Pow(1+z*z/w.DoF, -(w.DoF+1)/2)
			ll[k] += math.Log((1-w.Mistakes)*fair + w.Mistakes/14)
		}
	}
	out := map[int]float64{}
	for ref, ll := range post {
		out[ref] = posteriorMedian(ll)
	}
	return out
}

func gridLevel(k int) float64 {
	return referenceSD * gridSpan * (2*float64(k)/gridSteps - 1)
}

// posteriorMedian adds the prior to a log likelihood over the grid.
func posteriorMedian(ll []float64) float64 {
	best := math.Inf(-1)
	for k := range ll {
		x := gridLevel(k) / referenceSD
		ll[k] -= x * x / 2
		best = math.Max(best, ll[k])
	}
	var all, sum float64
	for _, l := range ll {
		all += math.Exp(l - best)
	}
	for k, l := range ll {
		if sum += math.Exp(l - best); sum >= all/2 {
			return gridLevel(k)
		}
	}
	return 0
}

package photo

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Oddness asks how unlike its fellows each of a few colours is. The colours scatter by
// even ageing and noise; their scatter is worked out from the fellows with the two most
// unlike left out, so that one or two odd ones do not hide each other. The chance comes
// from dials drawn with the same rule: scatter mostly along one line of colour, as
// ageing does it.

// leastScatter is the scatter, ΔE00, that is allowed for beside what the fellows show: errors of
// JPEG, shading and gloss.
const leastScatter = 0.35

// Ageing moves colours mostly along one line; the spread across it, as shares.
var ageingAxes = [3]float64{1, 0.35, 0.2}

const (
	oddDials = 4000
	oddTail  = 60 // dials in the tail, from which rarer chances are carried on
)

// oddRatios are squared distances from the middle over the scatter of the fellows.
func oddRatios(d []float64, least float64) []float64 {
	out := make([]float64, len(d))
	sq := make([]float64, 0, len(d))
	for i := range d {
		sq = sq[:0]
		for j, v := range d {
			if j != i {
				sq = append(sq, v*v)
			}
		}
		slices.Sort(sq)
		keep := len(sq) - min(2, max(0, len(sq)-3))
		s := 0.0
		for _, v := range sq[:keep] {
			s += v / float64(keep)
		}
		out[i] = d[i] * d[i] / (s + least*least)
	}
	return out
}

// oddChances is for each distance the chance that even ageing and noise make the most
// unlike of n at least as unlike. It needs four or more; fewer get 1.
func oddChances(d []float64) []float64 {
	out := make([]float64, len(d))
	for i := range out {
		out[i] = 1
	}
	n := len(d)
	if n < 4 {
		return out
	}
	rng := rand.New(rand.NewPCG(uint64(n), 0x0dd))
	worst := make([]float64, oddDials)
	pts := make([]Lab, n)
	for k := range worst {
		for i := range pts {
			for a := range 3 {
				pts[i][a] = ageingAxes[a] * rng.NormFloat64()
			}
		}
		m := medianLab(pts)
		one := make([]float64, n)
		for i, p := range pts {
			one[i] = labDistance(p, m)
		}
		worst[k] = slices.Max(oddRatios(one, 0))
	}
	slices.Sort(worst)
	for i, r := range oddRatios(d, leastScatter) {
		out[i] = tailShare(worst, r)
	}
	return out
}

// tailShare is the share of sorted values at or above r; beyond the last ones the tail
// is carried on as a power (Hill 1975).
func tailShare(sorted []float64, r float64) float64 {
	n := len(sorted)
	i, _ := slices.BinarySearch(sorted, r)
	if n-i >= oddTail {
		return float64(n-i) / float64(n)
	}
	u := sorted[n-oddTail]
	h := 0.0
	for _, v := range sorted[n-oddTail:] {
		h += math.Log(v/u) / oddTail
	}
	return oddTail / float64(n) * math.Pow(r/u, -1/h)
}

// classShift is how a class of plots differs from the others: the shift of the median
// colour, its size, and the chance that a random choice of as many plots differs as
// much (permutation test).
func classShift(labs []Lab, in []bool) (shift Lab, size, chance float64) {
	a, b := split(labs, in)
	if len(a) < 2 || len(b) < 2 {
		return Lab{}, 0, 1
	}
	ma, mb := medianLab(a), medianLab(b)
	for k := range shift {
		shift[k] = ma[k] - mb[k]
	}
	size = CIEDE2000(ma, mb)
	asMuch, all := 0, 0
	choose(len(labs), len(a), func(pick []bool) {
		p, q := split(labs, pick)
		all++
		if CIEDE2000(medianLab(p), medianLab(q)) >= size-1e-12 {
			asMuch++
		}
	})
	return shift, size, float64(asMuch) / float64(all)
}

func split(labs []Lab, in []bool) (a, b []Lab) {
	for i, c := range labs {
		if in[i] {
			a = append(a, c)
		} else {
			b = append(b, c)
		}
	}
	return a, b
}

// choose calls f with every way to pick k of n.
func choose(n, k int, f func([]bool)) {
	pick := make([]bool, n)
	var from func(i, left int)
	from = func(i, left int) {
		if left == 0 {
			f(pick)
			return
		}
		if n-i < left {
			return
		}
		pick[i] = true
		from(i+1, left-1)
		pick[i] = false
		from(i+1, left)
	}
	from(0, k)
}

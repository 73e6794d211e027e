package photo

import (
	"math"
	"math/rand/v2"
	"slices"
)

// How unlike its fellows is each of a few colours? The colours scatter by even ageing
// and noise. The scatter is worked out from the fellows with the most unlike of them left
// out (and again with two left out), so that one or two odd ones do not hide each other.
// The chance comes from dials drawn by the same rule.

// minScatter is the scatter, ΔE00, that is allowed for where the fellows show less:
// shading and gloss.
const minScatter = 0.5

// ageingAxes are the spreads of ageing along three directions of colour: mostly along
// one line, from pale to brown.
var ageingAxes = [3]float64{1, 0.6, 0.4}

const (
	oddDials = 4000
	oddTail  = 60 // dials in the tail, from which rarer chances are carried on
)

// oddRatios are, for each distance from the middle, its square over the mean square of
// its fellows, of which the drop largest are left out. Where the standard errors se are
// given, the fellows' are taken out of that mean, down to minScatter, and its own put in.
func oddRatios(d, se []float64, drop int) []float64 {
	order := slices.Clone(d)
	slices.Sort(order)
	slices.Reverse(order)
	total := 0.0
	for _, v := range d {
		total += v * v
	}
	out := make([]float64, len(d))
	for i, v := range d {
		rest, left := total-v*v, drop
		skipped := false
		for _, w := range order {
			if left == 0 {
				break
			}
			if w == v && !skipped {
				skipped = true // itself
				continue
			}
			rest -= w * w
			left--
		}
		s := max(rest, 0) / float64(len(d)-1-drop)
		if se != nil {
			s = max(s-meanSquareBut(se, i), minScatter*minScatter) + se[i]*se[i]
		}
		out[i] = v * v / s
	}
	return out
}

// meanSquareBut is the mean square of all but one.
func meanSquareBut(v []float64, but int) float64 {
	sum := 0.0
	for i, x := range v {
		if i != but {
			sum += x * x
		}
	}
	return sum / float64(len(v)-1)
}

// oddChances is for each distance the chance that even ageing and noise make the most
// unlike of n at least as unlike. se are the standard errors of the colours. It needs
// five or more; fewer get 1.
func oddChances(d, se []float64) []float64 {
	out := make([]float64, len(d))
	for i := range out {
		out[i] = 1
	}
	n := len(d)
	if n < fewestPlots {
		return out
	}
	rng := rand.New(rand.NewPCG(uint64(n), 0x0dd))
	one, two := make([]float64, oddDials), make([]float64, oddDials)
	pts, dist := make([]Lab, n), make([]float64, n)
	for k := range one {
		for i := range pts {
			for a := range 3 {
				pts[i][a] = ageingAxes[a] * rng.NormFloat64()
			}
		}
		m := medianLab(pts)
		for i, p := range pts {
			dist[i] = labDistance(p, m)
		}
		one[k], two[k] = slices.Max(oddRatios(dist, nil, 1)), slices.Max(oddRatios(dist, nil, 2))
	}
	// both on one footing, each divided by its 95 % point, and the larger counts
	a, b := point95(one), point95(two)
	worst := make([]float64, oddDials)
	for k := range worst {
		worst[k] = max(one[k]/a, two[k]/b)
	}
	slices.Sort(worst)
	r1, r2 := oddRatios(d, se, 1), oddRatios(d, se, 2)
	for i := range out {
		out[i] = tailShare(worst, max(r1[i]/a, r2[i]/b))
	}
	return out
}

func point95(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)*95/100]
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

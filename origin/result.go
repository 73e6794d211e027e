package origin

import (
	"math"

	"midcase/edtf"
)

// Median is the first month by which the watch was made with probability one half
// or more.
func (r *Result) Median() edtf.Month {
	sum := 0.0
	for i, p := range r.P {
		if sum += p; sum >= 0.5-1e-12 {
			return r.First + edtf.Month(i)
		}
	}
	return r.First + edtf.Month(len(r.P)-1)
}

// Interval is the shortest run of whole months, both ends included, that holds the
// watch's month with at least the given probability, above 0 and at most 1. Of
// runs of the same length it is the most probable one, and of those the first.
func (r *Result) Interval(level float64) [2]edtf.Month { return shortest(r.First, r.P, level) }

// Mass is the probability that the watch was made in an interval of months, both
// ends included.
func (r *Result) Mass(interval [2]edtf.Month) float64 {
	sum := 0.0
	for m := interval[0]; m <= interval[1]; m++ {
		if i := int(m - r.First); i >= 0 && i < len(r.P) {
			sum += r.P[i]
		}
	}
	return clamp(sum)
}

// Entropy is the doubt left about the month, in bits: 0 where it is certain, one
// less for each halving of the months that it may be.
func (r *Result) Entropy() float64 { return entropy(r.P) }

// entropy in bits.
func entropy(p []float64) float64 {
	sum := 0.0
	for _, q := range p {
		if q > 0 {
			sum -= q * math.Log2(q)
		}
	}
	return math.Max(0, sum)
}

// shortest finds the interval of Result.Interval by two ends that both only move
// on.
func shortest(first edtf.Month, p []float64, level float64) [2]edtf.Month {
	const slack = 1e-9 // rounding: a level of 1 must be reachable
	sums := make([]float64, len(p)+1)
	for i, q := range p {
		sums[i+1] = sums[i] + q
	}
	want := math.Min(math.Max(level, 0), sums[len(p)]) - slack
	best, bestMass := [2]int{0, len(p) - 1}, sums[len(p)]
	for i, j := 0, 0; i < len(p); i++ {
		for j = max(i, j); j < len(p) && sums[j+1]-sums[i] < want; {
			j++
		}
		if j == len(p) {
			break
		}
		mass := sums[j+1] - sums[i]
		if d := (j - i) - (best[1] - best[0]); d < 0 || d == 0 && mass > bestMass+slack {
			best, bestMass = [2]int{i, j}, mass
		}
	}
	return [2]edtf.Month{first + edtf.Month(best[0]), first + edtf.Month(best[1])}
}

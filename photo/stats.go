package photo

import (
	"math"
	"slices"
)

// median of values; the argument keeps its order. NaN for none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

// madScale is 1.4826 times the median distance from m: the standard deviation for
// normal errors.
func madScale(v []float64, m float64) float64 {
	d := make([]float64, len(v))
	for i := range v {
		d[i] = math.Abs(v[i] - m)
	}
	return 1.4826 * median(d)
}

// tukey is the biweight of a residual over c scales.
func tukey(r, c float64) float64 {
	u := r / c
	if u <= -1 || u >= 1 {
		return 0
	}
	return (1 - u*u) * (1 - u*u)
}

// lagOne is the correlation of neighbouring residuals, not below 0 and at most 0.95.
func lagOne(r []float64) float64 {
	var num, den float64
	for i := range r {
		den += r[i] * r[i]
		if i > 0 {
			num += r[i] * r[i-1]
		}
	}
	if !(den > 0) {
		return 0
	}
	return min(max(num/den, 0), 0.95)
}

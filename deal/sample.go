package deal

import (
	"math"
	"slices"

	"midcase/estimate"
)

// quantiles are those of the sample at rising ps, straight between neighbours (type
// 7 of Hyndman and Fan 1996). It reorders xs.
func quantiles(xs []float64, ps ...float64) []float64 {
	out := make([]float64, len(ps))
	done := 0 // all before are at or under all from here on
	for i, p := range ps {
		h := p * float64(len(xs)-1)
		k := int(math.Floor(h))
		if k > done || i == 0 {
			kth(xs[done:], k-done)
			done = k
		}
		out[i] = xs[k]
		if k+1 < len(xs) && h > float64(k) {
			out[i] += (h - float64(k)) * (slices.Min(xs[k+1:]) - xs[k])
		}
	}
	return out
}

// kth puts the k-th smallest value at index k, smaller ones before it and larger
// ones behind (Hoare 1961, FIND).
func kth(xs []float64, k int) {
	lo, hi := 0, len(xs)-1
	for lo < hi {
		pivot := medianOfThree(xs[lo], xs[(lo+hi)/2], xs[hi])
		i, j := lo, hi
		for i <= j {
			for xs[i] < pivot {
				i++
			}
			for xs[j] > pivot {
				j--
			}
			if i <= j {
				xs[i], xs[j] = xs[j], xs[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
}

func medianOfThree(a, b, c float64) float64 {
	return math.Max(math.Min(a, b), math.Min(math.Max(a, b), c))
}

func mean(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}

func variance(n int, of func(i int) float64) float64 {
	// Counted from the first value, since profit is large beside its spread.
	first, sum, squares := of(0), 0.0, 0.0
	for i := range n {
		x := of(i) - first
		sum += x
		squares += x * x
	}
	m := sum / float64(n)
	return math.Max(0, squares/float64(n)-m*m)
}

// rangeOf reorders xs.
func rangeOf(xs []float64) Range {
	m := mean(xs)
	q := quantiles(xs, 0.05, 0.5, 0.95)
	return Range{Median: q[1], Mean: m, Interval90: estimate.Interval{q[0], q[2]}}
}

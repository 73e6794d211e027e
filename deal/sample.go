package deal

import (
	"math"
	"slices"

	"midcase/estimate"
)

// quantile is the p-quantile of the sample, straight between its neighbours (type 7
// of Hyndman and Fan 1996). It reorders xs.
func quantile(xs []float64, p float64) float64 {
	h := p * float64(len(xs)-1)
	k := int(math.Floor(h))
	low := kth(xs, k)
	if k+1 >= len(xs) {
		return low
	}
	return low + (h-float64(k))*(slices.Min(xs[k+1:])-low)
}

// kth puts the k-th smallest value at index k, smaller ones before it and larger
// ones behind (Hoare 1961, FIND), and returns it.
func kth(xs []float64, k int) float64 {
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
			return xs[k]
		}
	}
	return xs[k]
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
	// Welford's running form, since profit is large beside its spread.
	m, s := 0.0, 0.0
	for i := range n {
		x := of(i)
		delta := x - m
		m += delta / float64(i+1)
		s += delta * (x - m)
	}
	return s / float64(n)
}

// rangeOf leaves xs as it was.
func rangeOf(xs []float64) Range {
	c := slices.Clone(xs)
	return Range{Median: quantile(c, 0.5), Mean: mean(xs), Interval90: estimate.Interval{quantile(c, 0.05), quantile(c, 0.95)}}
}

package deal

import (
	"math"
	"slices"

	"midcase/estimate"
)

// quantiles are those of the sample at rising ps, straight between neighbours (type
// 7 of Hyndman and Fan 1996). It reorders xs.
func quantiles(xs []float64, ps ...float64) []float64 {
	ks := make([]int, len(ps))
	for i, p := range ps {
		ks[i] = int(math.Floor(p * float64(len(xs)-1)))
	}
	inPlace(xs, 0, len(xs)-1, ks)
	out := make([]float64, len(ps))
	for i, p := range ps {
		k, end := ks[i], len(xs)
		for _, later := range ks[i:] {
			if later > k {
				end = later + 1
				break
			}
		}
		out[i] = xs[k]
		if part := p*float64(len(xs)-1) - float64(k); k+1 < end && part > 0 {
			out[i] += part * (slices.Min(xs[k+1:end]) - xs[k])
		}
	}
	return out
}

// inPlace puts the values of the ranks ks, which rise, where they are in order: the middle
// rank first, since the others then lie in a part each.
func inPlace(xs []float64, lo, hi int, ks []int) {
	if len(ks) == 0 || lo >= hi {
		return
	}
	m := len(ks) / 2
	k := ks[m]
	kth(xs, lo, hi, k)
	below, above := ks[:m], ks[m+1:]
	for len(below) > 0 && below[len(below)-1] == k {
		below = below[:len(below)-1]
	}
	for len(above) > 0 && above[0] == k {
		above = above[1:]
	}
	inPlace(xs, lo, k-1, below)
	inPlace(xs, k+1, hi, above)
}

// kth puts the value of rank k of the stretch from lo to hi at index k, smaller ones before
// it and larger ones behind. A small sample of a long stretch says where about the value lies (Floyd and
// Rivest 1975, algorithm 489, CACM 18, 173), so that most values are looked at once.
func kth(xs []float64, lo, hi, k int) {
	const long = 600
	for lo < hi {
		if hi-lo > long {
			n, i := float64(hi-lo+1), float64(k-lo+1)
			z := math.Log(n)
			s := 0.5 * math.Exp(2*z/3)
			sd := 0.5 * math.Sqrt(z*s*(n-s)/n) * math.Copysign(1, i-n/2)
			kth(xs, max(lo, k-int(i*s/n-sd)), min(hi, k+int((n-i)*s/n+sd)), k)
		}
		pivot := xs[k]
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

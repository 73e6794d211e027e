package origin

import (
	"math"
	"sort"

	"midcase/edtf"
)

// Median is the first month by which the watch was made with probability one half
// or more.
func (r *Result) Median() edtf.Month {
	return r.First + edtf.Month(middle(r.P))
}

// middle is the place of the median.
func middle(p []float64) int {
	sum := 0.0
	for i, q := range p {
		if sum += q; sum >= 0.5-1e-12 {
			return i
		}
	}
	return len(p) - 1
}

// Interval is a run of whole months, both ends included, that holds the median. Of
// all such runs of a length it is the most probable one (of those the first), and of
// these the one whose probability comes nearest to level, which is above 0 and at
// most 1. A rule of "at least level" would hold more than level on average, by about
// half a month at each end; Mass tells what a run truly holds.
func (r *Result) Interval(level float64) [2]edtf.Month { return nearest(r.First, r.P, level) }

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

// Peak is a run of months that stands out, with what it holds.
type Peak struct {
	Interval [2]edtf.Month // both ends included
	P        float64
}

// Peaks are the runs of months of the smallest set that holds a level, in order of time.
// Runs with no more than six months between them are one; one that holds less than a
// twentieth is left out where another holds more.
func (r *Result) Peaks(level float64) []Peak {
	order := make([]int, len(r.P))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return r.P[order[a]] > r.P[order[b]] })
	in := make([]bool, len(r.P))
	sum := 0.0
	for _, i := range order {
		if sum >= level-1e-9 {
			break
		}
		in[i] = true
		sum += r.P[i]
	}
	var runs []Peak
	for i, set := range in {
		m := r.First + edtf.Month(i)
		switch n := len(runs); {
		case !set:
		case n > 0 && m-runs[n-1].Interval[1] <= joinMonths+1:
			runs[n-1].Interval[1] = m
		default:
			runs = append(runs, Peak{Interval: [2]edtf.Month{m, m}})
		}
	}
	var out []Peak
	for _, x := range runs {
		if x.P = r.Mass(x.Interval); x.P >= leastPeak || len(runs) == 1 {
			out = append(out, x)
		}
	}
	return out
}

// joinMonths is how many months lie between two runs that are taken for one, leastPeak
// what a run holds to be named.
const (
	joinMonths = 6
	leastPeak  = 0.05
)

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

// IntervalWithin is Interval, of the runs within an outer interval that holds the
// median; one that holds less than the level is given whole.
func (r *Result) IntervalWithin(level float64, outer [2]edtf.Month) [2]edtf.Month {
	lo, hi := max(0, int(outer[0]-r.First)), min(len(r.P)-1, int(outer[1]-r.First))
	mid := middle(r.P)
	if lo > mid || mid > hi {
		return r.Interval(level)
	}
	return nearestAround(r.First+edtf.Month(lo), r.P[lo:hi+1], level, mid-lo)
}

// nearest finds the interval of Result.Interval: the shortest run that holds the
// level, or the best run that is one month shorter where that comes nearer to it.
func nearest(first edtf.Month, p []float64, level float64) [2]edtf.Month {
	return nearestAround(first, p, level, middle(p))
}

// nearestAround is nearest for the runs that hold the month at mid.
func nearestAround(first edtf.Month, p []float64, level float64, mid int) [2]edtf.Month {
	const slack = 1e-9 // rounding: a level of 1 must be reachable
	sums := make([]float64, len(p)+1)
	for i, q := range p {
		sums[i+1] = sums[i] + q
	}
	want := math.Min(math.Max(level, 0), sums[len(p)])
	n := len(p)
	for i, j := 0, mid+1; i <= mid; i++ { // both ends only move on
		for j < len(p) && sums[j]-sums[i] < want-slack {
			j++
		}
		if sums[j]-sums[i] >= want-slack {
			n = min(n, j-i)
		}
	}
	at, mass := densest(sums, n, mid)
	if n > 1 {
		if at1, mass1 := densest(sums, n-1, mid); want-mass1 < mass-want {
			at, n = at1, n-1
		}
	}
	return [2]edtf.Month{first + edtf.Month(at), first + edtf.Month(at+n-1)}
}

// densest finds the most probable run of n months that holds month mid, by running
// sums.
func densest(sums []float64, n, mid int) (at int, mass float64) {
	at = max(0, mid-n+1)
	for i := at; i <= mid && i+n < len(sums); i++ {
		if m := sums[i+n] - sums[i]; m > mass+1e-12 {
			at, mass = i, m
		}
	}
	return at, mass
}

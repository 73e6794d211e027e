package condition

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Scale is how values of judgements differ.
type Scale int

// The scales of Alpha.
const (
	Nominal Scale = iota
	Ordinal
	Interval
)

// Alpha is Krippendorff's alpha, the agreement between people who judged the same units: 1 where all agree, 0 where
// they agree as often as by chance. Each unit holds the values that it got, in any order; units with fewer than two
// say nothing. (K. Krippendorff, “Computing Krippendorff's Alpha-Reliability”, 2011.)
func Alpha(units [][]float64, scale Scale) (float64, error) {
	values := valuesOf(units)
	index := map[float64]int{}
	for i, v := range values {
		index[v] = i
	}
	together := make([][]float64, len(values)) // coincidences
	for i := range together {
		together[i] = make([]float64, len(values))
	}
	totals, n := make([]float64, len(values)), 0.0
	for _, u := range units {
		if len(u) < 2 {
			continue
		}
		for i, a := range u {
			for j, b := range u {
				if i != j {
					together[index[a]][index[b]] += 1 / float64(len(u)-1)
				}
			}
			totals[index[a]]++
			n++
		}
	}
	if n < 2 {
		return 0, fmt.Errorf("%w: agreement: no unit was judged twice", ErrInput)
	}
	observed, expected := 0.0, 0.0
	for i := range values {
		for j := range values {
			d := distance(values, totals, i, j, scale)
			observed += together[i][j] * d
			expected += totals[i] * totals[j] * d
		}
	}
	if expected == 0 {
		return 0, fmt.Errorf("%w: agreement: all values are the same, which tells nothing", ErrInput)
	}
	return 1 - (n-1)*observed/expected, nil
}

// valuesOf are the values of units that were judged twice or more, in rising order.
func valuesOf(units [][]float64) []float64 {
	var out []float64
	for _, u := range units {
		if len(u) > 1 {
			out = append(out, u...)
		}
	}
	slices.SortFunc(out, cmp.Compare[float64])
	return slices.Compact(out)
}

// distance is the squared difference of two values on a scale.
func distance(values, totals []float64, i, j int, scale Scale) float64 {
	switch {
	case i == j:
		return 0
	case scale == Nominal:
		return 1
	case scale == Interval:
		return (values[i] - values[j]) * (values[i] - values[j])
	}
	sum := -(totals[i] + totals[j]) / 2
	for k := min(i, j); k <= max(i, j); k++ {
		sum += totals[k]
	}
	return sum * sum
}

// Next is the pair of examples whose comparison would tell most: the one whose outcome is open and whose difference is
// least known. ok is false where there are fewer than two.
func (r Ranking) Next() (a, b string, ok bool) {
	return r.NextOf(func(string, string) bool { return true })
}

// NextOf is Next among the pairs that may be asked about.
func (r Ranking) NextOf(may func(a, b string) bool) (a, b string, ok bool) {
	best := math.Inf(-1)
	for i := range r.Standings {
		for j := range i {
			x, y := r.Standings[j].Example, r.Standings[i].Example
			if !may(x, y) {
				continue
			}
			p, _ := r.PBetter(x, y)
			k, l := r.index[x], r.index[y]
			chance := 1 / (1 + math.Exp(r.abilities[l]-r.abilities[k]))
			v := r.cov.At(k, k) + r.cov.At(l, l) - 2*r.cov.At(k, l)
			// The information of one comparison, times what is not known of the difference.
			gain := chance*(1-chance)*v - 1e-9*math.Abs(p-0.5)
			if gain > best+1e-12 {
				best, a, b, ok = gain, x, y, true
			}
		}
	}
	return a, b, ok
}

package refbook

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
)

// Isotonic is the weighted isotonic regression of y: the sequence that never falls with the least sum of weighted
// squares to it, by pooling adjacent violators (Barlow, Bartholomew, Bremner and Brunk, 1972). Weights are above zero
// and as many as y.
func Isotonic(y, weights []float64) []float64 {
	type block struct {
		mean, weight float64
		n            int
	}
	var blocks []block
	for i, v := range y {
		blocks = append(blocks, block{v, weights[i], 1})
		for len(blocks) > 1 {
			a, b := blocks[len(blocks)-2], blocks[len(blocks)-1]
			if a.mean <= b.mean {
				break
			}
			w := a.weight + b.weight
			blocks = append(blocks[:len(blocks)-2], block{(a.mean*a.weight + b.mean*b.weight) / w, w, a.n + b.n})
		}
	}
	out := make([]float64, 0, len(y))
	for _, b := range blocks {
		for range b.n {
			out = append(out, b.mean)
		}
	}
	return out
}

// isotonicMedian is Isotonic with medians in the place of means, which a few numbers out of sequence do not carry away.
func isotonicMedian(y []float64) []float64 {
	var blocks [][]float64 // each sorted
	for _, v := range y {
		blocks = append(blocks, []float64{v})
		for len(blocks) > 1 {
			a, b := blocks[len(blocks)-2], blocks[len(blocks)-1]
			if middle(a) <= middle(b) {
				break
			}
			both := append(slices.Clone(a), b...)
			sort.Float64s(both)
			blocks = append(blocks[:len(blocks)-2], both)
		}
	}
	out := make([]float64, 0, len(y))
	for _, b := range blocks {
		for range b {
			out = append(out, middle(b))
		}
	}
	return out
}

func middle(sorted []float64) float64 {
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// DatedNumber is a number with the month in which it was used, by papers, an extract or a stamp.
type DatedNumber struct {
	ID       string
	Number   int64
	Month    float64
	SDMonths float64
}

// LearnedCurve is the curve of a run of numbers that dated examples give: months that never fall as numbers rise.
type LearnedCurve struct {
	Points        []CurvePoint // by number
	ScatterMonths float64      // standard deviation of examples about the curve, beyond their own errors
	Outliers      []DatedNumber
	Batches       []Batch // numbers next to one another that were used at another time than their neighbours
}

// CurvePoint is the curve at a number, with the 90 % range for a watch of that number.
type CurvePoint struct {
	Number           int64
	Month, Low, High float64
}

// Batch is a batch of numbers out of sequence.
type Batch struct {
	First, Last int64
	Month       float64 // mean, of its examples
	Curve       float64 // where the curve has them
	Examples    int
}

// A number is out of sequence where it lies more than so many standard deviations off the curve, and more than so many
// months.
const outOfSequence, leastOff = 4, 9

// leastOfBatch is how many numbers next to one another make a batch.
const leastOfBatch = 3

// LearnCurve fits a curve that never falls to dated numbers: first by medians, to find what is out of sequence, then by
// weighted means over the rest.
func LearnCurve(dated []DatedNumber) (LearnedCurve, error) {
	if len(dated) < 2 {
		return LearnedCurve{}, fmt.Errorf("%d dated numbers: want two at least", len(dated))
	}
	all := slices.Clone(dated)
	slices.SortStableFunc(all, func(a, b DatedNumber) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Month, b.Month))
	})
	for i, d := range all {
		if !(d.SDMonths >= 0) || math.IsInf(d.Month, 0) || math.IsNaN(d.Month) || d.Number <= 0 {
			return LearnedCurve{}, fmt.Errorf("dated[%d] (%s): number %d, month %g ± %g: want a number above 0 and a month",
				i, d.ID, d.Number, d.Month, d.SDMonths)
		}
	}
	months := make([]float64, len(all))
	for i, d := range all {
		months[i] = d.Month
	}
	rough := isotonicMedian(months)
	var off []float64
	for i := range all {
		off = append(off, math.Abs(months[i]-rough[i]))
	}
	sort.Float64s(off)
	spread := math.Max(1.4826*middle(off), 1) // MAD of a normal distribution
	var out LearnedCurve
	var kept []DatedNumber
	var odd []bool
	for i, d := range all {
		far := math.Abs(months[i] - rough[i])
		odd = append(odd, far > math.Max(leastOff, outOfSequence*math.Hypot(spread, d.SDMonths)))
		if odd[i] {
			out.Outliers = append(out.Outliers, d)
		} else {
			kept = append(kept, d)
		}
	}
	out.fit(kept)
	out.Batches = batches(all, rough, odd)
	return out, nil
}

// fit is the isotonic regression of what is in sequence.
func (c *LearnedCurve) fit(kept []DatedNumber) {
	y, weights := make([]float64, len(kept)), make([]float64, len(kept))
	for i, d := range kept {
		y[i], weights[i] = d.Month, 1/(d.SDMonths*d.SDMonths+1)
	}
	curve := Isotonic(y, weights)
	excess, blocks := 0.0, 0.0
	for i, d := range kept {
		excess += (y[i]-curve[i])*(y[i]-curve[i]) - d.SDMonths*d.SDMonths
		if i == 0 || curve[i] != curve[i-1] {
			blocks++
		}
	}
	// A fitted block takes up more freedom than one mean: 1.5 (Meyer and Woodroofe, Annals of Statistics 28, 2000).
	if free := float64(len(kept)) - 1.5*blocks; free > 0 {
		c.ScatterMonths = math.Sqrt(math.Max(0, excess/free))
	}
	for i, d := range kept {
		share := 0.0 // of the block's weight
		for j := range kept {
			if curve[j] == curve[i] {
				share += 1 / (c.ScatterMonths*c.ScatterMonths + kept[j].SDMonths*kept[j].SDMonths + 1)
			}
		}
		half := 1.645 * math.Sqrt(c.ScatterMonths*c.ScatterMonths+1.0/12+1/share)
		c.Points = append(c.Points, CurvePoint{d.Number, curve[i], curve[i] - half, curve[i] + half})
	}
}

// batches are runs of numbers out of sequence that lie on one side of the curve.
func batches(all []DatedNumber, rough []float64, odd []bool) []Batch {
	var out []Batch
	for i := 0; i < len(all); i++ {
		if !odd[i] {
			continue
		}
		j, months, curve := i, 0.0, 0.0
		late := all[i].Month > rough[i]
		for ; j < len(all) && odd[j] && (all[j].Month > rough[j]) == late; j++ {
			months, curve = months+all[j].Month, curve+rough[j]
		}
		if n := j - i; n >= leastOfBatch {
			out = append(out, Batch{all[i].Number, all[j-1].Number, months / float64(n), curve / float64(n), n})
		}
		i = j - 1
	}
	return out
}

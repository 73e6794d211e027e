package origin

import (
	"math"

	"midcase/edtf"
)

// grid is the run of months over which everything is summed.
type grid struct {
	first edtf.Month
	n     int
}

// marginSofts is how many softnesses the grid reaches beyond the span; at its end
// the prior has fallen to e⁻⁸ of its height.
const marginSofts = 8

func newGrid(s Span) grid {
	margin := edtf.Month(math.Ceil(marginSofts * s.SoftMonths))
	return grid{first: s.First - margin, n: int(s.Last-s.First) + 1 + 2*int(margin)}
}

// month is the i-th month as a number; the month covers month to month+1.
func (g grid) month(i int) float64 { return float64(int(g.first) + i) }

// logPrior is the log of the prior over months, not normalised: level over the
// span with logistic edges.
func (g grid) logPrior(s Span) []float64 {
	out := make([]float64, g.n)
	w := Window{First: s.First, Last: s.Last, SoftMonths: s.SoftMonths}
	for i := range out {
		out[i] = math.Log(edges(w, g.month(i)))
	}
	return out
}

// edges is how far a window is open in the month that begins at m, 0–1.
func edges(w Window, m float64) float64 {
	open := 1.0
	if w.First != 0 {
		open *= rise(m+0.5-float64(w.First), w.SoftMonths)
	}
	if w.Last != 0 {
		open *= rise(float64(w.Last)+0.5-m, w.SoftMonths)
	}
	return open
}

// rise is the logistic function of x/soft, or a step where soft is 0.
func rise(x, soft float64) float64 {
	switch {
	case x > 40*soft:
		return 1
	case x < -700*soft || soft == 0:
		return 0
	}
	return 1 / (1 + math.Exp(-x/soft))
}

// normalise turns logs into probabilities that sum to 1, written to out.
func normalise(logs, out []float64) {
	top := math.Inf(-1)
	for _, l := range logs {
		top = math.Max(top, l)
	}
	sum := 0.0
	for i, l := range logs {
		out[i] = 0
		if d := l - top; d > -700 {
			out[i] = math.Exp(d)
			sum += out[i]
		}
	}
	for i := range out {
		out[i] /= sum
	}
}

// posterior adds log vectors and returns the probabilities; a nil vector adds 0.
func posterior(logs ...[]float64) []float64 {
	var sum []float64
	for _, l := range logs {
		switch {
		case l == nil:
		case sum == nil:
			sum = append([]float64(nil), l...)
		default:
			for i := range sum {
				sum[i] += l[i]
			}
		}
	}
	normalise(sum, sum)
	return sum
}

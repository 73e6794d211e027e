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
	return logs(edges(Window{First: s.First, Last: s.Last, SoftMonths: s.SoftMonths}, g))
}

// edges is how far a window is open in each month, 0–1.
func edges(w Window, g grid) []float64 {
	out := make([]float64, g.n)
	addEdges(out, w, g, 1)
	return out
}

// addEdges adds to out how far a window is open in each month, times a weight.
func addEdges(out []float64, w Window, g grid, weight float64) {
	up, down := logistic{z: 1, flat: true}, logistic{z: 1, flat: true}
	if w.First != 0 {
		up = newLogistic(g.month(0)+0.5-float64(w.First), 1, w.SoftMonths)
	}
	if w.Last != 0 {
		down = newLogistic(float64(w.Last)+0.5-g.month(0), -1, w.SoftMonths)
	}
	for i := range out {
		out[i] += weight * up.next() * down.next()
	}
}

// logistic runs through the values of the logistic function of z/soft for evenly
// spaced z, or of a step where soft is 0. Where the function is within 1e-13 of its
// limits it is the limit; between, each exponential comes from the one before.
type logistic struct {
	z, step, soft float64
	e, factor     float64
	running, flat bool
}

func newLogistic(z, step, soft float64) logistic {
	return logistic{z: z, step: step, soft: soft, factor: math.Exp(-step / soft)}
}

func (l *logistic) next() float64 {
	z := l.z
	l.z += l.step
	switch {
	case l.flat || z > 30*l.soft:
		l.running = false
		return 1
	case z < -30*l.soft || l.soft == 0:
		l.running = false
		return 0
	case !l.running:
		l.e, l.running = math.Exp(-z/l.soft), true
	}
	out := 1 / (1 + l.e)
	l.e *= l.factor
	return out
}

// normalise turns logs into probabilities that sum to 1, written to out. What is
// less than 1e-30 of the greatest is 0.
func normalise(logs, out []float64) {
	top := math.Inf(-1)
	for _, l := range logs {
		top = math.Max(top, l)
	}
	sum := 0.0
	for i, l := range logs {
		out[i] = 0
		if d := l - top; d > -70 {
			out[i] = math.Exp(d)
			sum += out[i]
		}
	}
	for i := range out {
		out[i] /= sum
	}
}

// posterior returns the probabilities of months by log weights and a likelihood;
// nil is a likelihood of 1.
func posterior(logs, likelihood []float64) []float64 {
	out := make([]float64, len(logs))
	if likelihood == nil {
		normalise(logs, out)
		return out
	}
	for i, l := range logs {
		out[i] = l + math.Log(likelihood[i])
	}
	normalise(out, out)
	return out
}

// update returns probabilities changed by a likelihood.
func update(p, likelihood []float64) []float64 {
	out := make([]float64, len(p))
	sum := 0.0
	for i, q := range p {
		out[i] = q * likelihood[i]
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

func logs(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = math.Log(v)
	}
	return out
}

package origin

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// minOutlier is the least share of error that any item is given, so that no item
// rules out a month for good and items that contradict each other still give a
// result.
const minOutlier = 1e-6

// tiny is the probability of a month below which it adds nothing to a surprise.
const tiny = 1e-15

// outlier is the share with which an item says nothing: its own share of errors,
// or read wrong.
func outlier(share, confidence float64) float64 {
	return math.Max(minOutlier, 1-stated(confidence)*(1-share))
}

// stated turns a confidence of 0, which means not stated, into 1.
func stated(confidence float64) float64 {
	if confidence == 0 {
		return 1
	}
	return confidence
}

// numbered is the likelihood of a serial number.
type numbered struct {
	at, scale, dof, eps float64
	g                   grid
}

func newNumbered(s Serial, g grid) numbered {
	at, gap, inside := s.Curve.At(s.Number)
	return numberedAt(s, at, gap, inside, g)
}

func numberedAt(s Serial, at, gap float64, inside bool, g grid) numbered {
	dof := s.DegreesOfFreedom
	if dof == 0 {
		dof = 4
	}
	return numbered{at: at, scale: scale(s.ScatterMonths, gap, inside), dof: dof,
		eps: outlier(s.OutlierShare, s.Confidence), g: g}
}

// likelihood is the likelihood of the number over the months of the grid.
func (n numbered) likelihood() []float64 {
	out := make([]float64, n.g.n)
	a, _ := math.Lgamma((n.dof + 1) / 2)
	b, _ := math.Lgamma(n.dof / 2)
	c := (1 - n.eps) * math.Exp(a-b) / (math.Sqrt(n.dof*math.Pi) * n.scale)
	flat := n.eps / float64(n.g.n)
	for i := range out {
		z := (n.g.month(i) - n.at) / n.scale
		out[i] = c*math.Exp(-(n.dof+1)/2*math.Log1p(z*z/n.dof)) + flat
	}
	return out
}

// stray is the likelihood of a number that follows no curve.
func (n numbered) stray() float64 { return n.eps / float64(n.g.n) }

// surprise is the two-sided predictive probability of a number at least as far out
// as this one, for a watch whose month has the probabilities p and a number that
// follows the curve. Were the stray ones counted, no number would be surprising.
func (n numbered) surprise(p []float64) float64 {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n.dof}
	below := 0.0
	for i, q := range p {
		if q < tiny {
			continue
		}
		below += q * t.CDF((n.at-n.g.month(i))/n.scale)
	}
	return twoSided(below, 1-below)
}

// dated is the likelihood of an item that names a period: a stamp before the watch
// was finished (before true), papers after it, or a record of that very month
// (lag 0).
type dated struct {
	from, to float64 // the period, as the time from the start of its first month to the end of its last
	lag, eps float64
	before   bool
	g        grid
}

func (s Stamp) dated(g grid) dated {
	return dated{from: float64(s.First), to: float64(s.Last) + 1, lag: s.LagMonths,
		eps: outlier(s.OutlierShare, s.Confidence), before: true, g: g}
}

func (p Papers) dated(g grid) dated {
	from := float64(p.First)
	if p.First == 0 {
		from = g.month(0)
	}
	return dated{from: math.Min(from, float64(p.Last)), to: float64(p.Last) + 1, lag: p.LagMonths,
		eps: outlier(p.OutlierShare, 1), g: g}
}

func (s Stated) dated(g grid) dated {
	return dated{from: float64(s.First), to: float64(s.Last) + 1, eps: outlier(s.OutlierShare, 1), g: g}
}

// below is the chance that the date of a true item lies before time x, for a watch
// finished at any time within the month that begins at m, with an exponential lag.
func (d dated) below(x, m float64) float64 {
	if d.before {
		return 1 - (d.area(m+1-x) - d.area(m-x))
	}
	return d.area(x-m) - d.area(x-m-1)
}

// area is the integral of the lag's distribution function from 0 to x.
func (d dated) area(x float64) float64 {
	switch {
	case x <= 0:
		return 0
	case d.lag == 0:
		return x
	}
	return x + d.lag*math.Expm1(-x/d.lag)
}

// at is the probability of the item's period for a watch of the month that begins
// at m.
func (d dated) at(m float64) float64 {
	hit := math.Max(0, d.below(d.to, m)-d.below(d.from, m))
	return (1-d.eps)*hit + d.stray()
}

// stray is the likelihood of a period that says nothing.
func (d dated) stray() float64 { return d.eps * (d.to - d.from) / float64(d.g.n) }

// likelihood is at over the months of a grid.
func (d dated) likelihood(g grid) []float64 {
	out := make([]float64, g.n)
	for i := range out {
		out[i] = d.at(g.month(i))
	}
	return out
}

// surprise is the two-sided predictive probability of a period at least as early
// or as late as this one, the period itself included on both sides, if it speaks of
// the watch at all.
func (d dated) surprise(p []float64) float64 {
	toEnd, toStart := 0.0, 0.0
	for i, q := range p {
		if q < tiny {
			continue
		}
		toEnd += q * d.below(d.to, d.g.month(i))
		toStart += q * d.below(d.from, d.g.month(i))
	}
	return twoSided(toEnd, 1-toStart)
}

func twoSided(low, high float64) float64 { return clamp(2 * math.Min(low, high)) }

func clamp(x float64) float64 { return math.Min(1, math.Max(0, x)) }

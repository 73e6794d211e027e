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

// mark is what was read on the watch or on paper: what it says about the month.
type mark interface {
	// likelihood is over the months of a grid, above 0.
	likelihood(g grid) []float64
	// stray is the likelihood if the mark says nothing about the watch.
	stray() float64
	// surprise takes the probabilities of months from the first of the model's grid on.
	surprise(p []float64) float64
}

// numbered is the likelihood of a number: a mixture of Student t over what it may be,
// each weighed by the months a number of its run.
type numbered struct {
	is  []placed
	eps float64
	g   grid
}

// placed is one number of one run: its month, how far watches stray from it, and its
// weight among all that the mark may be.
type placed struct{ at, scale, dof, weight float64 }

// Numbers of which figures cannot be read are summed at points no further apart than
// half the scale, at most maxPoints a reading; numbers whose months lie further than
// beyondMonths outside the grid are left out where others are inside.
const (
	maxPoints    = 160
	beyondMonths = 36
)

func newNumbered(s Serial, g grid) numbered {
	n := numbered{eps: outlier(s.OutlierShare, s.Confidence), g: g}
	readings := s.Readings
	if len(readings) == 0 {
		readings = []Reading{{First: s.Number, Last: s.Number, Curve: s.Curve, ScatterMonths: s.ScatterMonths,
			DegreesOfFreedom: s.DegreesOfFreedom}}
	}
	for _, r := range readings {
		n.is = append(n.is, r.points(g)...)
	}
	n.is = inside(n.is, g)
	sum := 0.0
	for _, x := range n.is {
		sum += x.weight
	}
	for i := range n.is {
		n.is[i].weight /= sum
	}
	return n
}

// points are the numbers of a reading at which its sum is taken.
func (r Reading) points(g grid) []placed {
	first, last := r.First, r.Last
	if first < last {
		first = r.Curve.Number(g.month(0)-beyondMonths, r.First, r.Last)
		last = r.Curve.Number(g.month(g.n)+beyondMonths, first, r.Last)
	}
	from, _, _ := r.Curve.At(first)
	to, _, _ := r.Curve.At(last)
	points := int64(math.Ceil((to - from) / math.Max(0.5, r.ScatterMonths/2)))
	points = min(max(points, 1), maxPoints, last-first+1)
	numbers := float64(last-first) + 1
	out := make([]placed, points)
	for i := range out {
		number := first + int64(numbers*(float64(i)+0.5)/float64(points))
		at, gap, within := r.Curve.At(number)
		out[i] = placedAt(r, at, gap, within)
		out[i].weight *= numbers / float64(points) * r.Curve.rate(number)
	}
	return out
}

func placedAt(r Reading, at, gap float64, inside bool) placed {
	return placed{at: at, scale: scale(r.ScatterMonths, gap, inside), dof: orOne(r.DegreesOfFreedom, 4),
		weight: orOne(r.Weight, 1)}
}

// orOne is a value, or its default where it is 0.
func orOne(x, otherwise float64) float64 {
	if x == 0 {
		return otherwise
	}
	return x
}

// inside leaves out what lies far outside the grid, unless all does.
func inside(all []placed, g grid) []placed {
	var out []placed
	for _, x := range all {
		if x.at > g.month(0)-beyondMonths && x.at < g.month(g.n)+beyondMonths {
			out = append(out, x)
		}
	}
	if len(out) == 0 {
		return all
	}
	return out
}

// likelihood is the likelihood of the number over the months of the grid.
func (n numbered) likelihood(g grid) []float64 {
	out := make([]float64, g.n)
	for i := range out {
		out[i] = n.stray()
	}
	for _, x := range n.is {
		x.addTo(out, g, 1-n.eps)
	}
	return out
}

// addTo adds the Student t of one number over the months, times a weight.
func (x placed) addTo(out []float64, g grid, weight float64) {
	a, _ := math.Lgamma((x.dof + 1) / 2)
	b, _ := math.Lgamma(x.dof / 2)
	c := weight * x.weight * math.Exp(a-b) / (math.Sqrt(x.dof*math.Pi) * x.scale)
	for i := range out {
		z := (g.month(i) - x.at) / x.scale
		out[i] += c * tail(1+z*z/x.dof, x.dof)
	}
}

// tail is y to the power of −(dof+1)/2, without a logarithm for the usual 4 degrees of
// freedom.
func tail(y, dof float64) float64 {
	if dof == 4 {
		return 1 / (y * y * math.Sqrt(y))
	}
	return math.Exp(-(dof + 1) / 2 * math.Log(y))
}

// stray is the likelihood of a number that follows no curve.
func (n numbered) stray() float64 { return n.eps / float64(n.g.n) }

// surprise is the two-sided predictive probability of a number at least as far out
// as this one, for a watch whose month has the probabilities p and a number that
// follows the curve. Were the stray ones counted, no number would be surprising. Of
// several things that the number may be, each counts as far as it is likely.
func (n numbered) surprise(p []float64) float64 {
	if len(n.is) == 1 {
		return n.is[0].surprise(p, n.g)
	}
	like := make([]float64, len(n.is))
	top := 0.0
	for i, x := range n.is {
		on := make([]float64, len(p))
		x.addTo(on, grid{first: n.g.first, n: len(p)}, 1)
		like[i] = dot(p, on)
		top = math.Max(top, like[i])
	}
	sum, all := 0.0, 0.0
	for i, x := range n.is {
		if like[i] > top/1000 {
			sum += like[i] * x.surprise(p, n.g)
			all += like[i]
		}
	}
	return clamp(sum / math.Max(all, math.SmallestNonzeroFloat64))
}

func (x placed) surprise(p []float64, g grid) float64 {
	below := 0.0
	for i, q := range p {
		if q < tiny {
			continue
		}
		below += q * studentCDF((x.at-g.month(i))/x.scale, x.dof)
	}
	return twoSided(below, 1-below)
}

// studentCDF is the distribution function of Student's t; of 4 degrees of freedom by
// its closed form.
func studentCDF(t, dof float64) float64 {
	if dof != 4 {
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.CDF(t)
	}
	y := 1 + t*t/4
	return clamp(0.5 + 0.375*t/math.Sqrt(y)*(1-t*t/(12*y)))
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

package origin

import (
	"fmt"
	"math"
	"sort"

	"midcase/edtf"
)

// Anchor is one known pair of a number and the month in which it was used.
type Anchor struct {
	Number int64
	Month  edtf.Month
}

// Curve gives the month in which a number was used. It goes through every anchor
// and never runs back. A Curve does not change after NewCurve.
type Curve struct {
	cubic  *cubic
	lo, hi float64 // months a number, beyond the first and the last anchor
}

// How fast doubt grows with the distance from the nearest anchor: as a share of
// that distance, between anchors and beyond them.
const (
	insideGapShare  = 0.15
	outsideGapShare = 0.35
)

// NewCurve makes a curve through two anchors or more, in order of number. Numbers
// must rise; months may stand still but not fall, and must not all be the same.
func NewCurve(anchors []Anchor) (*Curve, error) {
	if len(anchors) < 2 {
		return nil, fmt.Errorf("origin: curve: anchors: found %d, want at least 2", len(anchors))
	}
	x := make([]float64, len(anchors))
	y := make([]float64, len(anchors))
	for i, a := range anchors {
		if a.Number < 1 {
			return nil, fmt.Errorf("origin: curve: anchors[%d].number: %d, want 1 or more", i, a.Number)
		}
		if i > 0 && a.Number <= anchors[i-1].Number {
			return nil, fmt.Errorf("origin: curve: anchors[%d].number: %d does not rise above %d before it", i,
				a.Number, anchors[i-1].Number)
		}
		if i > 0 && a.Month < anchors[i-1].Month {
			return nil, fmt.Errorf("origin: curve: anchors[%d].month: %v comes before %v of a lower number", i, a.Month,
				anchors[i-1].Month)
		}
		x[i], y[i] = float64(a.Number), float64(a.Month)
	}
	n := len(x) - 1
	if y[0] == y[n] {
		return nil, fmt.Errorf("origin: curve: anchors: all in month %v, want at least two months", anchors[0].Month)
	}
	return &Curve{
		cubic: newCubic(x, y),
		lo:    endRate(x[0], x[1], y[0], y[1], x[n]-x[0], y[n]-y[0]),
		hi:    endRate(x[n-1], x[n], y[n-1], y[n], x[n]-x[0], y[n]-y[0]),
	}, nil
}

// endRate is the pace beyond an end: that of the last bracket, or that of the
// whole curve where the last bracket stands still.
func endRate(x0, x1, y0, y1, dx, dy float64) float64 {
	if y1 > y0 {
		return (y1 - y0) / (x1 - x0)
	}
	return dy / dx
}

// At returns the month of a number (a whole value stands for the middle of that
// edtf.Month), its distance in months from the nearest anchor, and whether the
// number lies between the first and the last anchor. Beyond them the curve goes
// on at the pace of its last bracket.
func (c *Curve) At(number int64) (month, gapMonths float64, inside bool) {
	n := float64(number)
	x, y := c.cubic.x, c.cubic.y
	last := len(x) - 1
	switch {
	case n < x[0]:
		month = y[0] - c.lo*(x[0]-n)
	case n > x[last]:
		month = y[last] + c.hi*(n-x[last])
	default:
		month = c.cubic.at(n)
	}
	gapMonths, inside = c.gap(month)
	return month, gapMonths, inside && n >= x[0] && n <= x[last]
}

// rate is the months a number at a number: the mean pace of its bracket, which a level
// stretch does not bring to nothing.
func (c *Curve) rate(number int64) float64 {
	n, x, y := float64(number), c.cubic.x, c.cubic.y
	last := len(x) - 1
	switch {
	case n < x[0]:
		return c.lo
	case n > x[last]:
		return c.hi
	}
	i := min(max(sort.SearchFloat64s(x, n)-1, 0), last-1)
	return math.Max(y[i+1]-y[i], 0.5) / (x[i+1] - x[i])
}

// StrayMonths is the scale in months of how far a watch of a number strays from the curve, for a run whose watches
// scatter by so many months.
func (c *Curve) StrayMonths(number int64, scatterMonths float64) float64 {
	_, gap, inside := c.At(number)
	return scale(scatterMonths, gap, inside)
}

// Number is the number whose month comes nearest to a month, from low to high.
func (c *Curve) Number(month float64, low, high int64) int64 {
	at := sort.Search(int(min(high-low, math.MaxInt-1)), func(i int) bool {
		m, _, _ := c.At(low + int64(i))
		return m >= month
	})
	return low + int64(at)
}

// gap is the distance of a month from the nearest anchor, and whether it lies
// between the first and the last.
func (c *Curve) gap(month float64) (months float64, inside bool) {
	y := c.cubic.y
	i := sort.SearchFloat64s(y, month)
	switch {
	case i == 0:
		return y[0] - month, month >= y[0]
	case i == len(y):
		return month - y[i-1], false
	}
	return math.Min(month-y[i-1], y[i]-month), true
}

// scale is the scale in months of how far a watch strays from the curve: the
// scatter of the book, the spread within a month, and doubt about the curve itself.
func scale(scatter, gap float64, inside bool) float64 {
	share := outsideGapShare
	if inside {
		share = insideGapShare
	}
	return math.Sqrt(scatter*scatter + 1.0/12 + share*share*gap*gap)
}

// cubic is a monotone piecewise cubic through points of rising x.
type cubic struct{ x, y, d []float64 }

// newCubic sets the slopes by the weighted harmonic mean of Fritsch and Butland,
// "A Method for Constructing Local Monotone Piecewise Cubic Interpolants", SIAM J.
// Sci. Stat. Comput. 5 (1984) 300–304, with the three-point formula at the ends;
// that is what SciPy calls PCHIP.
func newCubic(x, y []float64) *cubic {
	n := len(x)
	h := make([]float64, n-1)
	s := make([]float64, n-1)
	for i := range h {
		h[i] = x[i+1] - x[i]
		s[i] = (y[i+1] - y[i]) / h[i]
	}
	d := make([]float64, n)
	if n == 2 {
		d[0], d[1] = s[0], s[0]
		return &cubic{x, y, d}
	}
	for i := 1; i < n-1; i++ {
		if s[i-1]*s[i] <= 0 {
			continue // a turning point or a level stretch: slope 0
		}
		a, b := 2*h[i]+h[i-1], h[i]+2*h[i-1]
		d[i] = (a + b) / (a/s[i-1] + b/s[i])
	}
	d[0] = endSlope(h[0], h[1], s[0], s[1])
	d[n-1] = endSlope(h[n-2], h[n-3], s[n-2], s[n-3])
	return &cubic{x, y, d}
}

// endSlope is the three-point slope at an end, held back so that the curve keeps
// its shape; the first bracket counted from the end is h0, s0.
func endSlope(h0, h1, s0, s1 float64) float64 {
	d := ((2*h0+h1)*s0 - h0*s1) / (h0 + h1)
	switch {
	case d*s0 <= 0:
		return 0
	case s0*s1 <= 0 && math.Abs(d) > 3*math.Abs(s0):
		return 3 * s0
	}
	return d
}

// at evaluates the cubic for v between the first and the last x.
func (c *cubic) at(v float64) float64 {
	i := sort.SearchFloat64s(c.x, v)
	if i < len(c.x) && c.x[i] == v {
		return c.y[i]
	}
	i = min(max(i-1, 0), len(c.x)-2)
	h := c.x[i+1] - c.x[i]
	t := (v - c.x[i]) / h
	s := (c.y[i+1] - c.y[i]) / h
	c2 := 3*s - 2*c.d[i] - c.d[i+1]
	c3 := c.d[i] + c.d[i+1] - 2*s
	return c.y[i] + h*t*(c.d[i]+t*(c2+t*c3))
}

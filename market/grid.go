package market

import "midcase/market/algebra"

import "math"

// timeGrid is where a walk has its points: every gap quarters, the last quarter of
// the forecast among them. Between two points the walk is a straight line.
type timeGrid struct {
	n, gap int
	first  int // quarter of the first point; 0 or before
}

func newTimeGrid(s *scheme, gap int) timeGrid {
	n := (s.quarters-2+gap)/gap + 1
	return timeGrid{n: n, gap: gap, first: s.quarters - 1 - gap*(n-1)}
}

// terms are the coefficients of a quarter; off is the column of the first point.
func (g timeGrid) terms(off, quarter int, out []term) []term {
	k, r := (quarter-g.first)/g.gap, (quarter-g.first)%g.gap
	if r == 0 {
		return append(out, term{off + k, 1})
	}
	x := float64(r) / float64(g.gap)
	return append(out, term{off + k, 1 - x}, term{off + k + 1, x})
}

// near is the point closest to a quarter.
func (g timeGrid) near(quarter int) int { return (quarter - g.first + g.gap/2) / g.gap }

// walk is the component of a walk on this grid; carry is the momentum of one quarter
// that its prior expects, s0 the standard deviation of an innovation that its prior of
// weight a expects of one quarter.
func (g timeGrid) walk(name string, off, seen int, carry, s0, a float64) algebra.Component {
	phi, spread := g.momentum(carry)
	s0 *= spread
	return algebra.Component{Name: name, Off: off, N: g.n, K: algebra.Walk(g.n, nil, phi),
		Steps: algebra.EvenSteps(g.n), Phi: phi, Phi0: phi,
		Seen: min(g.n, (seen-2-g.first+g.gap)/g.gap+1), Rank: g.n - 1, Lambda: precision(1.4 * s0), A: a, S0: s0}
}

// momentum is what a momentum f of a quarterly walk says of one in steps of several
// quarters: the correlation of one step with the next, and the standard deviation of
// an innovation against that of one quarter.
func (g timeGrid) momentum(f float64) (phi, spread float64) {
	n := float64(g.gap)
	fn := math.Pow(f, n)
	variance := (n*(1-f*f) - 2*f*(1-fn)) / ((1 - f) * (1 - f)) // of the sum of n steps against one
	phi = f * (1 - fn) * (1 - fn) / (n*(1-f*f) - 2*f*(1-fn))
	return phi, math.Sqrt(variance * (1 - phi*phi) / (1 - f*f))
}

// Sales that a point of a walk should rest on, and the widest gap between points,
// in quarters.
const (
	salesPerPoint = 25
	widestGap     = 8
)

// gapFor is the gap, a power of two, that gives each point its sales.
func (s *scheme) gapFor(sales int) int {
	gap := 1
	for gap < widestGap && sales*gap < salesPerPoint*(s.last-s.first+1) {
		gap *= 2
	}
	return gap
}

// setGaps chooses the points of the walks, few enough in all for the dense part of
// the equations.
func (s *scheme) setGaps(sales int) {
	s.base = s.metal.common()
	s.gap = []int{s.gapFor(sales)}
	for k := 0; k < s.metal.width(); k++ {
		n := 0
		if k < len(s.metal.count) {
			n = s.metal.count[k]
		}
		s.gap = append(s.gap, s.gapFor(n))
	}
	for s.points() > maxPoints {
		widest := true
		for k := range s.gap {
			if k > 0 && s.gap[k] < widestGap {
				s.gap[k] *= 2
				widest = false
			}
		}
		if widest {
			return
		}
	}
}

// points is the number of points of all walks.
func (s *scheme) points() int {
	n := 0
	for k, gap := range s.gap {
		if k == 0 || (k-1 != s.base && k-1 < len(s.metal.level) && s.metal.level[k-1] != "") {
			n += newTimeGrid(s, gap).n
		}
	}
	return n
}

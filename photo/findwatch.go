package photo

import "math"

// watchSeen is a watch on a grid.
type watchSeen struct {
	grid
	dial       dialSeen
	twelve     float64 // degrees clockwise from up
	twelveSure float64
	hasCase    bool
	midCase    Ellipse // cells
	caseSure   float64
	caseHidden bool        // seen so much at an angle that its edge is not to be told
	plane      *Homography // px to a square of side 1, where one was found
	expected   float64     // radius of the case in radii of the dial, by known sizes; 0 for none
	fills      float64     // diameter of the dial over the shorter side of the grid
}

// leastMarks is how plainly marks must stand at the hours for a round thing to be a dial.
const leastMarks = 0.12

// findWatch looks for a dial and the case about it.
func (l light) findWatch(s foundSquare, have bool, ask Ask) (watchSeen, bool) {
	g := l.watchGrid(s, have)
	u, rings, ok := g.roundest()
	if !ok {
		return watchSeen{}, false
	}
	d, ok := u.findDial(rings)
	if !ok {
		return watchSeen{}, false
	}
	w := watchSeen{grid: g, dial: d, fills: 2 * d.rim.A / float64(min(g.w, g.h))}
	if have {
		h := 0.5
		if plane, err := FitHomography(s.corners[:], []Point{{-h, -h}, {h, -h}, {h, h}, {-h, h}}); err == nil {
			w.plane = &plane
		}
	}
	w.expect(s, have, ask)
	shape := d.rim
	if have { // the plane of the square has tilt taken out: what is round is a circle
		r := math.Sqrt(shape.A * shape.B)
		shape.A, shape.B, shape.Angle = r, r, 0
	}
	round := g.unroll(shape, 2.5).coloured()
	w.orient(round)
	l.findCase(&w, round)
	if w.hasCase { // the case says more of what stands outside it
		was := w.twelve
		w.orient(g.unroll(w.midCase, 1.4).coloured())
		if math.Abs(math.Remainder(w.twelve-was, 360)) > 5 {
			w.hasCase = false
			l.findCase(&w, round)
		}
	}
	if d.marks < leastMarks && !(w.hasCase && w.caseSure > 0.6 && d.share > 0.7) {
		return watchSeen{}, false
	}
	return w, true
}

// orient chooses which of the twelve hours is twelve: the one nearest to up, unless the
// band lies along another or a crown says that the picture lies on its side.
func (w *watchSeen) orient(u unrolled) {
	phase, steps := w.dial.phase, 12
	var out [turns]float64
	if w.hasCase {
		out = u.outside(1.06, 1.22)
	}
	axis, plain := bandAxis(out)
	if w.dial.marks < leastMarks/2 { // no hours to be seen: the band alone
		phase, steps = axis, 4
	}
	best, sum, top := 0.0, 0.0, math.Inf(-1)
	for k := range steps {
		deg := math.Remainder(phase+float64(k)*360/float64(steps), 360)
		v := max(-0.5*deg*deg/(14*14), -6) // a quarter turn must be able to win against up
		if plain {
			off := math.Remainder(deg-axis, 180)
			v += max(-0.5*off*off/(10*10), -4)
		}
		if quarter := math.Remainder(deg, 90); w.hasCase && math.Abs(quarter) < 16 {
			v += evidenceOf(out, deg)
		}
		sum += math.Exp(v)
		if v > top {
			top, best = v, deg
		}
	}
	w.twelve = best
	w.twelveSure = min(math.Exp(top)/sum*min(1, 0.6+2*w.dial.marks), 0.98)
}

// outside is how much stands in each direction between two distances: the difference from
// the colour that most directions have.
func (u unrolled) outside(from, to float64) (out [turns]float64) {
	i0, i1 := int(from/u.step), min(int(to/u.step), u.columns)
	var cols []Lab
	for a := range turns {
		var one []Lab
		for i := i0; i < min(i1, u.within[a]); i++ {
			one = append(one, u.lab[a*u.columns+i])
		}
		if len(one) > 0 {
			cols = append(cols, medianLab(one))
		} else {
			cols = append(cols, Lab{math.NaN()})
		}
	}
	var seen []Lab
	for _, c := range cols {
		if c[0] == c[0] {
			seen = append(seen, c)
		}
	}
	if len(seen) < turns*9/10 {
		return out
	}
	ground := medianLab(seen)
	for a, c := range cols {
		if c[0] == c[0] {
			out[a] = min(labDistance(c, ground), 40)
		}
	}
	return out
}

func meanOver(v [turns]float64, middle, half float64) float64 {
	s, n := 0.0, 0.0
	for d := -half; d <= half; d++ {
		s += v[(int(math.Round(middle+d))%turns+turns)%turns]
		n++
	}
	return s / n
}

// evidenceOf is what stands outside the case for twelve lying in a direction.
func evidenceOf(out [turns]float64, deg float64) float64 {
	band := (meanOver(out, deg, 16) + meanOver(out, deg+180, 16)) / 2
	sides := (meanOver(out, deg+270, 18) + meanOver(out, deg+65, 5) + meanOver(out, deg+115, 5)) / 3
	crown := meanOver(out, deg+90, 5) - meanOver(out, deg+270, 5)
	return min(max((band-sides)/6, -2.5), 2.5) + min(max(crown/8, -1.5), 1.5)
}

// bandAxis is the direction along which most stands outside, −90° to 90° from up, and
// whether it stands out.
func bandAxis(out [turns]float64) (deg float64, plain bool) {
	var re, im, all float64
	for a, v := range out {
		s, c := math.Sincos(rad(float64(2 * a)))
		re, im, all = re+v*c, im+v*s, all+v
	}
	return math.Atan2(im, re) * 180 / math.Pi / 2, math.Hypot(re, im) > 0.25*all && all > 4*turns
}

// colourIn is the median colour between two distances in the directions in use.
func (u unrolled) colourIn(use func(int) bool, from, to float64) Lab {
	var v []Lab
	for a := 0; a < turns; a += 2 {
		if !use(a) {
			continue
		}
		for i := int(from / u.step); i <= min(int(to/u.step), u.within[a]-1); i++ {
			v = append(v, u.lab[a*u.columns+i])
		}
	}
	if len(v) == 0 {
		return Lab{}
	}
	return medianLab(v)
}

// expect works out where the edge of the case should lie by sizes that are known.
func (w *watchSeen) expect(s foundSquare, have bool, ask Ask) {
	switch dial := ask.Sizes.DialMM; {
	case ask.Sizes.MidCaseMM == 0:
	case have:
		mm := s.proposal(ask).MM
		r := math.Sqrt(w.dial.rim.A*w.dial.rim.B) * 2 * gridReach / roundSide * mm
		w.expected = ask.Sizes.MidCaseMM / 2 / r
	case dial > 0:
		w.expected = ask.Sizes.MidCaseMM / dial
	}
}

// cellPx is the size of a cell about the dial, px.
func (w watchSeen) cellPx() float64 {
	j := w.toPx.jacobian(Point{w.dial.rim.X, w.dial.rim.Y})
	return math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
}

// turned are directions in degrees clockwise from twelve as directions from up.
func (w watchSeen) turned(degs ...float64) []float64 {
	for i := range degs {
		degs[i] += w.twelve
	}
	return degs
}

package photo

import "math"

// dialFrame places a dial: frame coordinates have the middle at (0, 0), radius 1 at
// the edge, twelve at (0, −1) and three at (1, 0).
type dialFrame struct {
	toPx    Homography
	radius  float64 // px, mean
	upright bool    // no twelve was picked; the picture was taken to stand upright
}

// newDialFrame places the dial by its picks; field is where they stand.
func (l light) newDialFrame(p DialPicks, field string) (dialFrame, error) {
	if p.Dial == nil {
		return dialFrame{}, &PickError{Field: field + "dial", Found: "there is none",
			Want: "points of the edge of the dial"}
	}
	if err := checkThrough(field+"dial.through", p.Dial.Through); err != nil {
		return dialFrame{}, err
	}
	if err := l.need(field+"dial.through", p.Dial.Through...); err != nil {
		return dialFrame{}, err
	}
	m, err := l.findRim(p.Dial.Through, freeCurve)
	if err != nil {
		return dialFrame{}, pickError(field+"dial.through", "points well round the dial", "no circle fits them")
	}
	e := m.ellipse
	radius := math.Sqrt(e.A * e.B)
	if radius < 20 {
		return dialFrame{}, pickError(field+"dial.through", "a dial of 40 px or more across", "it is %.0f px across",
			2*radius)
	}
	f := dialFrame{toPx: e.unitCircle(), radius: radius, upright: p.Twelve == nil}
	up := Point{0, -1}
	back := f.toPx.Inverse()
	if p.Twelve != nil {
		if err := l.need(field+"twelve", *p.Twelve); err != nil {
			return dialFrame{}, err
		}
		up = back.Apply(*p.Twelve)
		if up.length() < 0.3 {
			return dialFrame{}, pickError(field+"twelve", "the mark at twelve", "it lies near the middle of the dial")
		}
		if p.Six != nil {
			if err := l.need(field+"six", *p.Six); err != nil {
				return dialFrame{}, err
			}
			six := back.Apply(*p.Six)
			if six.dot(up) > 0 || six.length() < 0.3 {
				return dialFrame{}, pickError(field+"six", "the mark at six, opposite twelve",
					"it does not lie opposite")
			}
			up = up.unit().sub(six.unit())
		}
		up = up.unit()
	}
	// turn (0, −1) onto up
	c, s := -up[1], up[0]
	f.toPx = f.toPx.Times(Homography{c, -s, 0, s, c, 0, 0, 0, 1})
	return f, nil
}

// hourPoint is the place of an hour at a share of the radius, in frame coordinates.
func hourPoint(hour int, r float64) Point {
	s, c := math.Sincos(2 * math.Pi * float64(hour%12) / 12)
	return Point{r * s, -r * c}
}

// scaleAt is the size of one unit of the frame in px about a place.
func (f dialFrame) scaleAt(p Point) float64 {
	j := f.toPx.jacobian(p)
	return math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
}

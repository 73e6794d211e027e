package photo

import (
	"math"

	"midcase/say"
)

// ruler turns px into mm on the plane of the scale.
type ruler struct {
	kind     string
	plane    Homography   // px to mm
	variants []Homography // the plane with one pick moved by its standard error
	relative float64      // standard error common to all lengths, as a share
	middle   Point        // px, of what gave the scale
	mmPerPx  float64      // at the middle
	residual float64      // px
	tilted   bool         // the plane includes the tilt
	tiltDeg  float64
	lean     Point   // px, direction in which the plane falls away, where the tilt is known without perspective
	camera   float64 // mm of the lens above the plane
	cameraSE float64
	stated   bool // the camera's distance is given or worked out, not assumed
	doubts   []say.Statement
}

// Usual distance of a telephone or camera from a watch on the table; assumed only
// where nothing better is known.
const (
	usualCameraMM   = 330.0
	usualCameraSEMM = 100.0
	edgeSE          = 0.08 // px, of an edge found: shading, blur and print; from the study
)

// pickSE is the standard error, px along each axis, of a place pointed at by hand: 1 px, more in
// large pictures, which are seen smaller than they are.
func (l light) pickSE() float64 { return max(1, math.Hypot(float64(l.w), float64(l.h))/2500) }

// newRuler works out the scale. tilt is a round part from which the tilt can be told
// where the scale itself does not tell it; nil for none.
func (l light) newRuler(p Picks, tilt *Ellipse) (ruler, error) {
	s := p.Scale
	if s == nil {
		return ruler{}, &PickError{Field: "scale", Found: "there is none",
			Want: "points, a square or a circle of known size"}
	}
	if err := s.check(); err != nil {
		return ruler{}, err
	}
	var r ruler
	var err error
	switch s.Kind {
	case "square":
		r, err = l.squareRuler(*s)
	case "circle":
		r, err = l.circleRuler(*s, tilt)
	default:
		r, err = l.pointsRuler(*s, tilt)
	}
	if err != nil {
		return ruler{}, err
	}
	r.kind = s.Kind
	r.relative = math.Hypot(r.relative, s.PlusMM/s.MM/2)
	j := r.plane.jacobian(r.middle)
	r.mmPerPx = math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	l.placeCamera(&r, p.Camera)
	return r, nil
}

// pointsRuler knows one length. Where a round part shows the tilt, the picture is
// stretched so that it becomes a circle.
func (l light) pointsRuler(s ScalePick, tilt *Ellipse) (ruler, error) {
	if err := l.need("scale.a", *s.A); err != nil {
		return ruler{}, err
	}
	if err := l.need("scale.b", *s.B); err != nil {
		return ruler{}, err
	}
	a, b, se := l.refineEnds(*s.A, *s.B, s.AsPicked)
	flat := Homography{1, 0, 0, 0, 1, 0, 0, 0, 1}
	r := ruler{middle: lerp(a, b, 0.5)}
	if tilt != nil && tilt.B > 0.75*tilt.A {
		flat = tilt.unitCircle().Inverse()
		sn, cs := math.Sincos(tilt.Angle)
		r.tilted, r.lean = true, Point{-sn, cs}
		r.tiltDeg = math.Acos(min(1, tilt.B/tilt.A)) * 180 / math.Pi
	}
	k := s.MM / distance(flat.Apply(a), flat.Apply(b))
	r.plane = Homography{k, 0, 0, 0, k, 0, 0, 0, 1}.Times(flat)
	r.relative = math.Sqrt2 * se / distance(a, b)
	r.residual = se
	return r, nil
}

// circleRuler knows one diameter; its ellipse shows the tilt, where it is round: a coin that was struck or worn out
// of round shows none. tilt is another round part, nil for none, which tells the two apart.
func (l light) circleRuler(s ScalePick, tilt *Ellipse) (ruler, error) {
	if err := l.need("scale.through", s.Through...); err != nil {
		return ruler{}, err
	}
	m, err := l.findRim(s.Through, freeCurve)
	if err != nil {
		return ruler{}, pickError("scale.through", "points well round the circle", "no circle fits them")
	}
	e := m.ellipse
	k := s.MM / 2
	sn, cs := math.Sincos(e.Angle)
	se := math.Hypot(m.radiusError(false), edgeSE)
	r := ruler{
		plane: Homography{k, 0, 0, 0, k, 0, 0, 0, 1}.Times(e.unitCircle().Inverse()), middle: Point{e.X, e.Y},
		relative: se / e.A, residual: m.residual, tilted: true, lean: Point{-sn, cs},
		tiltDeg: math.Acos(min(1, e.B/e.A)) * 180 / math.Pi,
	}
	if why := outOfRound(m, tilt); !why.IsZero() {
		l.withoutTilt(&r, m, s.MM, tilt)
		r.doubts = append(r.doubts, why)
	}
	return r, nil
}

// leastOval is the ratio of axes below which a coin with no other round part beside it is rather an oval one
// than seen at an angle: nobody photographs a watch at more than 30° to measure it.
const leastOval = 0.866

// outOfRound says why the form of a coin shows no tilt; a zero statement where it does.
func outOfRound(m rim, tilt *Ellipse) say.Statement {
	e := m.ellipse
	var off []float64
	for _, p := range m.points {
		off = append(off, e.Distance(p))
	}
	ragged := m.refined && madScale(off, median(off)) > max(0.008*e.A, 0.8)
	against := false
	if tilt != nil {
		// the forms of two round parts seen by one lens are alike
		a, b := e.B/e.A, tilt.B/tilt.A
		turn := math.Abs(math.Remainder(e.Angle-tilt.Angle, math.Pi))
		against = math.Abs(a-b) > 0.03 || min(a, b) < 0.95 && turn > 0.6
	}
	if ragged || against || tilt == nil && e.B/e.A < leastOval {
		return say.That("measured.coin", say.Fixed("by", 100*(1-e.B/e.A), say.Percent, 0))
	}
	return say.Statement{}
}

// withoutTilt takes the mean diameter of a coin that is out of round; the tilt is that of
// the other round part, or not known.
func (l light) withoutTilt(r *ruler, m rim, mm float64, tilt *Ellipse) {
	e := m.ellipse
	form := Ellipse{X: e.X, Y: e.Y, A: 1, B: 1}
	r.tilted, r.tiltDeg = false, 0
	if tilt != nil {
		form.B, form.Angle = tilt.B/tilt.A, tilt.Angle
		r.tilted, r.tiltDeg = true, math.Acos(min(1, form.B))*180/math.Pi
	}
	flat := form.unitCircle().Inverse()
	j := flat.jacobian(Point{})
	mean := math.Sqrt(e.A * e.B * math.Abs(j[0]*j[3]-j[1]*j[2]))
	k := mm / 2 / mean
	r.plane = Homography{k, 0, 0, 0, k, 0, 0, 0, 1}.Times(flat)
	r.relative = math.Hypot(r.relative, (e.A-e.B)/(e.A+e.B)/2)
}

// tiltOf is the tilt that would turn a circle into the ellipse of a linear map.
func tiltOf(j [4]float64) float64 {
	e, f, g, h := (j[0]+j[3])/2, (j[0]-j[3])/2, (j[2]+j[1])/2, (j[2]-j[1])/2
	q, p := math.Hypot(e, h), math.Hypot(f, g)
	if q+p == 0 {
		return 0
	}
	return math.Acos(min(1, math.Abs(q-p)/(q+p))) * 180 / math.Pi
}

// robustLine fits t = u + v·s by biweight from a median start.
func robustLine(s, t []float64) (u, v, scale, share float64) {
	if len(s) < 8 {
		return 0, 0, math.Inf(1), 0
	}
	u = median(t)
	for range 12 {
		res := make([]float64, len(s))
		for i := range s {
			res[i] = t[i] - u - v*s[i]
		}
		scale = max(madScale(res, 0), 0.03)
		var sw, sx, sy, sxx, sxy float64
		share = 0
		for i := range s {
			w := tukey(res[i], 4.685*scale)
			if w > 0 {
				share += 1 / float64(len(s))
			}
			sw, sx, sy, sxx, sxy = sw+w, sx+w*s[i], sy+w*t[i], sxx+w*s[i]*s[i], sxy+w*s[i]*t[i]
		}
		det := sw*sxx - sx*sx
		if !(det > 0) {
			return 0, 0, math.Inf(1), 0
		}
		u, v = (sy*sxx-sx*sxy)/det, (sw*sxy-sx*sy)/det
	}
	return u, v, scale, share
}

// refineEnds moves the ends of a length to edges across it where there is one clear
// edge close by; se is the standard error of one end along the length, px.
func (l light) refineEnds(a, b Point, asPicked bool) (Point, Point, float64) {
	pick := l.pickSE()
	d := b.sub(a).unit()
	if asPicked || !d.finite() {
		return a, b, pick
	}
	ta, ea := l.edgeNear(a, d, pick)
	tb, eb := l.edgeNear(b, d, pick)
	return a.add(d.times(ta)), b.add(d.times(tb)), math.Sqrt((ea*ea + eb*eb) / 2)
}

package photo

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"

	"gonum.org/v1/gonum/mat"
)

// Point is a place in px from the top left of the upright picture, or in mm on a
// plane: x to the right, y down.
type Point [2]float64

func (p Point) sub(q Point) Point      { return Point{p[0] - q[0], p[1] - q[1]} }
func (p Point) add(q Point) Point      { return Point{p[0] + q[0], p[1] + q[1]} }
func (p Point) times(k float64) Point  { return Point{k * p[0], k * p[1]} }
func (p Point) dot(q Point) float64    { return p[0]*q[0] + p[1]*q[1] }
func (p Point) cross(q Point) float64  { return p[0]*q[1] - p[1]*q[0] }
func (p Point) length() float64        { return math.Sqrt(p[0]*p[0] + p[1]*p[1]) }
func (p Point) unit() Point            { return p.times(1 / p.length()) }
func (p Point) finite() bool           { return finite(p[0]) && finite(p[1]) }
func finite(v float64) bool            { return !math.IsNaN(v) && !math.IsInf(v, 0) }
func lerp(p, q Point, t float64) Point { return p.add(q.sub(p).times(t)) }
func distance(p, q Point) float64      { return p.sub(q).length() }

// UnmarshalJSON reads [x, y] and nothing else.
func (p *Point) UnmarshalJSON(b []byte) error {
	var v []float64
	if err := json.Unmarshal(b, &v); err != nil || len(v) != 2 {
		return &json.UnmarshalTypeError{Value: "value that is no point [x, y]", Type: reflect.TypeFor[Point]()}
	}
	*p = Point{v[0], v[1]}
	return nil
}

// Homography maps a point (x, y, 1) to (X, Y, W), row by row; divide by W.
type Homography [9]float64

// Apply maps a point.
func (h Homography) Apply(p Point) Point {
	w := h[6]*p[0] + h[7]*p[1] + h[8]
	return Point{(h[0]*p[0] + h[1]*p[1] + h[2]) / w, (h[3]*p[0] + h[4]*p[1] + h[5]) / w}
}

// Times is the map that does g first and then h.
func (h Homography) Times(g Homography) (out Homography) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += h[3*i+k] * g[3*k+j]
			}
		}
	}
	return out
}

// Inverse is the map back, with the last element 1 where it is not 0.
func (h Homography) Inverse() Homography {
	a, b, c, d, e, f, g, i, j := h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]
	return Homography{
		e*j - f*i, c*i - b*j, b*f - c*e,
		f*g - d*j, a*j - c*g, c*d - a*f,
		d*i - e*g, b*g - a*i, a*e - b*d,
	}.scaled()
}

func (h Homography) scaled() Homography {
	k := h[8]
	if k == 0 {
		return h
	}
	for i := range h {
		h[i] /= k
	}
	return h
}

// jacobian is the local linear map at p: ∂X/∂x, ∂X/∂y, ∂Y/∂x, ∂Y/∂y.
func (h Homography) jacobian(p Point) [4]float64 {
	w := h[6]*p[0] + h[7]*p[1] + h[8]
	q := h.Apply(p)
	return [4]float64{(h[0] - q[0]*h[6]) / w, (h[1] - q[0]*h[7]) / w, (h[3] - q[1]*h[6]) / w, (h[4] - q[1]*h[7]) / w}
}

// ErrDegenerate is returned by fits whose points do not determine the figure.
var ErrDegenerate = errors.New("the points do not determine the figure")

// FitHomography is the homography that carries from[i] to to[i], by the normalised
// direct linear transform (Hartley and Zisserman 2004, algorithm 4.2): exact for four
// pairs, least algebraic error for more. Fewer pairs, or three of four on a line, are
// ErrDegenerate.
func FitHomography(from, to []Point) (Homography, error) {
	if len(from) != len(to) || len(from) < 4 {
		return Homography{}, ErrDegenerate
	}
	f, okF := normaliser(from)
	t, okT := normaliser(to)
	if !okF || !okT || len(from) == 4 && (anyCollinear(from) || anyCollinear(to)) {
		return Homography{}, ErrDegenerate
	}
	a := mat.NewDense(max(9, 2*len(from)), 9, nil)
	for i := range from {
		p, q := f.Apply(from[i]), t.Apply(to[i])
		a.SetRow(2*i, []float64{-p[0], -p[1], -1, 0, 0, 0, q[0] * p[0], q[0] * p[1], q[0]})
		a.SetRow(2*i+1, []float64{0, 0, 0, -p[0], -p[1], -1, q[1] * p[0], q[1] * p[1], q[1]})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThinV) {
		return Homography{}, ErrDegenerate
	}
	var v mat.Dense
	svd.VTo(&v)
	s := svd.Values(nil)
	if s[7] < 1e-9*s[0] {
		return Homography{}, ErrDegenerate
	}
	var h Homography
	for i := range h {
		h[i] = v.At(i, 8)
	}
	h = t.Inverse().Times(h).Times(f)
	if h[8] == 0 {
		return Homography{}, ErrDegenerate
	}
	return h.scaled(), nil
}

// normaliser moves points to mean 0 and mean distance √2.
func normaliser(ps []Point) (Homography, bool) {
	var m Point
	for _, p := range ps {
		if !p.finite() {
			return Homography{}, false
		}
		m = m.add(p.times(1 / float64(len(ps))))
	}
	d := 0.0
	for _, p := range ps {
		q := p.sub(m)
		d += q.dot(q) / float64(len(ps))
	}
	if !(d > 0) {
		return Homography{}, false
	}
	k := math.Sqrt(2 / d)
	return Homography{k, 0, -k * m[0], 0, k, -k * m[1], 0, 0, 1}, true
}

func anyCollinear(ps []Point) bool {
	for i := range ps {
		for j := range i {
			for k := range j {
				if collinear(ps[i], ps[j], ps[k]) {
					return true
				}
			}
		}
	}
	return false
}

// collinear reports whether three points lie on a line to within 1 part in 1,000 of
// their spread.
func collinear(a, b, c Point) bool {
	l := max(distance(a, b), distance(b, c), distance(a, c))
	return math.Abs(b.sub(a).cross(c.sub(a))) <= 1e-3*l*l
}

// FitSimilarity is the turn, scale and shift that carries from[i] to to[i] with the
// least sum of squares (Umeyama 1991, without reflection).
func FitSimilarity(from, to []Point) (Homography, error) {
	if len(from) != len(to) || len(from) < 2 {
		return Homography{}, ErrDegenerate
	}
	var mf, mt Point
	n := float64(len(from))
	for i := range from {
		mf, mt = mf.add(from[i].times(1/n)), mt.add(to[i].times(1/n))
	}
	var ss, re, im float64
	for i := range from {
		p, q := from[i].sub(mf), to[i].sub(mt)
		ss += p.dot(p)
		re += p.dot(q)
		im += p.cross(q)
	}
	if !(ss > 0) {
		return Homography{}, ErrDegenerate
	}
	re, im = re/ss, im/ss
	return Homography{re, -im, mt[0] - re*mf[0] + im*mf[1], im, re, mt[1] - im*mf[0] - re*mf[1], 0, 0, 1}, nil
}

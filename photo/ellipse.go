package photo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Ellipse is an ellipse in px or mm: half axes A ≥ B, Angle in radians from the x
// axis to the longer one, towards y.
type Ellipse struct{ X, Y, A, B, Angle float64 }

// FitEllipseAlgebraic is the direct fit of Fitzgibbon, Pilu and Fisher (1999) in the
// stable form of Halir and Flusser (1998). Fewer than five points, or points that no
// ellipse fits, are ErrDegenerate.
func FitEllipseAlgebraic(ps []Point) (Ellipse, error) { return ellipseWeighted(ps, nil) }

func ellipseWeighted(ps []Point, weight []float64) (Ellipse, error) {
	n, ok := normaliser(ps)
	if len(ps) < 5 || !ok {
		return Ellipse{}, ErrDegenerate
	}
	var s1, s2, s3 [9]float64
	for i, p := range ps {
		q, w := n.Apply(p), weightOf(weight, i)
		d1 := [3]float64{q[0] * q[0], q[0] * q[1], q[1] * q[1]}
		d2 := [3]float64{q[0], q[1], 1}
		for a := range 3 {
			for b := range 3 {
				s1[3*a+b] += w * d1[a] * d1[b]
				s2[3*a+b] += w * d1[a] * d2[b]
				s3[3*a+b] += w * d2[a] * d2[b]
			}
		}
	}
	conic, ok := directConic(s1, s2, s3)
	if !ok {
		return Ellipse{}, ErrDegenerate
	}
	e, ok := ellipseOfConic(conic)
	if !ok {
		return Ellipse{}, ErrDegenerate
	}
	c := n.Inverse().Apply(Point{e.X, e.Y})
	return Ellipse{c[0], c[1], e.A / n[0], e.B / n[0], e.Angle}, nil
}

// directConic solves the reduced eigenproblem of Halir and Flusser.
func directConic(s1, s2, s3 [9]float64) ([6]float64, bool) {
	var t, m mat.Dense
	a2 := mat.NewDense(3, 3, s2[:])
	if err := t.Solve(mat.NewDense(3, 3, s3[:]), a2.T()); err != nil {
		return [6]float64{}, false
	}
	m.Mul(a2, &t)
	m.Sub(mat.NewDense(3, 3, s1[:]), &m) // S1 − S2 S3⁻¹ S2ᵀ
	r := mat.NewDense(3, 3, nil)
	for j := range 3 {
		r.Set(0, j, m.At(2, j)/2)
		r.Set(1, j, -m.At(1, j))
		r.Set(2, j, m.At(0, j)/2)
	}
	var eig mat.Eigen
	if !eig.Factorize(r, mat.EigenRight) {
		return [6]float64{}, false
	}
	var v mat.CDense
	eig.VectorsTo(&v)
	for k := range 3 {
		a, b, c := real(v.At(0, k)), real(v.At(1, k)), real(v.At(2, k))
		if math.Abs(imag(v.At(0, k)))+math.Abs(imag(v.At(1, k))) > 0 || 4*a*c-b*b <= 0 {
			continue
		}
		out := [6]float64{a, b, c}
		for i := range 3 {
			out[3+i] = -(t.At(i, 0)*a + t.At(i, 1)*b + t.At(i, 2)*c)
		}
		return out, true
	}
	return [6]float64{}, false
}

// ellipseOfConic reads a x² + b xy + c y² + d x + e y + f = 0.
func ellipseOfConic(k [6]float64) (Ellipse, bool) {
	a, b, c, d, e, f := k[0], k[1]/2, k[2], k[3]/2, k[4]/2, k[5]
	det := a*c - b*b
	if !(det > 0) {
		return Ellipse{}, false
	}
	x, y := (b*e-c*d)/det, (b*d-a*e)/det
	k0 := a*x*x + 2*b*x*y + c*y*y + 2*d*x + 2*e*y + f
	half, diff := (a+c)/2, math.Hypot((a-c)/2, b)
	l1, l2 := half-diff, half+diff // half > diff in size as det > 0
	if half < 0 {
		l1, l2 = l2, l1
	}
	p, q := -k0/l1, -k0/l2
	if !(p > 0) || !(q > 0) {
		return Ellipse{}, false
	}
	angle := 0.5 * math.Atan2(2*b, a-c) // of the eigenvalue half+diff
	if half > 0 {
		angle += math.Pi / 2
	}
	return Ellipse{x, y, math.Sqrt(p), math.Sqrt(q), angle}.tidy(), true
}

// tidy puts the longer axis first and the angle between −π/2 and π/2.
func (e Ellipse) tidy() Ellipse {
	e.A, e.B = math.Abs(e.A), math.Abs(e.B)
	if e.B > e.A {
		e.A, e.B, e.Angle = e.B, e.A, e.Angle+math.Pi/2
	}
	e.Angle -= math.Pi * math.Round(e.Angle/math.Pi)
	return e
}

// FitEllipse is the ellipse with the least sum of squared distances from the points,
// from the direct fit (Gander, Golub and Strebel 1994 call it the geometric fit).
func FitEllipse(ps []Point) (Ellipse, error) { return fitEllipseWeighted(ps, nil) }

func fitEllipseWeighted(ps []Point, weight []float64) (Ellipse, error) {
	e, err := ellipseWeighted(ps, weight)
	if err != nil {
		return Ellipse{}, err
	}
	x := []float64{e.X, e.Y, e.A, e.B, e.Angle}
	minimise(x, len(ps), func(x []float64, i int, grad []float64) float64 {
		return ellipseResidual(Ellipse{x[0], x[1], x[2], x[3], x[4]}, ps[i], grad)
	}, weight)
	if slices.ContainsFunc(x, func(v float64) bool { return !finite(v) }) || x[2] == 0 || x[3] == 0 {
		return Ellipse{}, ErrDegenerate
	}
	return Ellipse{x[0], x[1], x[2], x[3], x[4]}.tidy(), nil
}

// ellipseResidual is the signed distance of p from the ellipse and its derivatives by
// centre, half axes and angle: those of the foot point along the normal.
func ellipseResidual(e Ellipse, p Point, grad []float64) float64 {
	sn, cs := math.Sincos(e.Angle)
	d := Point{p[0] - e.X, p[1] - e.Y}
	u, v := cs*d[0]+sn*d[1], -sn*d[0]+cs*d[1]
	foot := nearestOnEllipse(e.A, e.B, Point{u, v})
	c, s := foot[0]/e.A, foot[1]/e.B // cosine and sine of the parameter
	n := Point{c / e.A, s / e.B}
	if l := n.length(); l > 0 {
		n = n.times(1 / l)
	}
	r := Point{u, v}.sub(foot).dot(n)
	grad[0] = -(cs*n[0] - sn*n[1])
	grad[1] = -(sn*n[0] + cs*n[1])
	grad[2] = -c * n[0]
	grad[3] = -s * n[1]
	grad[4] = -(n[1]*foot[0] - n[0]*foot[1])
	return r
}

// Distance is how far a point lies outside the ellipse, along the normal.
func (e Ellipse) Distance(p Point) float64 {
	var g [5]float64
	return ellipseResidual(e, p, g[:])
}

// At is the point of the ellipse at a parameter and the outward unit normal there.
func (e Ellipse) At(t float64) (p, normal Point) {
	sn, cs := math.Sincos(e.Angle)
	s, c := math.Sincos(t)
	turn := func(u, v float64) Point { return Point{cs*u - sn*v, sn*u + cs*v} }
	return turn(e.A*c, e.B*s).add(Point{e.X, e.Y}), turn(c*e.B, s*e.A).unit()
}

// unitCircle carries the unit circle onto the ellipse, keeping directions: the
// symmetric square root of its form, so that a circle is only scaled and shifted.
func (e Ellipse) unitCircle() Homography {
	sn, cs := math.Sincos(e.Angle)
	a, b, c := e.A*cs*cs+e.B*sn*sn, (e.A-e.B)*sn*cs, e.A*sn*sn+e.B*cs*cs
	return Homography{a, b, e.X, b, c, e.Y, 0, 0, 1}
}

// nearestOnEllipse is the foot point on the ellipse with half axes a, b along x and y,
// by safeguarded Newton on the parameter (Eberly's bisection form).
func nearestOnEllipse(a, b float64, p Point) Point {
	a, b = math.Abs(a), math.Abs(b)
	x, y := math.Abs(p[0]), math.Abs(p[1])
	swap := b > a
	if swap {
		a, b, x, y = b, a, y, x
	}
	fx, fy := nearestInQuadrant(a, b, x, y)
	if swap {
		fx, fy = fy, fx
	}
	return Point{math.Copysign(fx, p[0]), math.Copysign(fy, p[1])}
}

// nearestInQuadrant assumes a ≥ b > 0 and x, y ≥ 0.
func nearestInQuadrant(a, b, x, y float64) (float64, float64) {
	if y == 0 {
		if k := a*a - b*b; k > 0 && a*x < k {
			u := a * x / k
			return a * u, b * math.Sqrt(max(0, 1-u*u))
		}
		return a, 0
	}
	if x == 0 {
		return 0, b
	}
	// g(t) = (a x/(t+a²))² + (b y/(t+b²))² − 1 falls from t = −b² on; convex, so
	// Newton from the left end of its root's bracket never overshoots.
	t := b*y - b*b
	if u := a*x - a*a; u > t {
		t = u
	}
	for range 100 {
		u, v := a*x/(t+a*a), b*y/(t+b*b)
		g := u*u + v*v - 1
		dg := -2 * (u*u/(t+a*a) + v*v/(t+b*b))
		step := g / dg
		t -= step
		if math.Abs(step) <= 1e-15*(math.Abs(t)+b*b) {
			break
		}
	}
	return a * a * x / (t + a*a), b * b * y / (t + b*b)
}

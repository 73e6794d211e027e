package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Circle is a circle in px or mm.
type Circle struct{ X, Y, R float64 }

// FitCircleAlgebraic is Kåsa's fit: least squares of x²+y²−2ax−2by−c. Fewer than
// three points, or all on a line, are ErrDegenerate.
func FitCircleAlgebraic(ps []Point) (Circle, error) {
	n, ok := normaliser(ps)
	if len(ps) < 3 || !ok {
		return Circle{}, ErrDegenerate
	}
	a, b := mat.NewDense(len(ps), 3, nil), mat.NewVecDense(len(ps), nil)
	for i, p := range ps {
		q := n.Apply(p)
		a.SetRow(i, []float64{2 * q[0], 2 * q[1], 1})
		b.SetVec(i, q.dot(q))
	}
	x, ok := leastSquares(a, b)
	if !ok {
		return Circle{}, ErrDegenerate
	}
	r := math.Sqrt(x[2] + x[0]*x[0] + x[1]*x[1])
	c := n.Inverse().Apply(Point{x[0], x[1]})
	return Circle{c[0], c[1], r / n[0]}, nil
}

// FitCircle is the circle with the least sum of squared distances from the points,
// by Gauss–Newton with Levenberg's damping from Kåsa's fit.
func FitCircle(ps []Point) (Circle, error) { return fitCircleWeighted(ps, nil) }

func fitCircleWeighted(ps []Point, weight []float64) (Circle, error) {
	c, err := FitCircleAlgebraic(ps)
	if err != nil {
		return Circle{}, err
	}
	x := []float64{c.X, c.Y, c.R}
	minimise(x, len(ps), func(x []float64, i int, grad []float64) float64 {
		d := Point{ps[i][0] - x[0], ps[i][1] - x[1]}
		l := max(d.length(), 1e-300)
		grad[0], grad[1], grad[2] = -d[0]/l, -d[1]/l, -1
		return l - x[2]
	}, weight)
	if !finite(x[0]) || !finite(x[1]) || !(x[2] > 0) {
		return Circle{}, ErrDegenerate
	}
	return Circle{x[0], x[1], x[2]}, nil
}

// leastSquares solves a·x = b; false where a has not full rank.
func leastSquares(a *mat.Dense, b *mat.VecDense) ([]float64, bool) {
	var qr mat.QR
	qr.Factorize(a)
	if c := qr.Cond(); !(c < 1e9) {
		return nil, false
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		return nil, false
	}
	return x.RawVector().Data, true
}

// minimise brings x to the least weighted sum of squares of n residuals (Levenberg
// 1944, Marquardt 1963). residual fills grad with its derivatives by x.
func minimise(x []float64, n int, residual func(x []float64, i int, grad []float64) float64, weight []float64) {
	k := len(x)
	grad, jtj, jtr := make([]float64, k), make([]float64, k*k), make([]float64, k)
	cost := func(x []float64) float64 {
		s := 0.0
		for i := range n {
			r := residual(x, i, grad)
			s += r * r * weightOf(weight, i)
		}
		return s
	}
	best, damp := cost(x), 1e-3
	for range 200 {
		clear(jtj)
		clear(jtr)
		for i := range n {
			w, r := weightOf(weight, i), residual(x, i, grad)
			for a := range k {
				jtr[a] += w * grad[a] * r
				for b := range k {
					jtj[a*k+b] += w * grad[a] * grad[b]
				}
			}
		}
		moved := false
		for range 30 {
			next, ok := dampedStep(x, jtj, jtr, damp)
			if !ok {
				damp *= 10
				continue
			}
			c := cost(next)
			if !(c <= best) {
				damp *= 10
				continue
			}
			step := 0.0
			for a := range x {
				step = max(step, math.Abs(next[a]-x[a])/(1+math.Abs(x[a])))
			}
			copy(x, next)
			best, damp, moved = c, max(damp/10, 1e-15), step > 1e-10
			break
		}
		if !moved {
			return
		}
	}
}

func dampedStep(x, jtj, jtr []float64, damp float64) ([]float64, bool) {
	k := len(x)
	a := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			a.SetSym(i, j, jtj[i*k+j])
		}
		a.SetSym(i, i, jtj[i*k+i]*(1+damp)+1e-300)
	}
	var ch mat.Cholesky
	if !ch.Factorize(a) {
		return nil, false
	}
	var d mat.VecDense
	if err := ch.SolveVecTo(&d, mat.NewVecDense(k, jtr)); err != nil {
		return nil, false
	}
	next := make([]float64, k)
	for i := range k {
		next[i] = x[i] - d.AtVec(i)
		if !finite(next[i]) {
			return nil, false
		}
	}
	return next, true
}

func weightOf(w []float64, i int) float64 {
	if w == nil {
		return 1
	}
	return w[i]
}

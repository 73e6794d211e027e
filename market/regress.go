package market

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Regression is a fitted linear regression.
type Regression struct {
	Coef  []float64
	SE    []float64
	Sigma float64 // residual standard deviation
	DF    int     // residual degrees of freedom
	RSS   float64 // weighted
	R2    float64 // against the mean; against zero without an intercept
	Resid []float64
	Cov   *mat.SymDense
}

// Regress is ordinary or weighted least squares by Householder QR on the design
// itself, whose columns are scaled to unit length first; the normal equations would
// lose half the digits. x has one row an observation; weight may be nil; intercept
// says that the first column of x is all ones. The arguments are not changed.
func Regress(x mat.Matrix, y, weight []float64, intercept bool) (*Regression, error) {
	n, p := x.Dims()
	if len(y) != n || (weight != nil && len(weight) != n) {
		return nil, fmt.Errorf("regression: %d rows, %d responses", n, len(y))
	}
	if n < p || p == 0 {
		return nil, fmt.Errorf("regression: %d rows do not determine %d coefficients", n, p)
	}
	a, scale, err := scaled(x, weight)
	if err != nil {
		return nil, err
	}
	b := mat.NewVecDense(n, nil)
	for i, v := range y {
		b.SetVec(i, v*root(weight, i))
	}
	var qr mat.QR
	qr.Factorize(a)
	var r mat.Dense
	qr.RTo(&r)
	for j := 0; j < p; j++ {
		if math.Abs(r.At(j, j)) < 1e-13 {
			return nil, fmt.Errorf("regression: column %d is a combination of the others", j)
		}
	}
	coef, err := qrSolve(&qr, a, b, p)
	if err != nil {
		return nil, err
	}
	out := &Regression{Coef: coef, DF: n - p}
	out.residuals(x, y, weight, scale, intercept)
	return out, out.errors(&r, p, scale)
}

func root(weight []float64, i int) float64 {
	if weight == nil {
		return 1
	}
	return math.Sqrt(weight[i])
}

func scaled(x mat.Matrix, weight []float64) (*mat.Dense, []float64, error) {
	n, p := x.Dims()
	a, scale := mat.NewDense(n, p, nil), make([]float64, p)
	for j := 0; j < p; j++ {
		for i := 0; i < n; i++ {
			v := x.At(i, j) * root(weight, i)
			a.Set(i, j, v)
			scale[j] = math.Hypot(scale[j], v)
		}
		if scale[j] == 0 || math.IsNaN(scale[j]) || math.IsInf(scale[j], 0) {
			return nil, nil, fmt.Errorf("regression: column %d is zero or not finite", j)
		}
		for i := 0; i < n; i++ {
			a.Set(i, j, a.At(i, j)/scale[j])
		}
	}
	return a, scale, nil
}

// qrSolve solves with one step of refinement on the residual.
func qrSolve(qr *mat.QR, a *mat.Dense, b *mat.VecDense, p int) ([]float64, error) {
	var x, res, dx mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		var cond mat.Condition
		if !errors.As(err, &cond) {
			return nil, fmt.Errorf("regression: %w", err)
		}
	}
	res.MulVec(a, &x)
	res.SubVec(b, &res)
	if err := qr.SolveVecTo(&dx, false, &res); err == nil || errors.As(err, new(mat.Condition)) {
		x.AddVec(&x, &dx)
	}
	out := make([]float64, p)
	for j := range out {
		out[j] = x.AtVec(j)
	}
	return out, nil
}

func (g *Regression) residuals(x mat.Matrix, y, weight, scale []float64, intercept bool) {
	for j := range g.Coef {
		g.Coef[j] /= scale[j]
	}
	var mean, total, sum float64
	if intercept {
		for i, v := range y {
			w := root(weight, i)
			mean += w * w * v
			sum += w * w
		}
		mean /= sum
	}
	g.Resid = make([]float64, len(y))
	for i, v := range y {
		fit := 0.0
		for j, c := range g.Coef {
			fit = math.FMA(c, x.At(i, j), fit)
		}
		g.Resid[i] = v - fit
		w := root(weight, i)
		g.RSS += w * w * g.Resid[i] * g.Resid[i]
		total += w * w * (v - mean) * (v - mean)
	}
	g.R2 = 1 - g.RSS/total
	if g.DF > 0 {
		g.Sigma = math.Sqrt(g.RSS / float64(g.DF))
	}
}

// errors sets the covariance σ²(R′R)⁻¹ and the standard errors.
func (g *Regression) errors(r *mat.Dense, p int, scale []float64) error {
	tri := mat.NewTriDense(p, mat.Upper, nil)
	for i := 0; i < p; i++ {
		for j := i; j < p; j++ {
			tri.SetTri(i, j, r.At(i, j))
		}
	}
	var inv mat.TriDense
	if err := inv.InverseTri(tri); err != nil && !errors.As(err, new(mat.Condition)) {
		return fmt.Errorf("regression: %w", err)
	}
	g.Cov = mat.NewSymDense(p, nil)
	g.SE = make([]float64, p)
	for i := 0; i < p; i++ {
		for j := i; j < p; j++ {
			var v float64
			for k := j; k < p; k++ {
				v += inv.At(i, k) * inv.At(j, k)
			}
			g.Cov.SetSym(i, j, g.Sigma*g.Sigma*v/(scale[i]*scale[j]))
		}
		g.SE[i] = math.Sqrt(g.Cov.At(i, i))
	}
	return nil
}

// Predict is x′b with the interval of the given probability content for a new
// observation: x′b ± t·σ·√(1 + x′(X′X)⁻¹x).
func (g *Regression) Predict(x []float64, level float64) (fit, low, high float64) {
	var v float64
	for i, a := range x {
		fit += a * g.Coef[i]
		for j, b := range x {
			v += a * b * g.Cov.At(i, j)
		}
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(g.DF)}.Quantile((1 + level) / 2)
	h := t * math.Sqrt(g.Sigma*g.Sigma+v)
	return fit, fit - h, fit + h
}

// Kennedy is the percentage effect 100·exp(δ − ½·Var δ) of a dummy variable in a
// regression of logs (Kennedy 1981): e^δ alone is too high on average.
func Kennedy(delta, se float64) float64 { return 100 * math.Exp(delta-se*se/2) }

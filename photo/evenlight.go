package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// evenLight takes the fall of light across the dial out of the colours of plots: ln Y =
// c + gx·x + gy·y + k·class by a robust fit, where there are eight plots or more and the
// fall is clear. at are frame coordinates. It returns the colours as they would be in
// the light of the middle of the dial, and the fall from edge to edge as a share.
func evenLight(labs []Lab, at []Point, class []bool) ([]Lab, float64) {
	out := append([]Lab(nil), labs...)
	k := 3
	if a, b := split(labs, class); len(a) >= 2 && len(b) >= 4 {
		k = 4
	}
	n := len(labs)
	if n < k+5 {
		return out, 0
	}
	rows := func(i int) []float64 {
		r := []float64{1, at[i][0], at[i][1], 0}
		if class[i] {
			r[3] = 1
		}
		return r[:k]
	}
	y := make([]float64, n)
	for i, c := range labs {
		y[i] = math.Log(max(c.XYZ()[1], 1e-6))
	}
	x, cov, ok := robustLinear(rows, y, k)
	if !ok {
		return out, 0
	}
	// F for both slopes against 0; 6 is near the 98 % point for 2 and 8
	det := cov[1]*cov[2] - cov[0]*cov[0]
	f := (x[1]*x[1]*cov[2] - 2*x[1]*x[2]*cov[0] + x[2]*x[2]*cov[1]) / det / 2
	if !(f > 6) {
		return out, 0
	}
	for i, c := range labs {
		g := math.Exp(-(x[1]*at[i][0] + x[2]*at[i][1]))
		v := c.XYZ()
		out[i] = XYZ{g * v[0], g * v[1], g * v[2]}.Lab()
	}
	return out, 1 - math.Exp(-2*math.Hypot(x[1], x[2]))
}

// robustLinear fits y = row·x by least absolute deviations and then the biweight. cov
// holds the covariance of x[1] and x[2] and their variances.
func robustLinear(rows func(int) []float64, y []float64, k int) (x []float64, cov [3]float64, ok bool) {
	n := len(y)
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
	}
	x = make([]float64, k)
	for round := range 40 {
		info, rhs := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
		for i := range n {
			r := rows(i)
			for a := range k {
				rhs.SetVec(a, rhs.AtVec(a)+w[i]*r[a]*y[i])
				for b := a; b < k; b++ {
					info.SetSym(a, b, info.At(a, b)+w[i]*r[a]*r[b])
				}
			}
		}
		var ch mat.Cholesky
		if !ch.Factorize(info) || ch.Cond() > 1e8 {
			return nil, cov, false
		}
		var sol mat.VecDense
		if ch.SolveVecTo(&sol, rhs) != nil {
			return nil, cov, false
		}
		copy(x, sol.RawVector().Data)
		res := make([]float64, n)
		for i := range n {
			res[i] = y[i]
			for a, v := range rows(i) {
				res[i] -= v * x[a]
			}
		}
		scale := max(madScale(res, 0)*math.Sqrt(float64(n)/float64(n-k)), 0.004)
		sum := 0.0
		for i := range w {
			if round < 20 {
				w[i] = 1 / max(math.Abs(res[i]), 0.003)
			} else {
				w[i] = tukey(res[i], 4.685*scale)
			}
			sum += w[i]
		}
		if round == 39 {
			var inv mat.SymDense
			if ch.InverseTo(&inv) != nil {
				return nil, cov, false
			}
			v := scale * scale
			cov = [3]float64{v * inv.At(1, 2), v * inv.At(1, 1), v * inv.At(2, 2)}
		}
	}
	return x, cov, true
}

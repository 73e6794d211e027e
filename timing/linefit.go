package timing

import "math"

// lineFit is the line through the times of the beats: beat k is expected at
// a + k·period, odd ones later by skew.
type lineFit struct {
	a, period, skew    float64 // s
	sePeriod, seSkew   float64
	sigma              float64 // s, robust scatter of single beats
	used               float64 // sum of the weights
	weights, residuals []float64
}

func (f lineFit) at(k int) float64 {
	t := f.a + float64(k)*f.period
	if k%2 != 0 {
		t += f.skew
	}
	return t
}

// fitLine fits by iterated weighted least squares with Tukey's bisquare
// (tuning 4.685) on the scale of the median absolute deviation, starting from
// Huber weights, so that beats lost in noise do not pull. Odd and even beats have one
// slope and two intercepts, so that the beat error drops out of the rate.
func fitLine(bs []beat) lineFit {
	n := len(bs)
	w, r := make([]float64, n), make([]float64, n)
	for i := range w {
		w[i] = math.Max(bs[i].fits, 0.01)
	}
	k0 := bs[n/2].k
	var f lineFit
	for it := range 30 {
		prev := f.period
		solve(&f, bs, w, k0)
		abs := make([]float64, n)
		for i, b := range bs {
			r[i] = b.at - f.at(b.k)
			abs[i] = math.Abs(r[i])
		}
		f.sigma = math.Max(1.4826*median(abs), 1e-7)
		for i, v := range abs {
			u := v / f.sigma
			switch {
			case it < 5: // Huber, to get near
				w[i] = math.Min(1, 1.345/math.Max(u, 1e-9))
			case u < 4.685:
				q := 1 - (u/4.685)*(u/4.685)
				w[i] = q * q
			default:
				w[i] = 0
			}
		}
		if it > 8 && math.Abs(f.period-prev) < 1e-13 {
			break
		}
	}
	f.weights, f.residuals = w, r
	f.errors(bs, k0)
	return f
}

// moments are the sums of the normal equations for columns 1, odd, k.
func moments(bs []beat, w []float64, k0 int) (m [3][3]float64, v [3]float64) {
	for i, b := range bs {
		x := [3]float64{1, 0, float64(b.k - k0)}
		if b.k%2 != 0 {
			x[1] = 1
		}
		for p := range x {
			for q := range x {
				m[p][q] += w[i] * x[p] * x[q]
			}
			v[p] += w[i] * x[p] * (b.at - bs[0].at)
		}
	}
	return m, v
}

func solve(f *lineFit, bs []beat, w []float64, k0 int) {
	m, v := moments(bs, w, k0)
	inv, ok := invert3(m)
	if !ok {
		return
	}
	var x [3]float64
	for p := range x {
		for q := range v {
			x[p] += inv[p][q] * v[q]
		}
	}
	f.skew, f.period = x[1], x[2]
	f.a = bs[0].at + x[0] - float64(k0)*x[2]
}

// errors gives standard errors from the weighted scatter, widened where residuals
// of neighbouring beats go together.
func (f *lineFit) errors(bs []beat, k0 int) {
	m, _ := moments(bs, f.weights, k0)
	inv, ok := invert3(m)
	if !ok {
		return
	}
	sw, ss, pair, n := 0.0, 0.0, 0.0, 0.0
	for i, w := range f.weights {
		sw += w
		ss += w * f.residuals[i] * f.residuals[i]
		if i >= 2 && w > 0.2 && f.weights[i-2] > 0.2 {
			pair += f.residuals[i] * f.residuals[i-2]
			n++
		}
	}
	f.used = sw
	s2 := ss / math.Max(sw-3, 1)
	grow := 1.0
	if n > 5 && s2 > 0 {
		rho := math.Min(pair/n/s2, 0.9)
		if rho > 2/math.Sqrt(n) {
			grow = (1 + rho) / (1 - rho)
		}
	}
	// Bisquare weights shrink the scatter (1.10 and the square of 1.03 make up for it,
	// as for errors of a normal distribution). The template is learned from the very
	// beats that are then set against it, which shrinks it further, the more the fewer
	// they are: the share of 12 beats is what made recordings of 10 and 30 s bear out.
	s2 *= 1.10 * 1.06 * (1 + 12/math.Max(sw, 1))
	f.sePeriod = math.Sqrt(s2 * inv[2][2] * grow)
	f.seSkew = math.Sqrt(s2 * inv[1][1])
}

func invert3(m [3][3]float64) (out [3][3]float64, ok bool) {
	for i := range 3 {
		for j := range 3 {
			a, b := (j+1)%3, (j+2)%3
			c, d := (i+1)%3, (i+2)%3
			out[i][j] = m[a][c]*m[b][d] - m[a][d]*m[b][c]
		}
	}
	det := m[0][0]*out[0][0] + m[0][1]*out[1][0] + m[0][2]*out[2][0]
	if math.Abs(det) < 1e-12 {
		return out, false
	}
	for i := range 3 {
		for j := range 3 {
			out[i][j] /= det
		}
	}
	return out, true
}

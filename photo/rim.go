package photo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// rim is the edge of a round part as found in the picture.
type rim struct {
	points   []Point // px, sub-pixel
	weights  []float64
	ellipse  Ellipse // px
	residual float64 // px, root mean square of the points used
	noise    float64 // px, standard error of one independent point
	share    float64 // of the way round where the edge was found
	refined  bool
}

// curve fits an ellipse in px to weighted points in px.
type curve func(ps []Point, w []float64) (Ellipse, error)

// freeCurve fits an ellipse where there are points for one, and a circle otherwise.
func freeCurve(ps []Point, w []float64) (Ellipse, error) {
	if len(ps) >= 5 {
		if e, err := fitEllipseWeighted(ps, w); err == nil && e.B > 0.75*e.A {
			return e, nil
		}
	}
	c, err := fitCircleWeighted(ps, w)
	return Ellipse{c.X, c.Y, c.R, c.R, 0}, err
}

// planeCurve fits a circle on a plane that h carries px to.
func planeCurve(h Homography) curve {
	back := h.Inverse()
	return func(ps []Point, w []float64) (Ellipse, error) {
		flat := make([]Point, len(ps))
		for i, p := range ps {
			flat[i] = h.Apply(p)
		}
		c, err := fitCircleWeighted(flat, w)
		if err != nil {
			return Ellipse{}, err
		}
		return pictureOf(back, c)
	}
}

// pictureOf is the picture of a circle on a plane.
func pictureOf(toPx Homography, c Circle) (Ellipse, error) {
	var ring []Point
	for i := range 12 {
		s, cs := math.Sincos(2 * math.Pi * float64(i) / 12)
		ring = append(ring, toPx.Apply(Point{c.X + c.R*cs, c.Y + c.R*s}))
	}
	return FitEllipseAlgebraic(ring)
}

// findRim looks for the edge of a round part near rough points. The picks say which
// of several rings is meant; edge points are then taken all round; those off the common
// curve lose their weight. Where too few are found the picks themselves stay.
func (l light) findRim(through []Point, fit curve) (rim, error) {
	e, err := fit(through, nil)
	if err != nil {
		return rim{}, err
	}
	r := rim{points: through, ellipse: e}
	r.residual = rms(e, through, nil)
	r.noise = max(l.pickSE(), r.residual)
	if e.A < 8 || e.B < 0.5*e.A {
		return r, nil
	}
	start, miss := e, l.missOf(e, through)
	for _, arc := range []float64{0.3, 0.6, math.Pi, math.Pi} {
		found, ok := l.rimPass(e, through, fit, miss, arc)
		if !ok {
			return r, nil
		}
		e, miss = found.ellipse, max(0.8, miss/2)
		if arc >= math.Pi && found.share > 0.1 {
			r = found
		}
	}
	if r.refined && l.strayed(e, through) {
		return rim{points: through, ellipse: start, residual: rms(start, through, nil),
			noise: max(l.pickSE(), rms(start, through, nil))}, nil
	}
	return r, nil
}

// strayed reports whether a curve lies to one side of the picks by more than hands
// miss: another ring than the one meant.
func (l light) strayed(e Ellipse, through []Point) bool {
	mean := 0.0
	for _, p := range through {
		mean += e.Distance(p) / float64(len(through))
	}
	s := max(l.pickSE(), rms(e, through, nil)/2)
	return math.Abs(mean) > 0.5+2.5*s/math.Sqrt(float64(len(through)))
}

// missOf is how far a curve through rough points may be off, px: the standard error of
// one point, from their residuals where there are enough and the usual otherwise,
// spread over the points.
func (l light) missOf(e Ellipse, through []Point) float64 {
	n, usual := float64(len(through)), l.pickSE()
	free := max(n-3, 0)
	sum := rms(e, through, nil)
	s := math.Sqrt((4*usual*usual + n*sum*sum) / (4 + free))
	return min(max(s*math.Sqrt(3/n), 1), 6)
}

// rimPass finds edge points within arc of the picks and fits the curve to them. miss is
// the standard error of the present curve.
func (l light) rimPass(e Ellipse, through []Point, fit curve, miss, arc float64) (rim, bool) {
	half := max(3, 2.5*miss)
	n := min(360, max(90, int(2*e.A)))
	var w way
	for i := range n {
		p, nrm := e.At(2 * math.Pi * float64(i) / float64(n))
		if !nearAny(e, p, through, arc) || !l.inside(p, half+3) {
			continue
		}
		if s := l.edgesAcross(p, nrm, half, 1); len(s) > 0 {
			w.at, w.spots, w.normals = append(w.at, p), append(w.spots, s), append(w.normals, nrm)
		}
	}
	if len(w.at) < 12 {
		return rim{}, false
	}
	return w.settle(e, fit, n, half, miss)
}

// way is what was seen across an expected edge.
type way struct {
	at, normals []Point
	spots       [][]edgeSpot
}

// settle chooses one spot at each place and fits, again and again, until the choice
// holds.
func (w way) settle(e Ellipse, fit curve, n int, half, miss float64) (rim, bool) {
	sign := commonSign(w.spots, half)
	ring := w.ring(sign, miss)
	ps, ws, strength := make([]Point, len(w.at)), make([]float64, len(w.at)), make([]float64, len(w.at))
	off := make([]float64, len(w.at))
	now, spread := e, max(1, 0.6*miss)
	for range 8 {
		for i := range w.at {
			ps[i], strength[i] = pickSpot(now, w.at[i], w.normals[i], w.spots[i], sign, ring, spread)
			off[i] = now.Distance(ps[i])
		}
		m, strong := median(off), upperQuartile(strength)
		scale := max(madScale(off, m), 0.12)
		for i := range ps {
			k := min(1, strength[i]/strong)
			ws[i] = tukey(off[i]-m, 4.685*scale) * k * k
		}
		next, err := fit(ps, ws)
		if err != nil || distance(Point{next.X, next.Y}, Point{e.X, e.Y}) > 2*half || math.Abs(next.A-e.A) > 2*half {
			return rim{}, false
		}
		still := math.Abs(next.A-now.A)+math.Abs(next.B-now.B)+distance(Point{next.X, next.Y},
			Point{now.X, now.Y}) < 0.005
		now, ring, spread = next, 0, max(1, min(spread, 2*scale))
		if still {
			break
		}
	}
	out := rim{points: ps, weights: ws, ellipse: now, refined: true, residual: rms(now, ps, ws)}
	used, res := 0.0, []float64(nil)
	for i, k := range ws {
		used += k
		if k > 0 {
			res = append(res, now.Distance(ps[i]))
		}
	}
	rho := lagOne(res)
	out.share = used / float64(n)
	out.noise = max(out.residual, 0.05) * math.Sqrt((1+rho)/(1-rho))
	return out, true
}

// ring is the offset from the expected curve at which the strongest common edge lies,
// nearer ones preferred as the picks allow.
func (w way) ring(sign, miss float64) float64 {
	best, at := 0.0, 0.0
	for o := -2.5 * miss; o <= 2.5*miss; o += 0.25 {
		sum := 0.0
		for _, list := range w.spots {
			one := 0.0
			for _, s := range list {
				d := (s.t - o) / max(1, 0.6*miss)
				v := math.Abs(s.slope) * math.Exp(-0.5*d*d)
				if sign*s.slope < 0 {
					v *= 0.25
				}
				one = max(one, v)
			}
			sum += one
		}
		if sum *= math.Exp(-0.5 * o * o / (miss * miss)); sum > best {
			best, at = sum, o
		}
	}
	return at
}

// nearAny reports whether p lies within an angle of one of the picks, seen from the
// middle.
func nearAny(e Ellipse, p Point, picks []Point, arc float64) bool {
	if arc >= math.Pi {
		return true
	}
	c := Point{e.X, e.Y}
	a := p.sub(c)
	for _, q := range picks {
		b := q.sub(c)
		if math.Abs(math.Atan2(a.cross(b), a.dot(b))) <= arc {
			return true
		}
	}
	return false
}

// commonSign is +1 or −1 where two thirds of the edge strength rise or fall outwards,
// 0 where they are mixed.
func commonSign(spots [][]edgeSpot, half float64) float64 {
	up, down := 0.0, 0.0
	for _, list := range spots {
		for _, s := range list {
			w := math.Exp(-2 * (s.t / half) * (s.t / half))
			if s.slope > 0 {
				up += w * s.slope
			} else {
				down -= w * s.slope
			}
		}
	}
	switch {
	case up > 2*down:
		return 1
	case down > 2*up:
		return -1
	}
	return 0
}

// pickSpot is the edge point that agrees best with the present curve, shifted outwards
// by ring, and its strength.
func pickSpot(e Ellipse, p, n Point, spots []edgeSpot, sign, ring, spread float64) (Point, float64) {
	best, out, slope := -1.0, p, 0.0
	for _, s := range spots {
		q := p.add(n.times(s.t))
		d := (e.Distance(q) - ring) / spread
		w := math.Abs(s.slope) * math.Exp(-0.5*d*d)
		if sign*s.slope < 0 {
			w *= 0.25
		}
		if w > best {
			best, out, slope = w, q, math.Abs(s.slope)
		}
	}
	return out, slope
}

func upperQuartile(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)*3/4]
}

// rms is the weighted root mean square distance from the curve.
func rms(e Ellipse, ps []Point, w []float64) float64 {
	s, n := 0.0, 0.0
	for i, p := range ps {
		d, k := e.Distance(p), weightOf(w, i)
		s += k * d * d
		n += k
	}
	if !(n > 0) {
		return 0
	}
	return math.Sqrt(s / n)
}

// radiusError is the standard error in px of the long half axis: of a circle, where
// the tilt is known, or of a free ellipse.
func (r rim) radiusError(tiltKnown bool) float64 {
	k := 3
	if !tiltKnown && len(r.points) >= 5 {
		k = 5
	}
	info := mat.NewSymDense(k, nil)
	var g [5]float64
	for i, p := range r.points {
		ellipseResidual(r.ellipse, p, g[:])
		d := g[:]
		if k == 3 {
			d = []float64{g[0], g[1], g[2] + g[3]}
		}
		w := weightOf(r.weights, i)
		for a := range k {
			for b := a; b < k; b++ {
				info.SetSym(a, b, info.At(a, b)+w*d[a]*d[b])
			}
		}
	}
	if k == 5 { // the angle of a near circle is free and does not matter
		info.SetSym(4, 4, info.At(4, 4)+1e-3*info.At(0, 0)*r.ellipse.A*r.ellipse.A)
	}
	var inv mat.SymDense
	var ch mat.Cholesky
	if !ch.Factorize(info) || ch.InverseTo(&inv) != nil {
		return r.noise
	}
	return r.noise * math.Sqrt(inv.At(2, 2))
}

package draw

import (
	"image"
	"math"
)

// SideTruth says where the thickness of a side view lies, in pixels.
type SideTruth struct {
	MMPerPx     float64
	Top, Bottom Point // crystal and case back: ThicknessMM apart
	Crown       [2]Point
}

// CrownSide draws the watch from the side of the crown, standing on its back.
func CrownSide(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, w.sideScale(s)))
	c.ground(s, "paper", w.Seed+3)
	T := w.ThicknessMM
	c.soft(0, roundRect(-w.MidCaseMM*0.45, T/2-0.3, w.MidCaseMM*0.45, T/2+1.2, 0.6), nil, 1.1, rgb{}, 0.55)
	c.sideCase(w)
	c.sideCrown(w)
	return c.finish(s, w.Seed+3)
}

func (w Watch) sideScale(s Shot) float64 {
	return s.fit(w.LugToLugMM*1.18, w.ThicknessMM*2.0)
}

// TruthOfSide is the truth of CrownSide.
func TruthOfSide(w Watch, s Shot) SideTruth {
	w, s = w.complete(), s.complete()
	mm := w.sideScale(s)
	h := newCamera(s, mm).plane(0)
	at := func(x, y float64) Point { a, b := h.Apply(x, y); return Point{a, b} }
	T := w.ThicknessMM
	return SideTruth{MMPerPx: mm, Top: at(0, -T/2), Bottom: at(0, T/2),
		Crown: [2]Point{at(0, w.sideCrownY()-w.CrownMM/2), at(0, w.sideCrownY()+w.CrownMM/2)}}
}

func (w Watch) sideCrownY() float64 { return w.ThicknessMM * (0.5 - 0.43) }

func (c *canvas) sideCase(w Watch) {
	a, b := alloyOf(w.Metal), w.accent()
	T, R, L := w.ThicknessMM, w.MidCaseMM/2, w.LugToLugMM/2
	bot := T / 2
	y := func(k float64) float64 { return bot - k*T } // k: share of the thickness from below
	// crystal
	dome := cubic(pt{-w.DialMM / 2, y(0.86)}, pt{-w.DialMM * 0.40, y(1.015)}, pt{-w.DialMM * 0.22, y(1.0)},
		pt{0, y(1)}, 24)
	for i := len(dome) - 1; i >= 0; i-- {
		dome = append(dome, pt{-dome[i].X, dome[i].Y})
	}
	c.fill(0, orient(path{dome}), func(px, py float64) (rgb, float32) {
		k := smoothstep(y(0.86), y(1), py)
		return hex(0x9fa9b0).mix(hex(0xeef3f5), float32(k*(0.55+0.45*smoothNoise(px*0.25, 0, 3)))), 0.85
	})
	// back
	c.fill(0, orient(polygon(pt{-R * 0.86, y(0.16)}, pt{R * 0.86, y(0.16)}, pt{R * 0.70, y(0.0)},
		pt{-R * 0.70, y(0.0)})),
		a.rod(pt{0, y(0.14)}, pt{1, 0}, 0.17*T, 0.9, 0.4))
	// bezel
	B := w.BezelMM / 2
	bez := orient(polygon(pt{-B, y(0.63)}, pt{-B, y(0.74)}, pt{-B + 1.1, y(0.87)}, pt{B - 1.1, y(0.87)}, pt{B, y(0.74)},
		pt{B, y(0.63)}))
	c.fill(0, bez, func(px, py float64) (rgb, float32) {
		v := (py - y(0.75)) / (0.13 * T)
		u := math.Max(-0.98, math.Min(0.98, px/B))
		n := vec{u, 0.75 * v, math.Sqrt(1-u*u) + 0.05}
		col := b.shade(n.norm(), 0.2)
		if w.Bezel == "dive" || w.Bezel == "fluted" {
			col = col.scale(float32(0.74 + 0.26*math.Cos(110*math.Asin(u))))
		}
		return col, 1
	})
	c.fill(0, rect(-B+0.2, y(0.635), B-0.2, y(0.615)), flat(rgb{0.06, 0.06, 0.06}))
	// band of the case, running out into the lugs
	k := 0.55 + 0.35*w.Polish
	top := cubic(pt{0, y(0.62)}, pt{R * 0.9, y(0.62)}, pt{L * 0.86, y(0.60)}, pt{L - 0.3*k, y(0.14)}, 40)
	bottom := cubic(pt{L - 0.6*k, y(0.06)}, pt{L * 0.80, y(0.26)}, pt{R * 0.9, y(0.16)}, pt{0, y(0.16)}, 40)
	half := append(top, bottom...)
	ring := append([]pt(nil), half...)
	for i := len(half) - 1; i >= 0; i-- {
		ring = append(ring, pt{-half[i].X, half[i].Y})
	}
	c.fill(0, path{ring}, func(px, py float64) (rgb, float32) {
		v := (py - y(0.40)) / (0.3 * T)
		u := px / L
		return a.brushed(px, py, vec{0.55 * u, 0.28 * v, 1}.norm(), pt{1, 0}, w.Seed+33), 1
	})
	bev := append([]pt(nil), top...)
	for i := len(top) - 1; i >= 0; i-- {
		t := float64(i) / float64(len(top)-1)
		bev = append(bev, top[i].add(pt{-0.25 * t, (0.45 + 0.25*t) * (1 - 0.7*w.Polish)}))
	}
	for _, f := range []float64{1, -1} {
		c.fill(0, orient(path{bev}.flip(pt{f, 1})), func(px, py float64) (rgb, float32) {
			return a.shade(vec{0.3 * px / L, -0.75, 0.65}.norm(), 0.2+0.4*w.Polish), 1
		})
		c.fill(0, circle(pt{f * (L - 2.3), y(0.27)}, 0.5), flat(rgb{0.08, 0.08, 0.08}))
	}
}

func (c *canvas) sideCrown(w Watch) {
	m := w.accent()
	at := pt{0, w.sideCrownY()}
	h := w.CrownMM / 2
	c.soft(0, circle(at.add(pt{0.35, 0.5}), h), nil, 0.45, rgb{}, 0.6)
	n := w.crownFlutes() * 1.4
	c.fill(0, circle(at, h), func(x, y float64) (rgb, float32) {
		dx, dy := x-at.X, y-at.Y
		r, t := math.Hypot(dx, dy), math.Atan2(dy, dx)
		if r > h*0.86 {
			return m.lit(0.35 + 0.35*smoothstep(-0.3, 0.5, math.Cos(n*t)) + 0.2*math.Cos(t+2.2)), 1
		}
		u := r / h
		s, cs := math.Sincos(0.5 * u * u * u)
		return m.shade(vec{s * dx / math.Max(r, 1e-9), s * dy / math.Max(r, 1e-9), cs}, 0.25), 1
	})
	c.fill(0, annulus(at, h*0.84, h*0.87), thin(rgb{}, 0.4))
	if w.Kind != "chronograph" {
		return
	}
	for _, f := range []float64{-1, 1} {
		p := pt{f * w.MidCaseMM / 2 * math.Sin(0.5) * 1.05, at.Y}
		c.soft(0, circle(p.add(pt{0.25, 0.35}), 1.35), nil, 0.3, rgb{}, 0.55)
		c.fill(0, circle(p, 1.35), m.domed(p, 0, 1.35, 0, 0.9, 0.2))
	}
}

package draw

import (
	"image"
	"math"
)

// engrave cuts a path into metal: dark, with a light edge to the lower right.
func (c *canvas) engrave(z float64, p path, depth float64, tone rgb) {
	c.fill(z, p.move(pt{depth, depth}), thin(rgb{1, 1, 0.97}, 0.45))
	c.fill(z, p, thin(tone, 0.78))
}

// CaseBack draws the watch from behind, with its engraving and marks.
func CaseBack(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	f := math.Max(w.LugToLugMM*1.12, w.MidCaseMM+2*w.CrownMM)
	mm := s.fit(f, f)
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mm))
	c.ground(s, "linen", w.Seed+2)
	flip := func(p path) path { return p.mirror() }
	c.soft(0, flip(w.silhouette()).move(pt{1.6, 2.4}), nil, 2.6, rgb{0.02, 0.02, 0.03}, 0.5)
	c.soft(0, flip(w.silhouette()).move(pt{0.5, 0.7}), nil, 0.7, rgb{0.02, 0.02, 0.03}, 0.45)
	c.band(w, math.Min(reach(s, mm), 110))
	c.backCrown(w)
	c.lugs(w)
	c.midCase(w)
	c.backDisc(w)
	c.scratches(0, circle(pt{}, w.MidCaseMM/2), w.MidCaseMM/2, w.Scratches, w.Seed+7)
	return c.finish(s, w.Seed+2)
}

func (c *canvas) backCrown(w Watch) {
	r, h := w.MidCaseMM/2, w.CrownMM/2
	x1 := -(r + 0.12 + w.crownLength())
	c.flutedRod(0, roundRect(x1, -h, -(r+0.12), h, 0.3), w.accent(), pt{}, h, w.crownFlutes())
}

func (c *canvas) backDisc(w Watch) {
	a := alloyOf(w.Metal)
	R := w.MidCaseMM/2 - 1.1
	dark := rgb{0.10, 0.09, 0.08}
	c.fill(0, annulus(pt{}, R*0.86, R), a.domed(pt{}, R*0.86, R, 0.2, 0.9, 0.3))
	c.fill(0, annulus(pt{}, R*0.855, R*0.87), thin(dark, 0.5))
	c.fill(0, circle(pt{}, R*0.86), func(x, y float64) (rgb, float32) {
		r, t := math.Hypot(x, y), math.Atan2(y, x)
		g := 0.6*streak(r*15, w.Seed+50) + 0.4*streak(r*37+0.6*math.Sin(3*t), w.Seed+51)
		sheen := math.Pow(math.Abs(math.Cos(t+0.75)), 5)
		n := vec{0.07 * x / R, 0.07 * y / R, 1}.norm()
		return a.lit(0.50 + 0.36*sheen + 0.05*g + 0.5*n.x*0), 1
	})
	if w.Back.Screwed {
		for i := range 6 {
			n := roundRect(-0.85, -R-0.1, 0.85, -R*0.90, 0.2).turn(float64(i) * math.Pi / 3)
			c.fill(0, n, thin(dark, 0.72))
			c.fill(0, n.move(pt{0.08, 0.1}), thin(rgb{1, 1, 1}, 0.12))
		}
	}
	if w.Back.Screws {
		c.backScrews(R, w.Seed)
	}
	d := R * 0.0035
	if len(w.Back.Lines) > 0 {
		c.engrave(0, textArcWithin(2.7, sans, w.Back.Lines[0], 0.080*R, 0.22, 0.72*R, 0, false), d, dark)
	}
	if len(w.Back.Lines) > 1 {
		c.engrave(0, textArcWithin(2.7, sans, w.Back.Lines[1], 0.075*R, 0.22, 0.72*R, math.Pi, true), d, dark)
	}
	for i := 2; i < len(w.Back.Lines); i++ {
		c.engrave(0, text(serifItalic, w.Back.Lines[i], 0.085*R, 0.05).move(pt{0, R * (-0.22 + 0.17*float64(i-2))}), d,
			dark)
	}
	if w.Back.Serial != "" {
		c.engrave(0, text(sans, w.Back.Serial, 0.10*R, 0.18).move(pt{0, 0.30 * R}), d, dark)
	}
	for i, m := range w.Back.Marks {
		x := (float64(i) - float64(len(w.Back.Marks)-1)/2) * 0.30 * R
		half := 0.12 * R
		c.engrave(0, path{circleRing(pt{x, -0.38 * R}, half, half*0.62, false),
			circleRing(pt{x, -0.38 * R}, half*0.9, half*0.54, true)}, d, dark)
		c.engrave(0, text(sansBold, m, 0.055*R, 0.04).move(pt{x, -0.38 * R}), d*0.7, dark)
	}
}

// backScrews are four screws through the rim of the back.
func (c *canvas) backScrews(r float64, seed uint64) {
	st := alloys["steel"]
	for i := range 4 {
		at := polar(0.93*r, math.Pi/4+float64(i)*math.Pi/2)
		c.fill(0, circle(at, 0.062*r), thin(rgb{0.05, 0.05, 0.05}, 0.6))
		c.fill(0, circle(at, 0.052*r), st.domed(at, 0, 0.052*r, 0, 0.6, 0.3))
		turn := (&die{seed: seed + uint64(i)}).unit() * math.Pi
		c.fill(0, rect(-0.05*r, -0.008*r, 0.05*r, 0.008*r).turn(turn).move(at), flat(rgb{0.03, 0.03, 0.03}))
	}
}

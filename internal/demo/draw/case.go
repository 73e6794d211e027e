package draw

import "math"

// lugShape is the upper right lug, seen from above.
type lugShape struct {
	outline path
	outer   []pt // outer edge from the tip to the case
	bevel   path
}

func (w Watch) lug() lugShape {
	r, x0, tip := w.MidCaseMM/2, w.LugWidthMM/2, -w.LugToLugMM/2
	width := (0.058*w.MidCaseMM + 0.3) * (1 - 0.16*w.Polish)
	corner := math.Min(0.30+0.60*w.Polish, width*0.45)
	a := 66 * math.Pi / 180
	foot := polar(r*0.998, a)
	back := pt{-math.Cos(a), -math.Sin(a)}
	long := foot.Y - tip
	top := pt{x0 + width + 0.06*long*0.35, tip + 0.35*long*0.5}
	shoulder := pt{x0 + width, tip + corner}
	outer := cubic(pt{x0 + width - corner, tip}, pt{x0 + width - 0.35*corner, tip},
		pt{x0 + width, tip + 0.35*corner}, shoulder, 8)
	outer = append(outer, cubic(shoulder, top.add(pt{0.25, 0.22 * long}), foot.add(back.times(0.40*long)),
		foot, 48)[1:]...)
	ring := []pt{{x0, -r * 0.35}, {x0, tip + corner*0.7}}
	ring = append(ring, cubic(pt{x0, tip + corner*0.7}, pt{x0, tip + 0.2*corner}, pt{x0 + 0.3*corner, tip},
		pt{x0 + corner*0.8, tip}, 6)[1:]...)
	ring = append(ring, outer...)
	ring = append(ring, pt{foot.X * 0.6, foot.Y * 0.6})
	return lugShape{outline: path{ring}, outer: outer, bevel: bevelOf(outer, 0.85*(1-0.75*w.Polish))}
}

// bevelOf is the chamfer along an outer edge: nothing at the tip, widest at two
// fifths of the way, running out again where the lug meets the case.
func bevelOf(outer []pt, width float64) path {
	bevel := append([]pt(nil), outer...)
	for i := len(outer) - 1; i >= 0; i-- {
		t := float64(i) / float64(len(outer)-1)
		d := outer[min(i+1, len(outer)-1)].sub(outer[max(i-1, 0)]).norm()
		k := smoothstep(0, 0.30, t) * (1 - 0.45*smoothstep(0.55, 1, t))
		bevel = append(bevel, outer[i].add(pt{-d.Y, d.X}.times(width*(0.12+0.88*k))))
	}
	return path{bevel}
}

// flips are the four lugs as mirrorings of the upper right one.
var flips = [4]pt{{1, 1}, {1, -1}, {-1, -1}, {-1, 1}}

func (p path) flip(f pt) path { return p.each(func(q pt) pt { return pt{q.X * f.X, q.Y * f.Y} }) }

func (c *canvas) lugs(w Watch) {
	a := alloyOf(w.Metal)
	l := w.lug()
	z := w.zLugs()
	polished := w.Kind == "dress"
	for i, f := range flips {
		seed := w.Seed + uint64(i)*31
		soft := 0.15 + 0.5*w.Polish
		c.fill(z, l.outline.flip(f), func(x, y float64) (rgb, float32) {
			// lugs fall away towards the tips and, where polished, towards the edge
			down := smoothstep(w.MidCaseMM*0.30, w.LugToLugMM/2, math.Abs(y))
			n := vec{0.10 * f.X * soft, f.Y * -0.34 * down, 1}
			if polished {
				u := (math.Abs(x) - w.LugWidthMM/2) / 2.6
				n.x = f.X * (0.55*u - 0.2)
				return a.shade(n.norm(), 0.2+0.2*w.Polish), 1
			}
			return a.brushed(x, y, n.norm(), pt{0.12 * f.X, 1}, seed), 1
		})
		c.fill(z, l.bevel.flip(f), func(x, y float64) (rgb, float32) {
			down := smoothstep(w.MidCaseMM*0.30, w.LugToLugMM/2, math.Abs(y))
			n := vec{f.X * 0.62, -f.Y * (0.18 + 0.35*down), 0.80}
			return a.shade(n.norm(), 0.18+0.5*w.Polish), 1
		})
		// the inside of the lug turns away into shadow
		x := w.LugWidthMM / 2
		edge := rect(x, -w.LugToLugMM/2+0.8, x+0.16, -w.MidCaseMM*0.3).flip(f)
		c.fill(z, edge, thin(rgb{0.03, 0.03, 0.03}, 0.45))
	}
}

// midCase is the case band that shows around the bezel.
func (c *canvas) midCase(w Watch) {
	r := w.MidCaseMM / 2
	a := alloyOf(w.Metal)
	z := w.zMidCase()
	in := math.Min(w.BezelMM/2, r) - 0.6
	turn := a.domed(pt{}, in, r, 0.10, 1.02, 0.30+0.35*w.Polish)
	c.fill(z, annulus(pt{}, in-0.2, r), func(x, y float64) (rgb, float32) {
		col, k := turn(x, y)
		t := math.Atan2(y, x)
		s := float32(0.02 * streak(math.Hypot(x, y)*14+0.3*streak(t*3, w.Seed), w.Seed+77))
		return col.add(s), k
	})
	c.soft(z, annulus(pt{0.25, 0.4}, w.BezelMM/2-1, w.BezelMM/2+0.25), circle(pt{}, r), 0.35, rgb{}, 0.55)
}

// guards are shoulders of the case at both sides of the crown.
func (c *canvas) guards(w Watch) {
	r, half := w.MidCaseMM/2, w.CrownMM/2+0.25
	a := alloyOf(w.Metal)
	for _, s := range []float64{1, -1} {
		root := polar(r-0.4, math.Pi/2+s*0.52)
		tip := pt{r + 0.34*w.CrownMM, s * half}
		base := pt{r - 0.8, s * half}
		ring := append([]pt{base, tip}, cubic(tip.add(pt{0, s * 0.5}), tip.add(pt{-0.4, s * 1.6}),
			root.add(pt{1.0, s * -1.4}), root, 16)...)
		c.fill(w.zMidCase(), orient(path{ring}), func(x, y float64) (rgb, float32) {
			return a.brushed(x, y, vec{0.2, s * 0.1, 1}, pt{0.05, 1}, w.Seed+5), 1
		})
	}
}

// crownLength is how far the crown stands out, from the case.
func (w Watch) crownLength() float64 { return 0.46 * w.CrownMM }

func (c *canvas) crown(w Watch) {
	r, h := w.MidCaseMM/2, w.CrownMM/2
	a := w.accent()
	z := w.zMidCase()
	x0, x1 := r-0.5, r+0.12+w.crownLength()
	c.fill(z, rect(x0, -0.55*h, r+0.4, 0.55*h), a.rod(pt{}, pt{1, 0}, h*0.55, 0.95, 0.3))
	c.flutedRod(z, roundRect(r+0.12, -h, x1, h, 0.28+0.2*w.Polish), a, pt{}, h, w.crownFlutes())
	c.fill(z, roundRect(x1-0.45, -h*0.93, x1+0.12, h*0.93, 0.3), a.rod(pt{}, pt{1, 0}, h, 0.9, 0.35))
	if w.SecondCrown {
		c.secondCrown(w)
	}
	if w.Kind != "chronograph" || w.Pushers == "" {
		return
	}
	for _, s := range []float64{1, -1} {
		c.pusher(w, s)
	}
}

// secondCrown stands at 2 and is like the first, a little smaller.
func (c *canvas) secondCrown(w Watch) {
	r, h := w.MidCaseMM/2, 0.42*w.CrownMM
	a, z := w.accent(), w.zMidCase()
	const angle = -math.Pi / 6
	axis := pt{math.Cos(angle), math.Sin(angle)}
	out := r + 0.12 + 0.85*w.crownLength()
	place := func(p path) path { return p.turn(angle) }
	c.fill(z, place(rect(r-0.5, -0.55*h, r+0.4, 0.55*h)), a.rod(pt{}, axis, 0.55*h, 0.95, 0.3))
	c.fill(z, place(roundRect(r+0.12, -h, out, h, 0.3)), a.rod(pt{}, axis, h, 0.95, 0.3))
	for i := -4; i <= 4; i++ {
		y := h * math.Sin(float64(i)*math.Pi/9.5)
		c.fill(z, place(rect(r+0.2, y-0.05, out-0.3, y+0.05)), thin(rgb{}, 0.45))
	}
}

func (w Watch) crownFlutes() float64 {
	switch w.CrownStyle {
	case "fine":
		return 56
	case "onion":
		return 18
	}
	return 34
}

// flutedRod paints a fluted knob with its axis along x.
func (c *canvas) flutedRod(z float64, p path, a alloy, at pt, h, flutes float64) {
	c.fill(z, p, func(x, y float64) (rgb, float32) {
		u := math.Max(-0.995, math.Min(0.995, (y-at.Y)/h))
		ang := math.Asin(u)
		cut := math.Cos(flutes * ang)
		s, cs := math.Sincos(ang + 0.62*math.Sin(flutes*ang))
		col := a.shade(vec{0.05, s, cs}, 0.30)
		return col.scale(float32(0.80 + 0.20*cut)), 1
	})
}

func (c *canvas) pusher(w Watch, s float64) {
	r := w.MidCaseMM / 2
	a := w.accent()
	z := w.zMidCase()
	angle := s * 0.50
	place := func(p path) path { return p.turn(angle) }
	axis := pt{math.Cos(angle), math.Sin(angle)}
	stem, cap := 0.8, 1.35
	if w.Pushers == "screwed" {
		cap = 1.6
	}
	c.fill(z, place(rect(r-0.6, -stem, r+1.0, stem)), a.rod(pt{}, axis, stem, 0.95, 0.25))
	c.fill(z, place(roundRect(r+0.95, -cap, r+2.35, cap, 0.3)), a.rod(pt{}, axis, cap, 0.95, 0.25))
	if w.Pushers == "screwed" {
		c.flutedRod(z, place(roundRect(r-0.1, -cap, r+0.9, cap, 0.2)), a, pt{0, r * math.Sin(angle)}, cap*1.02, 26)
	}
	c.fill(z, place(rect(r+0.93, -cap, r+1.02, cap)), thin(rgb{}, 0.5))
}

// silhouette is the outline of the whole watch, for its shadow.
func (w Watch) silhouette() path {
	p := circle(pt{}, math.Max(w.MidCaseMM, w.BezelMM)/2)
	l := w.lug()
	for _, f := range flips {
		p = append(p, orient(l.outline.flip(f))...)
	}
	r := w.MidCaseMM / 2
	return append(p, rect(r-1, -w.CrownMM/2, r+0.12+w.crownLength(), w.CrownMM/2)...)
}

func (c *canvas) shadow(w Watch) {
	p := w.silhouette()
	t := w.ThicknessMM
	c.soft(0, p.move(pt{0.16 * t, 0.26 * t}), nil, 0.30*t, rgb{0.02, 0.02, 0.03}, 0.50)
	c.soft(0, p.move(pt{0.05 * t, 0.08 * t}), nil, 0.08*t, rgb{0.02, 0.02, 0.03}, 0.45)
}

// flank draws the side of the case where relief lets it be seen.
func (c *canvas) flank(w Watch) {
	if c.cam.relief == 0 {
		return
	}
	a := alloyOf(w.Metal)
	const layers = 10
	for i := range layers {
		z := w.zMidCase() * (0.25 + 0.75*float64(i)/layers)
		k := 0.25 + 0.45*float64(i)/layers
		c.fill(z, w.silhouette(), func(x, y float64) (rgb, float32) {
			n := pt{x, y}.norm()
			return a.shade(vec{n.X * 0.9, n.Y * 0.9, 0.35}, 0.5).scale(float32(k)), 1
		})
	}
}

// scratches are fine lines that catch the light.
func (c *canvas) scratches(z float64, within path, reach float64, amount float64, seed uint64) {
	d := die{seed: seed + 0x5c4a}
	for range int(amount * 70) {
		at := pt{d.between(-reach, reach), d.between(-reach, reach)}
		a, long := d.between(0, 2*math.Pi), d.between(0.4, 4)
		dir := pt{math.Cos(a), math.Sin(a)}
		bend := dir.left().times(d.between(-0.3, 0.3))
		line := cubic(at, at.add(dir.times(long/3)).add(bend), at.add(dir.times(2*long/3)).add(bend),
			at.add(dir.times(long)), 8)
		tone := rgb{0.95, 0.95, 0.93}
		if d.unit() < 0.4 {
			tone = rgb{0.05, 0.05, 0.05}
		}
		c.fillIn(z, stroke(line, d.between(0.02, 0.05)), within, thin(tone, float32(d.between(0.10, 0.35))))
	}
}

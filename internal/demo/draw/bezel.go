package draw

import "math"

// bezel paints the bezel and the flange that leads down to the dial.
func (c *canvas) bezel(w Watch) {
	r1, r0 := w.BezelMM/2, w.DialMM/2
	z := w.zBezel()
	switch w.Bezel {
	case "fluted":
		c.flutedBezel(w, z, r0, r1)
	case "dive":
		c.insertBezel(w, z, r0, r1, true)
	case "tachy":
		c.insertBezel(w, z, r0, r1, false)
	case "ring":
		c.innerRing(w, z, r0, r1)
	default:
		c.plainBezel(w, z, r0, r1)
	}
	c.rim(w, z, r0)
}

func (c *canvas) plainBezel(w Watch, z, r0, r1 float64) {
	a := w.accent()
	rough := 0.06 + 0.12*w.Polish
	c.fill(z, annulus(pt{}, r0, r1), a.domed(pt{}, r0, r1, -0.42, 0.98, rough))
	c.fill(z, annulus(pt{}, r1-0.09, r1), thin(rgb{0.02, 0.02, 0.02}, 0.35))
}

func (c *canvas) flutedBezel(w Watch, z, r0, r1 float64) {
	a := w.accent()
	soft := 0.7 - 0.35*w.Polish
	mid := r1 - 0.42*(r1-r0)
	c.fill(z, annulus(pt{}, r0, r1), a.domed(pt{}, r0, mid, -0.35, 0.75, 0.10))
	const flutes = 150
	c.fill(z, annulus(pt{}, mid, r1), func(x, y float64) (rgb, float32) {
		t := math.Atan2(y, x)
		ph := math.Mod(t*flutes/(2*math.Pi)+flutes, 1)
		tri := 2*ph - 1 // one facet rises, the other falls
		side := soft
		if tri < 0 {
			side = -soft
		}
		edge := smoothstep(0.0, 0.22, math.Abs(tri)) * smoothstep(1.0, 0.85, math.Abs(tri))
		s, cs := math.Sincos(t)
		n := vec{0.80*cs - side*s, 0.80*s + side*cs, 0.75}
		return a.shade(n, 0.15).scale(float32(0.55 + 0.45*edge)), 1
	})
	c.fill(z, annulus(pt{}, mid-0.05, mid+0.05), thin(rgb{0.03, 0.03, 0.02}, 0.4))
}

// insertBezel is a bezel with a coloured insert and a scale on it.
func (c *canvas) insertBezel(w Watch, z, r0, r1 float64, dive bool) {
	a := w.accent()
	c.fill(z, annulus(pt{}, r0, r1), a.domed(pt{}, r0, r1, -0.5, 0.95, 0.12))
	if dive {
		const teeth = 120
		c.fill(z, annulus(pt{}, r1-0.55, r1), func(x, y float64) (rgb, float32) {
			t := math.Atan2(y, x)
			cut := math.Sin(t * teeth)
			s, cs := math.Sincos(t)
			return a.shade(vec{0.75*cs - 0.5*cut*s, 0.75*s + 0.5*cut*cs, 0.6},
				0.25).scale(float32(0.72 + 0.28*smoothstep(-0.7, 0.4, cut))), 1
		})
	}
	in, out := r0+0.55, r1-0.68
	base := colourOf("black")
	if w.InsertColour != "" {
		base = colourOf(w.InsertColour)
	}
	base = base.mix(hex(0x7d7b78), float32(0.55*w.InsertFade))
	c.fill(z, annulus(pt{}, in, out), func(x, y float64) (rgb, float32) {
		r, t := math.Hypot(x, y), math.Atan2(y, x)
		sheen := 0.09*math.Pow(math.Abs(math.Cos(t+0.9)), 10) + 0.04*math.Pow(math.Abs(math.Cos(t-0.6)), 24)
		ring := 0.012 * streak(r*17, w.Seed+3)
		fade := 0.05 * w.InsertFade * cloud(x/4, y/4, w.Seed+8)
		return base.add(float32(sheen + ring + fade)), 1
	})
	c.fill(z, annulus(pt{}, out-0.05, out+0.05), thin(rgb{}, 0.5))
	c.fill(z, annulus(pt{}, in-0.05, in+0.05), thin(rgb{}, 0.5))
	mark := hex(0xd8d6d0).mix(hex(0xc9b78c), 0.35)
	if dive {
		c.diveScale(w, z, in, out, mark)
	} else {
		c.unitScale(z, in, out, mark)
	}
	c.scratches(z, annulus(pt{}, in, out), r1, 0.35*w.Scratches, w.Seed+40)
}

// innerRing is a turning ring under the crystal, inside a plain bezel.
func (c *canvas) innerRing(w Watch, z, r0, r1 float64) {
	mid := r0 + 0.68*(r1-r0)
	base := colourOf("black")
	if w.InsertColour != "" {
		base = colourOf(w.InsertColour)
	}
	base = base.mix(hex(0x7d7b78), float32(0.4*w.InsertFade))
	c.fill(w.zDial(), annulus(pt{}, r0, mid), func(x, y float64) (rgb, float32) {
		return base.add(float32(0.012 * smoothNoise(x*16, y*16, w.Seed+9))), 1
	})
	c.diveScale(w, w.zDial(), r0+0.15, mid-0.1, hex(0xdedbd2))
	c.soft(w.zDial(), annulus(pt{0.4, 0.6}, mid, mid+4), circle(pt{}, mid), 0.4, rgb{}, 0.45)
	c.plainBezel(w, z, mid, r1)
}

// diveScale marks 60 minutes: figures each ten, bars each five, ticks to 15. A scale
// of twice thirty minutes begins again at the half hour.
func (c *canvas) diveScale(w Watch, z, in, out float64, mark rgb) {
	d := out - in
	ink := flat(mark)
	for m := range 60 {
		a := float64(m) * math.Pi / 30
		if w.TwiceThirty {
			m %= 30
		}
		switch {
		case m == 0:
			kite := polygon(pt{-0.40 * d, -out + 0.16*d}, pt{0.40 * d, -out + 0.16*d}, pt{0.0, -in - 0.10*d})
			c.fill(z, kite.turn(a), ink)
			pip := labToRGB(w.Plots[0].Lab)
			c.fill(z, circle(pt{0, -in - 0.58*d}, 0.17*d).turn(a), flat(rgb{0.1, 0.1, 0.1}))
			c.fill(z, circle(pt{0, -in - 0.58*d}, 0.145*d).turn(a), flat(pip))
		case m%10 == 0:
			c.fill(z, textArc(sansBold, itoa(m), 0.50*d, 0.05, pt{}, in+0.5*d, a, false), ink)
		case m%5 == 0:
			c.fill(z, rect(-0.10*d, -in-0.74*d, 0.10*d, -in-0.26*d).turn(a), ink)
		case m < 15 && m != 9 && m != 11: // the figure 10 stands there
			c.fill(z, rect(-0.045*d, -in-0.62*d, 0.045*d, -in-0.36*d).turn(a), ink)
		}
	}
}

// unitScale marks units an hour against seconds: 3600 / seconds.
func (c *canvas) unitScale(z, in, out float64, mark rgb) {
	d := out - in
	ink := flat(mark)
	for _, v := range []int{400, 300, 250, 200, 170, 150, 130, 120, 110, 100, 90, 85, 80, 75, 70, 65, 60} {
		a := 2 * math.Pi * 60 / float64(v)
		c.fill(z, textArc(sansBold, itoa(v), 0.34*d, 0.02, pt{}, in+0.60*d, a, false), ink)
		c.fill(z, polygon(pt{-0.09 * d, -in - 0.10*d}, pt{0.09 * d, -in - 0.10*d}, pt{0, -in - 0.30*d}).turn(a), ink)
	}
	c.fill(z, textArc(sans, "UNITS AN HOUR", 0.21*d, 0.16, pt{}, in+0.60*d, 0.52, false), ink)
}

// rim is the flange inside the bezel and the edge of the crystal.
func (c *canvas) rim(w Watch, z, r0 float64) {
	a := alloyOf(w.Metal)
	c.fill(z, annulus(pt{}, r0, r0+0.34), a.domed(pt{}, r0, r0+0.34, -1.15, -0.85, 0.35))
	c.fill(z, annulus(pt{}, r0+0.30, r0+0.40), thin(rgb{0.01, 0.01, 0.01}, 0.5))
}

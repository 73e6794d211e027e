package draw

import "math"

// plotAt is the middle of the plot of an hour, and its shape about that point.
func (w Watch) plotAt(l layout, hour int) (pt, path, float64) {
	a := hourAngle(float64(hour))
	at := polar(l.plotR, a)
	s := l.plotSize
	switch w.PlotStyle {
	case "round":
		switch hour {
		case 0: // two bars side by side
			one := roundRect(-1.18*s, -1.35*s, -0.16*s, 1.35*s, 0.2*s)
			return at, append(one, roundRect(0.16*s, -1.35*s, 1.18*s, 1.35*s, 0.2*s)...).move(at), s
		case 3, 6, 9:
			return at, roundRect(-0.62*s, -1.40*s, 0.62*s, 1.40*s, 0.25*s).turn(a).move(at), s * 0.62
		}
		return at, circle(at, s), s
	case "bar":
		return at, roundRect(-0.55*s, -1.7*s, 0.55*s, 1.7*s, 0.15*s).turn(a).move(at), s * 0.55
	}
	return at, roundRect(-s, -s, s, s, 0.25*s).turn(a).move(at), s
}

// inner is the radius about plotAt that is surely inside the plot, and where
// its colour is flat. For 12 on a round-plot dial it lies in the right-hand bar.
func (w Watch) plotCore(l layout, hour int) (pt, float64) {
	at, _, s := w.plotAt(l, hour)
	if w.PlotStyle == "round" && hour == 0 {
		return at.add(pt{0.67 * l.plotSize, 0}), 0.36 * l.plotSize
	}
	return at, 0.72 * s
}

func (w Watch) plotShown(l layout, hour int) bool {
	if w.PlotStyle == "none" || w.Plots[hour].Absent {
		return false
	}
	at, _, s := w.plotAt(l, hour)
	if w.DateWindow && hour == 3 && w.PlotStyle != "square" {
		return false
	}
	for _, g := range l.registers {
		if at.sub(g.at).length() < g.r+0.6*s {
			return false
		}
	}
	return true
}

// plot paints the luminous mass of one hour: flat colour with a fine grain that
// averages out, a raised rim, and chips where it is damaged.
func (c *canvas) plot(w Watch, z float64, l layout, hour int, s Shot) {
	if !w.plotShown(l, hour) {
		return
	}
	p := w.Plots[hour]
	at, shape, size := w.plotAt(l, hour)
	if w.PlotStyle == "round" && p.Marker {
		m := alloyOf(w.Hands.Metal)
		c.soft(z, shape.move(pt{0.10, 0.15}), nil, 0.10, rgb{}, 0.6)
		grown := shape.each(func(
			q pt) pt {
			d := q.sub(at)
			return at.add(d.times(1 + 0.20/math.Max(d.length(), 0.3)))
		})
		c.fill(z, grown, m.domed(at, size, size+0.22, -0.6, 0.9, 0.15))
	} else if !s.PlainLight {
		c.soft(z, shape.move(pt{0.05, 0.07}), nil, 0.06, rgb{}, 0.35)
	}
	c.fill(z, shape, w.lumeShader(p.Lab, p.Texture, uint64(hour)))
	if p.Damage > 0 {
		d := die{seed: w.Seed + uint64(hour)*97}
		bare := colourOf(w.DialColour).mix(hex(0x54463a), 0.4)
		for range 2 + int(p.Damage*6) {
			side := polar(size*d.between(0.75, 1.2), d.between(0, 2*math.Pi))
			c.fillIn(z, blob(at.add(side), size*(0.15+0.38*p.Damage), &d), shape, flat(bare))
		}
	}
}

// lumeShader gives a colour in CIELAB with a grain of mean zero in L*.
func (w Watch) lumeShader(lab Lab, texture float64, salt uint64) shader {
	base := labToRGB(lab)
	up := labToRGB(Lab{lab[0] + 5, lab[1], lab[2]})
	slope := rgb{up[0] - base[0], up[1] - base[1], up[2] - base[2]}
	seed := w.Seed + 0x1ea + salt*131
	k := float32(texture / 5)
	return func(x, y float64) (rgb, float32) {
		// value noise at unrelated scales has a standard deviation near 0.36
		g := float32(smoothNoise(x*31, y*31, seed)+smoothNoise(x*13, y*13, seed+1)) * k * 1.9 * 0.5
		return rgb{base[0] + slope[0]*g, base[1] + slope[1]*g, base[2] + slope[2]*g}, 1
	}
}

// marker paints the applied metal marker of an hour, or the printed figure.
func (c *canvas) marker(w Watch, z float64, l layout, hour int) {
	if w.PlotStyle == "round" {
		return // the plot is the marker
	}
	if !w.Plots[hour].Marker && w.PlotStyle != "none" {
		if w.PlotStyle == "square" {
			c.figure(w, z, l, hour)
		}
		return
	}
	if w.DateWindow && hour == 3 {
		return
	}
	in, out := l.markIn, l.markOut
	for _, g := range l.registers {
		if d := g.at.length(); d > 0 &&
			math.Abs(math.Remainder(math.Atan2(g.at.X, -g.at.Y)-hourAngle(float64(hour)), 2*math.Pi)) < 0.2 {
			in = math.Max(in, d+g.r+0.05*l.r)
		}
	}
	if out-in < 0.03*l.r {
		return
	}
	double := hour == 0
	offs := []float64{0}
	if double {
		offs = []float64{-1.25 * l.markHalf, 1.25 * l.markHalf}
	}
	for _, o := range offs {
		c.baton(w, z, hourAngle(float64(hour)), o, in, out, l.markHalf)
	}
}

// baton is an applied marker with a roof: two facets that catch different light.
func (c *canvas) baton(w Watch, z, a, off, in, out, half float64) {
	m := alloyOf(w.Hands.Metal)
	place := func(p path) path { return p.move(pt{off, 0}).turn(a) }
	whole := place(rect(-half, -out, half, -in))
	c.soft(z, whole.move(pt{0.12, 0.18}), nil, 0.12, rgb{}, 0.55)
	s, cs := math.Sincos(a)
	left, right := vec{-0.55 * cs, -0.55 * s, 0.83}, vec{0.55 * cs, 0.55 * s, 0.83}
	e := half * 0.8
	c.fill(z, place(polygon(pt{-half, -out}, pt{0, -out + e}, pt{0, -in - e}, pt{-half, -in})), m.facet(left, w.Seed))
	c.fill(z, place(polygon(pt{half, -out}, pt{half, -in}, pt{0, -in - e}, pt{0, -out + e})), m.facet(right, w.Seed+1))
	c.fill(z, place(polygon(pt{-half, -out}, pt{half, -out}, pt{0, -out + e})),
		m.facet(vec{0.6 * s, -0.6 * cs, 0.8}, w.Seed+2))
	c.fill(z, place(polygon(pt{-half, -in}, pt{0, -in - e}, pt{half, -in})),
		m.facet(vec{-0.6 * s, 0.6 * cs, 0.8}, w.Seed+3))
}

// figure prints the hour where no marker is applied.
func (c *canvas) figure(w Watch, z float64, l layout, hour int) {
	n := hour
	if n == 0 {
		n = 12
	}
	at := polar(0.715*l.r, hourAngle(float64(hour)))
	for _, g := range l.registers {
		if at.sub(g.at).length() < g.r+0.06*l.r {
			return
		}
	}
	if w.DateWindow && hour == 3 {
		return
	}
	c.fill(z, text(serif, itoa(n), 0.125*l.r, 0).move(at), flat(w.ink()))
}

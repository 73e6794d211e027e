package draw

import "math"

// bandHalf is half the width of the band at a distance y from the middle.
func (w Watch) bandHalf(y float64) float64 {
	from := w.MidCaseMM / 2
	full := w.Band.PitchMM * float64(w.Band.LengthLinks)
	t := clamp01((math.Abs(y) - from - 4) / math.Max(full-4, 1))
	return (w.LugWidthMM-0.3)/2 + (w.Band.TaperMM-w.LugWidthMM)/2*t
}

// band paints the strap or bracelet above and below the case as far as seen.
func (c *canvas) band(w Watch, reach float64) {
	switch w.Band.Kind {
	case "none":
		c.springBars(w)
	case "strap":
		for _, s := range []float64{-1, 1} {
			c.leather(w, s, reach)
		}
	default:
		for _, s := range []float64{-1, 1} {
			c.links(w, s, reach)
		}
	}
}

func (c *canvas) springBars(w Watch) {
	x := w.LugWidthMM / 2
	y := w.LugToLugMM/2 - 2.2
	for _, s := range []float64{-1, 1} {
		c.fill(w.zLugs(), rect(-x, s*y-0.85, x, s*y+0.85), alloys["steel"].rod(pt{0, s * y}, pt{1, 0}, 0.85, 0.95, 0.3))
	}
}

func (c *canvas) leather(w Watch, side, reach float64) {
	z := w.zLugs()
	y0 := w.MidCaseMM/2 - 0.4
	base := map[string]rgb{"brown": hex(0x5b3520), "black": hex(0x262425), "tan": hex(0x9a6336),
		"grey": hex(0x5c5b5a)}[w.Band.Colour]
	if base == (rgb{}) {
		base = colourOf(w.Band.Colour)
	}
	var left, right []pt
	for y := y0; y < reach+2; y += 0.5 {
		h := w.bandHalf(y)
		right = append(right, pt{h, side * y})
		left = append([]pt{{-h, side * y}}, left...)
	}
	outline := orient(path{append(right, left...)})
	c.soft(0, outline.move(pt{1.6, 1.4}), nil, 1.3, rgb{0.02, 0.02, 0.03}, 0.5)
	seed := w.Seed + 0x1ea7
	c.fill(z, outline, func(x, y float64) (rgb, float32) {
		h := w.bandHalf(y)
		u := x / h
		cell := smoothNoise(x*2.6, y*2.2, seed)
		crease := math.Abs(smoothNoise(x*1.7, y*1.5, seed+5))
		pores := smoothNoise(x*7, y*7, seed+9)
		n := vec{0.75*u*u*u + 0.10*cell, 0.10 * smoothNoise(x*2.6+40, y*2.2, seed), 1}.norm()
		l := 0.62 + 0.38*(-0.45*n.x-0.6*n.y+0.75*n.z)
		l *= 0.86 + 0.14*smoothstep(0.0, 0.16, crease)
		l *= 1 + 0.05*pores
		l *= 1 - 0.55*smoothstep(0.93, 1.0, math.Abs(u))
		near := smoothstep(w.MidCaseMM/2+3.5, w.MidCaseMM/2-0.5, math.Abs(y))
		col := base.scale(float32(l * (1 - 0.6*near)))
		gloss := 0.10 * smoothstep(0.80, 1.0, -0.5*n.x-0.4*n.y+0.72*n.z+0.1*cell)
		return col.add(float32(gloss * (1 - near))), 1
	})
	thread := base.mix(hex(0xcbb48f), 0.55)
	for _, s := range []float64{-1, 1} {
		for y := y0 + 2.6; y < reach; y += 2.1 {
			h := w.bandHalf(y) - 1.45
			a, b := pt{s * h, side * y}, pt{s * (w.bandHalf(y+1.4) - 1.45), side * (y + 1.4)}
			c.fill(z, stroke([]pt{a.add(pt{0.1, 0.14}), b.add(pt{0.1, 0.14})}, 0.5), thin(rgb{}, 0.4))
			c.fill(z, stroke([]pt{a, b}, 0.34), flat(thread))
		}
	}
}

// links paints rows of three pieces: brushed outside, bright inside.
func (c *canvas) links(w Watch, side, reach float64) {
	z := w.zLugs()
	edge := w.LugToLugMM/2 - 2.4
	outer, inner := alloyOf(w.Metal), w.accent()
	p := w.Band.PitchMM
	y0 := w.MidCaseMM/2 - 0.6
	c.soft(0, rect(-w.LugWidthMM/2, side*y0, w.LugWidthMM/2, side*(reach+3)).move(pt{1.5, 1.3}), nil, 1.2,
		rgb{0.02, 0.02, 0.03}, 0.5)
	// end piece between the lugs, shaped to the case
	h := (w.LugWidthMM - 0.3) / 2
	end := w.endPiece(side, h, edge+p*0.35)
	c.fill(z, end, func(x, y float64) (rgb, float32) {
		n := vec{0, side * 0.22 * smoothstep(y0, edge, math.Abs(y)), 1}
		return outer.brushed(x, y, n.norm(), pt{0, 1}, w.Seed+60), 1
	})
	if !w.bandAlone {
		c.soft(z, circle(pt{0.1, 0.4}, w.MidCaseMM/2+0.2), end, 0.5, rgb{}, 0.7)
	}
	for i := 0; ; i++ {
		ya := edge + p*0.25 + float64(i)*p
		if ya > reach+p {
			return
		}
		c.linkRow(w, z, side, ya, outer, inner)
	}
}

// endPiece is cut out to the round of the case.
func (w Watch) endPiece(side, h, far float64) path {
	r := w.MidCaseMM/2 - 0.3
	a := math.Asin(math.Min(1, h/r))
	ring := []pt{{-h, side * far}}
	for i := 0; i <= 40; i++ {
		t := -a + 2*a*float64(i)/40
		ring = append(ring, pt{r * math.Sin(t), side * r * math.Cos(t)})
	}
	return orient(path{append(ring, pt{h, side * far})})
}

func (c *canvas) linkRow(w Watch, z, side, ya float64, outer, inner alloy) {
	p := w.Band.PitchMM
	gap := 0.14 + w.Band.StretchMM
	solid := w.Band.Kind == "solid"
	ha, hb := w.bandHalf(ya), w.bandHalf(ya+p)
	ca := 0.30
	dark := rgb{0.045, 0.045, 0.05}
	whole := orient(polygon(pt{-ha, side * ya}, pt{ha, side * ya}, pt{hb, side * (ya + p)}, pt{-hb, side * (ya + p)}))
	c.fill(z, whole, flat(dark))
	piece := func(x0a, x0b, x1a, x1b, y0, y1 float64, a alloy, polished bool, seed uint64) {
		q := orient(polygon(pt{x0a, side * y0}, pt{x1a, side * y0}, pt{x1b, side * y1}, pt{x0b, side * y1}))
		mid, half := (y0+y1)/2, (y1-y0)/2
		c.fill(z, q, func(x, y float64) (rgb, float32) {
			v := (math.Abs(y) - mid) / half * side
			n := vec{0, 0.30*v + 0.55*v*v*v*v*v, 1}
			if !solid {
				n.y *= 1.35
			}
			if polished {
				return a.shade(n.norm(), 0.2), 1
			}
			return a.brushed(x, y, n.norm(), pt{0, 1}, seed), 1
		})
	}
	s := w.Seed + uint64(ya*10)
	for _, f := range []float64{-1, 1} {
		piece(f*ha, f*hb, f*(ha*ca+0.07), f*(hb*ca+0.07), ya+gap/2, ya+p-gap/2, outer, false, s+uint64(f+1))
	}
	off := p / 2 // middle pieces stand half a link further
	piece(-ha*ca, -hb*ca, ha*ca, hb*ca, ya+off+gap/2, ya+off+p-gap/2, inner, !solid || w.Metal == "two_tone", s+7)
	if first := ya + off - p + gap/2; first > w.MidCaseMM/2 {
		piece(-ha*ca, -hb*ca, ha*ca, hb*ca, first, ya+off-gap/2, inner, !solid || w.Metal == "two_tone", s+8)
	} else {
		piece(-ha*ca, -hb*ca, ha*ca, hb*ca, w.MidCaseMM/2+0.2, ya+off-gap/2, inner, !solid ||
			w.Metal == "two_tone", s+8)
	}
	switch w.Band.Kind {
	case "riveted":
		for _, f := range []float64{-1, 1} {
			for _, k := range []float64{0.28, 0.72} {
				at := pt{f * (ha + (hb-ha)*k + 0.02), side * (ya + p*k)}
				c.fill(z, circle(at, 0.42), outer.domed(at, 0, 0.42, 0, 1.1, 0.2))
			}
		}
	case "folded":
		for _, f := range []float64{-1, 1} {
			x := f * (ha*ca + 0.55)
			c.fill(z, rect(math.Min(x, x+0.06), math.Min(side*(ya+0.3), side*(ya+p-0.3)), math.Max(x, x+0.06),
				math.Max(side*(ya+0.3), side*(ya+p-0.3))), thin(dark, 0.55))
		}
	}
}

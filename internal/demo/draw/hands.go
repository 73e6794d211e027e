package draw

import "math"

// handShape is the outline of a hand pointing to 12, its luminous part and the
// split that gives its two facets.
type handShape struct {
	outline path
	lume    path
}

func shapeOf(style string, length, scale float64) handShape {
	w := scale
	sym := func(right ...pt) path {
		ring := append([]pt(nil), right...)
		for i := len(right) - 1; i >= 0; i-- {
			if right[i].X != 0 {
				ring = append(ring, pt{-right[i].X, right[i].Y})
			}
		}
		return path{ring}
	}
	L := length
	switch style {
	case "dauphine":
		return handShape{outline: sym(pt{0, -L}, pt{w, -0.20 * L}, pt{0.25 * w, 0.10 * L})}
	case "leaf":
		edge := cubic(pt{0, -L}, pt{0.55 * w, -0.62 * L}, pt{1.35 * w, -0.42 * L}, pt{0.30 * w, -0.12 * L}, 24)
		edge = append(edge, pt{0.34 * w, 0.10 * L})
		return handShape{outline: sym(edge...)}
	case "alpha":
		return handShape{outline: sym(pt{0, -L}, pt{w, -0.30 * L}, pt{0.28 * w, -0.20 * L}, pt{0.28 * w, 0.10 * L}),
			lume: sym(pt{0, -0.86 * L}, pt{0.55 * w, -0.36 * L}, pt{0.2 * w, -0.30 * L})}
	case "sword":
		return handShape{outline: sym(pt{0, -L}, pt{0.95 * w, -0.80 * L}, pt{0.62 * w, -0.16 * L},
			pt{0.36 * w, -0.12 * L}, pt{0.36 * w, 0.12 * L}),
			lume: sym(pt{0, -0.94 * L}, pt{0.68 * w, -0.785 * L}, pt{0.40 * w, -0.22 * L})}
	case "pencil":
		return handShape{outline: sym(pt{0, -L}, pt{0.7 * w, -0.91 * L}, pt{0.7 * w, 0.09 * L}),
			lume: sym(pt{0, -0.965 * L}, pt{0.42 * w, -0.90 * L}, pt{0.42 * w, -0.30 * L})}
	}
	return handShape{outline: sym(pt{0.52 * w, -L}, pt{0.62 * w, 0.11 * L}),
		lume: sym(pt{0.24 * w, -0.96 * L}, pt{0.28 * w, -0.34 * L})}
}

// hands paints hour, minute and seconds hand with their shadows.
func (c *canvas) hands(w Watch, s Shot) {
	l := w.layout()
	h := w.Hands
	z := w.zHands()
	hourA := 2 * math.Pi * math.Mod(h.Hour, 12) / 12
	minA := 2 * math.Pi * math.Mod(h.Hour, 1)
	small := 0.082 * l.r
	for _, g := range l.registers {
		c.smallHand(w, z, g)
	}
	if w.Reserve {
		c.reserveHand(w, z, l.r)
	}
	c.hand(w, z, shapeOf(h.Style, h.HourMM, small*1.05), hourA, 0.28, s)
	c.hand(w, z, shapeOf(h.Style, h.MinuteMM, small*0.88), minA, 0.38, s)
	m := alloyOf(h.Metal)
	if h.SecondsMM > 0 && w.Registers != 1 {
		a := 2 * math.Pi * h.Seconds / 60
		p := polygon(pt{-0.055, -h.SecondsMM}, pt{0.055, -h.SecondsMM}, pt{0.11, 0.26 * l.r}, pt{-0.11, 0.26 * l.r})
		p = append(p, roundRect(-0.20, 0.13*l.r, 0.20, 0.26*l.r, 0.12)...)
		p = orient(p).turn(a)
		c.handShadow(z, p, 0.5, s)
		c.fill(z, p, m.rod(pt{}, polar(1, a), 0.12, 0.8, 0.3))
	}
	c.fill(z, circle(pt{}, 0.070*l.r), m.domed(pt{}, 0, 0.070*l.r, 0, 0.9, 0.2))
	c.fill(z, circle(pt{}, 0.026*l.r), m.domed(pt{}, 0, 0.026*l.r, 0.1, -0.9, 0.2))
}

func (c *canvas) handShadow(z float64, p path, lift float64, s Shot) {
	if s.PlainLight {
		return
	}
	c.soft(z, p.move(pt{0.42 * lift, 0.62 * lift}), nil, 0.10+0.25*lift, rgb{}, 0.45)
}

func (c *canvas) hand(w Watch, z float64, sh handShape, a, lift float64, s Shot) {
	m := alloyOf(w.Hands.Metal)
	p := sh.outline.turn(a)
	c.handShadow(z, p, lift, s)
	sn, cs := math.Sincos(a)
	flatHand := w.Hands.Style == "baton" || w.Hands.Style == "pencil" || w.Hands.Style == "sword"
	k := 0.5
	if flatHand {
		k = 0.22
	}
	l, r := vec{-k * cs, -k * sn, 1}.norm(), vec{k * cs, k * sn, 1}.norm()
	c.fill(z, p, func(x, y float64) (rgb, float32) {
		side := x*cs + y*sn // to the right of the hand's axis
		n := l
		if side > 0 {
			n = r
		}
		along := x*sn - y*cs
		n.x += 0.02 * along * sn
		n.y -= 0.02 * along * cs
		return m.shade(n, 0.22), 1
	})
	if w.Hands.Lume != nil && sh.lume != nil {
		q := sh.lume.turn(a)
		c.fill(z, q, w.lumeShader(*w.Hands.Lume, 1.2, 77))
	}
	hub := 0.062 * w.DialMM / 2 * 1.15
	c.fill(z, circle(pt{}, hub), m.domed(pt{}, 0, hub, 0, 0.5, 0.25))
}

func (c *canvas) smallHand(w Watch, z float64, g register) {
	m := alloyOf(w.Hands.Metal)
	a := 2 * math.Pi * g.hand
	p := polygon(pt{0, -0.80 * g.r}, pt{0.075 * g.r, -0.1 * g.r}, pt{0.06 * g.r, 0.25 * g.r},
		pt{-0.06 * g.r, 0.25 * g.r}, pt{-0.075 * g.r, -0.1 * g.r}).turn(a).move(g.at)
	c.soft(z, p.move(pt{0.12, 0.18}), nil, 0.12, rgb{}, 0.45)
	c.fill(z, p, m.rod(g.at, polar(1, a), 0.08*g.r, 0.6, 0.3))
	c.fill(z, circle(g.at, 0.10*g.r), m.domed(g.at, 0, 0.10*g.r, 0, 0.9, 0.2))
}

package draw

import (
	"image"
	"math"
)

// Movement draws the movement from the bridge side, in a style of our own.
func Movement(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	d := w.Calibre.DiameterMM
	orMM(&d, w.MidCaseMM*0.75)
	R := d / 2
	mm := s.fit(d*1.32, d*1.32)
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mm))
	c.ground(s, "slate", w.Seed+8)
	m := alloys["nickel"]
	if w.Calibre.Gilt {
		m = alloys["brass"]
	}
	// the case around it
	out := alloyOf(w.Metal)
	c.fill(0, annulus(pt{}, R*1.01, R*1.26), out.domed(pt{}, R*1.01, R*1.26, -0.5, 0.9, 0.35))
	c.fill(0, annulus(pt{}, R*1.0, R*1.03), flat(rgb{0.05, 0.05, 0.05}))
	mv := movement{c, w, m, R}
	mv.plate()
	mv.train()
	mv.bridges()
	mv.balance()
	if w.Calibre.Chrono {
		mv.levers()
	}
	if w.Calibre.Rotor {
		mv.rotor()
	}
	return c.finish(s, w.Seed+8)
}

type movement struct {
	c *canvas
	w Watch
	m alloy
	R float64
}

// plate has the overlapping circles of a pearled ground.
func (v movement) plate() {
	R := v.R
	v.c.fill(0, circle(pt{}, R), func(x, y float64) (rgb, float32) {
		p := R * 0.085
		best, light := -9e9, 0.4
		i0, j0 := math.Round(x/p), math.Round(y/p)
		for i := -1.0; i <= 1; i++ {
			for j := -1.0; j <= 1; j++ {
				cx, cy := (i0+i)*p, (j0+j)*p
				dx, dy := x-cx, y-cy
				r := math.Hypot(dx, dy)
				// each circle lies over those before it, row by row
				if order := (i0 + i) + 1000*(j0+j); r < p*0.80 && order > best {
					best = order
					t := math.Atan2(dy, dx)
					light = 0.36 + 0.26*math.Pow(math.Abs(math.Cos(t+0.8)), 3)*smoothstep(0, 0.4*p, r) -
						0.10*smoothstep(0.62*p, 0.80*p, r) + 0.03*math.Sin(r/p*40)
				}
			}
		}
		return v.m.lit(light * 0.85), 1
	})
}

// bridge paints one plate with stripes, a polished chamfer and a shadow.
func (v movement) bridge(p path, seed uint64) {
	c := v.c
	c.soft(0, p.move(pt{0.02 * v.R, 0.03 * v.R}), circle(pt{}, v.R), 0.03*v.R, rgb{}, 0.6)
	c.fill(0, p, func(x, y float64) (rgb, float32) { return v.m.lit(0.95 + 0.3*smoothNoise(x*0.4, y*0.4, seed)), 1 })
	in := shrink(p, 0.016*v.R)
	c.fill(0, in, func(x, y float64) (rgb, float32) {
		u := (x*0.94 + y*0.34) / (0.13 * v.R)
		f := u - math.Floor(u)
		fine := 0.02 * streak(u*40, seed+1)
		return v.m.lit(0.46 + 0.26*f + 0.05*math.Sin(u*math.Pi) + fine), 1
	})
}

// shrink draws a star-shaped outline in towards its middle by about d.
func shrink(p path, d float64) path {
	out := make(path, len(p))
	for i, ring := range p {
		mid := pt{}
		for _, q := range ring {
			mid = mid.add(q.times(1 / float64(len(ring))))
		}
		for _, q := range ring {
			v := q.sub(mid)
			out[i] = append(out[i], mid.add(v.times(math.Max(0, 1-d/math.Max(v.length(), d)))))
		}
	}
	return out
}

// wedge is a bridge between two clock angles, bounded by waving inner edges.
func (v movement) wedge(r0, r1, a0, a1 float64) path {
	var ring []pt
	n := 60
	for i := 0; i <= n; i++ {
		ring = append(ring, polar(r1*v.R, a0+(a1-a0)*float64(i)/float64(n)))
	}
	ring = append(ring, cubic(polar(r1*v.R, a1), polar(0.7*v.R, a1-0.16), polar(0.4*v.R, a1+0.10),
		polar(r0*v.R, (a0+2*a1)/3), 20)...)
	ring = append(ring, cubic(polar(r0*v.R, (2*a0+a1)/3), polar(0.4*v.R, a0+0.14), polar(0.7*v.R, a0-0.10),
		polar(r1*v.R, a0), 20)...)
	return orient(path{ring})
}

func (v movement) bridges() {
	rad := math.Pi / 180
	v.bridge(v.wedge(0.10, 0.975, -150*rad, -8*rad), 11)
	v.bridge(v.wedge(0.16, 0.975, 2*rad, 84*rad), 12)
	v.bridge(v.wedge(0.22, 0.975, 172*rad, 205*rad), 13)
	v.jewels([]pt{polar(0.30*v.R, -60*rad), polar(0.62*v.R, -28*rad), polar(0.55*v.R, 24*rad), polar(0.52*v.R, 62*rad),
		polar(0.72*v.R, 186*rad)})
	v.screws([]pt{polar(0.86*v.R, -140*rad), polar(0.87*v.R, -62*rad), polar(0.86*v.R, -16*rad),
		polar(0.86*v.R, 10*rad), polar(0.86*v.R, 78*rad), polar(0.86*v.R, 177*rad), polar(0.86*v.R, 200*rad)})
	// crown and ratchet wheels, sunk into the barrel bridge
	v.wheel(polar(0.55*v.R, -96*rad), 0.25*v.R, 52)
	v.wheel(polar(0.70*v.R, -52*rad), 0.13*v.R, 28)
	dark := rgb{0.16, 0.12, 0.06}
	name := v.w.Calibre.Name
	if name == "" {
		name = "CALIBRE"
	}
	v.c.engrave(0, textArc(sans, name, 0.045*v.R, 0.14, pt{}, 0.76*v.R, 44*rad, false), 0.004*v.R, dark)
	v.c.engrave(0, textArc(sans, "SEVENTEEN JEWELS", 0.032*v.R, 0.14, pt{}, 0.67*v.R, 44*rad, false), 0.004*v.R, dark)
}

func (v movement) jewels(at []pt) {
	for _, p := range at {
		r := 0.034 * v.R
		gold := alloys["gold"]
		v.c.fill(0, circle(p, r*1.75), gold.domed(p, r, r*1.75, -0.9, 0.3, 0.2))
		v.c.fill(0, circle(p, r), func(x, y float64) (rgb, float32) {
			d := math.Hypot(x-p.X+r*0.3, y-p.Y+r*0.35) / r
			return hex(0xb01640).mix(hex(0xff8fae), float32(0.8*smoothstep(0.9, 0, d))), 1
		})
		v.c.fill(0, circle(p, r*0.22), flat(hex(0x30050f)))
		v.c.fill(0, circle(p.add(pt{-0.35 * r, -0.4 * r}), r*0.16), thin(rgb{1, 1, 1}, 0.85))
	}
}

func (v movement) screws(at []pt) {
	for i, p := range at {
		r := 0.040 * v.R
		blue := alloys["blued"]
		v.c.fill(0, circle(p, r*1.25), thin(rgb{0.05, 0.04, 0.03}, 0.7))
		v.c.fill(0, circle(p, r), blue.domed(p, 0, r, 0, 0.7, 0.35))
		slot := rect(-r, -0.14*r, r, 0.14*r).turn((&die{seed: v.w.Seed + uint64(i)}).unit() * math.Pi).move(p)
		v.c.fill(0, slot, flat(rgb{0.02, 0.02, 0.04}))
	}
}

// wheel is a toothed wheel with a sunburst grain.
func (v movement) wheel(at pt, r float64, teeth int) {
	var ring []pt
	for i := range teeth * 4 {
		k := r
		if i%4 >= 2 {
			k = r * 0.93
		}
		ring = append(ring, at.add(polar(k, 2*math.Pi*float64(i)/float64(teeth*4))))
	}
	v.c.soft(0, circle(at, r*1.02).move(pt{0.012 * v.R, 0.016 * v.R}), nil, 0.015*v.R, rgb{}, 0.7)
	st := alloys["steel"]
	v.c.fill(0, orient(path{ring}), func(x, y float64) (rgb, float32) {
		dx, dy := x-at.X, y-at.Y
		d, t := math.Hypot(dx, dy), math.Atan2(dy, dx)
		return st.lit(0.38 + 0.50*math.Pow(math.Abs(math.Cos(t+0.7+0.5*d/r)), 3) + 0.04*streak(t*90, 5)), 1
	})
	v.c.fill(0, annulus(at, r*0.50, r*0.53), thin(rgb{}, 0.35))
	v.screws([]pt{at})
}

// train shows wheels through the gaps between the bridges.
func (v movement) train() {
	rad := math.Pi / 180
	for _, g := range []struct {
		at pt
		r  float64
	}{{polar(0.30*v.R, 40*rad), 0.26 * v.R}, {polar(0.46*v.R, 98*rad), 0.20 * v.R},
		{polar(0.52*v.R, 205*rad), 0.20 * v.R}} {
		b := alloys["brass"]
		v.c.soft(0, circle(g.at, g.r).move(pt{0.2, 0.3}), nil, 0.2, rgb{}, 0.5)
		v.c.fill(0, annulus(g.at, g.r*0.84, g.r), b.domed(g.at, g.r*0.84, g.r, -0.2, 0.4, 0.4))
		for i := range 5 {
			arm := rect(-0.05*g.r, -0.86*g.r, 0.05*g.r, 0).turn(2*math.Pi*float64(i)/5 + g.r).move(g.at)
			v.c.fill(0, arm, flat(b.lit(0.6)))
		}
		v.c.fill(0, circle(g.at, 0.14*g.r), b.domed(g.at, 0, 0.14*g.r, 0, 0.8, 0.3))
	}
}

// balance is the balance with its spring under a cock.
func (v movement) balance() {
	rad := math.Pi / 180
	at := polar(0.52*v.R, 128*rad)
	r := 0.36 * v.R
	c := v.c
	b := alloys["gold"]
	c.soft(0, annulus(at, r*0.86, r).move(pt{0.03 * v.R, 0.04 * v.R}), nil, 0.025*v.R, rgb{}, 0.55)
	c.fill(0, annulus(at, r*0.86, r), b.domed(at, r*0.86, r, -0.5, 0.6, 0.2))
	for i := range 14 {
		p := at.add(polar(r*1.02, 2*math.Pi*float64(i)/14))
		c.fill(0, circle(p, 0.022*v.R), b.domed(p, 0, 0.022*v.R, 0, 1, 0.2))
	}
	arm := rect(-r*0.88, -0.05*r, r*0.88, 0.05*r).turn(0.5).move(at)
	c.fill(0, arm, b.rod(at, pt{math.Cos(0.5), math.Sin(0.5)}, 0.05*r, 0.7, 0.3))
	var spiral []pt
	for i := range 720 {
		t := float64(i) / 719
		spiral = append(spiral, at.add(polar(r*(0.10+0.52*t), 2*math.Pi*9*t)))
	}
	c.fill(0, stroke(spiral, 0.009*r), thin(alloys["blued"].lit(1.2), 0.95))
	cock := orient(path{append(cubic(at.add(pt{-0.10 * r, -0.05 * r}), at.add(pt{0, 0.25 * r}),
		at.add(pt{0.35 * r, 0.55 * r}), at.add(pt{0.62 * r, 1.05 * r}), 20),
		cubic(at.add(pt{0.95 * r, 0.75 * r}), at.add(pt{0.55 * r, 0.25 * r}), at.add(pt{0.25 * r, -0.20 * r}),
			at.add(pt{0.08 * r, -0.16 * r}), 20)...)})
	v.bridge(cock, 31)
	v.jewels([]pt{at.add(pt{0.03 * r, 0.02 * r})})
	v.screws([]pt{at.add(pt{0.62 * r, 0.74 * r})})
}

// levers are those of a chronograph, over the bridges.
func (v movement) levers() {
	rad := math.Pi / 180
	st := alloys["steel"]
	for _, l := range [][]pt{
		cubic(polar(0.86*v.R, 48*rad), polar(0.6*v.R, 30*rad), polar(0.4*v.R, 10*rad), polar(0.16*v.R, -40*rad), 20),
		cubic(polar(0.86*v.R, -112*rad), polar(0.5*v.R, -130*rad), polar(0.3*v.R, -160*rad),
			polar(0.2*v.R, 140*rad), 20),
	} {
		p := stroke(l, 0.055*v.R)
		v.c.soft(0, p.move(pt{0.02 * v.R, 0.03 * v.R}), nil, 0.02*v.R, rgb{}, 0.5)
		v.c.fill(0, p, func(x, y float64) (rgb, float32) {
			return st.brushed(x, y, vec{0.1, 0.1, 1}, pt{0.7, 0.7}, 4), 1
		})
		v.screws([]pt{l[0], l[len(l)-1]})
	}
	v.wheel(pt{}, 0.17*v.R, 60)
}

// rotor is the winding weight.
func (v movement) rotor() {
	a := alloyOf(v.w.Metal)
	if v.w.Calibre.Gilt {
		a = alloys["gold18"]
	}
	turn := 2.4
	p := orient(append(sector(pt{}, 0.80*v.R, 0.985*v.R, turn-1.52, turn+1.52),
		sector(pt{}, 0.0, 0.82*v.R, turn-0.62, turn+0.62)...))
	v.c.soft(0, p.move(pt{0.04 * v.R, 0.06 * v.R}), circle(pt{}, v.R*1.02), 0.04*v.R, rgb{}, 0.55)
	v.c.fill(0, p, func(x, y float64) (rgb, float32) {
		r, t := math.Hypot(x, y), math.Atan2(y, x)
		edge := 0.25 * smoothstep(0.80, 0.83, r/v.R)
		return a.lit(0.42 + edge + 0.30*math.Pow(math.Abs(math.Cos(t+0.7)), 4) + 0.03*streak(r*22, 9)), 1
	})
	v.wheel(pt{}, 0.11*v.R, 64)
	v.c.engrave(0, textArc(sans, v.w.Print.Maker, 0.055*v.R, 0.15, pt{}, 0.89*v.R, turn, true), 0.004*v.R,
		rgb{0.15, 0.12, 0.08})
}

package draw

import "math"

// pt is a point in mm: x to the right, y down, from the middle of the watch.
type pt struct{ X, Y float64 }

func (p pt) add(q pt) pt             { return pt{p.X + q.X, p.Y + q.Y} }
func (p pt) sub(q pt) pt             { return pt{p.X - q.X, p.Y - q.Y} }
func (p pt) times(k float64) pt      { return pt{p.X * k, p.Y * k} }
func (p pt) length() float64         { return math.Hypot(p.X, p.Y) }
func (p pt) left() pt                { return pt{p.Y, -p.X} }
func (p pt) norm() pt                { return p.times(1 / math.Max(p.length(), 1e-12)) }
func lerp(a, b pt, t float64) pt     { return a.add(b.sub(a).times(t)) }
func polar(r, clock float64) pt      { return pt{r * math.Sin(clock), -r * math.Cos(clock)} }
func hourAngle(hour float64) float64 { return hour * math.Pi / 6 }

// path is a set of closed rings in mm. Rings of opposite sense cut holes.
type path [][]pt

// segments of a full circle: the flat error is under 0.003 px for 2,000 px radius.
const circleSides = 1440

func circle(c pt, r float64) path { return path{circleRing(c, r, r, false)} }

func circleRing(c pt, rx, ry float64, reverse bool) []pt {
	n := circleSides
	if rx < 4 {
		n = 360
	}
	if rx < 0.8 {
		n = 96
	}
	ring := make([]pt, n)
	for i := range ring {
		a := 2 * math.Pi * float64(i) / float64(n)
		if reverse {
			a = -a
		}
		ring[i] = pt{c.X + rx*math.Cos(a), c.Y + ry*math.Sin(a)}
	}
	return ring
}

// annulus is a flat ring from radius r0 to r1.
func annulus(c pt, r0, r1 float64) path {
	return path{circleRing(c, r1, r1, false), circleRing(c, r0, r0, true)}
}

// sector is the part of an annulus between two clock angles in radians.
func sector(c pt, r0, r1, a0, a1 float64) path {
	n := 2 + int(math.Abs(a1-a0)*120)
	ring := make([]pt, 0, 2*n+2)
	for i := 0; i <= n; i++ {
		ring = append(ring, c.add(polar(r1, a0+(a1-a0)*float64(i)/float64(n))))
	}
	for i := n; i >= 0; i-- {
		ring = append(ring, c.add(polar(r0, a0+(a1-a0)*float64(i)/float64(n))))
	}
	return path{ring}
}

func polygon(p ...pt) path { return path{p} }

func rect(x0, y0, x1, y1 float64) path {
	return polygon(pt{x0, y0}, pt{x1, y0}, pt{x1, y1}, pt{x0, y1})
}

// roundRect is a rectangle with corners of radius r.
func roundRect(x0, y0, x1, y1, r float64) path {
	r = math.Min(r, math.Min((x1-x0)/2, (y1-y0)/2))
	var ring []pt
	corner := func(cx, cy, a0 float64) {
		for i := 0; i <= 10; i++ {
			a := a0 + math.Pi/2*float64(i)/10
			ring = append(ring, pt{cx + r*math.Cos(a), cy + r*math.Sin(a)})
		}
	}
	corner(x1-r, y1-r, 0)
	corner(x0+r, y1-r, math.Pi/2)
	corner(x0+r, y0+r, math.Pi)
	corner(x1-r, y0+r, 3*math.Pi/2)
	return path{ring}
}

// cubic samples a Bézier curve at n+1 points.
func cubic(a, b, c, d pt, n int) []pt {
	out := make([]pt, n+1)
	for i := range out {
		t := float64(i) / float64(n)
		ab, bc, cd := lerp(a, b, t), lerp(b, c, t), lerp(c, d, t)
		out[i] = lerp(lerp(ab, bc, t), lerp(bc, cd, t), t)
	}
	return out
}

// stroke is a line of the given width along points, with round joints.
func stroke(line []pt, width float64) path {
	var out path
	h := width / 2
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		n := b.sub(a).norm().left().times(h)
		out = append(out, []pt{a.add(n), a.sub(n), b.sub(n), b.add(n)})
		if i > 1 {
			out = append(out, dot(a, h))
		}
	}
	return orient(out)
}

func dot(c pt, r float64) []pt {
	ring := make([]pt, 12)
	for i := range ring {
		a := 2 * math.Pi * float64(i) / 12
		ring[i] = pt{c.X + r*math.Cos(a), c.Y + r*math.Sin(a)}
	}
	return ring
}

// orient turns every ring to the same sense, so that overlaps add.
func orient(p path) path {
	for _, ring := range p {
		s := 0.0
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			s += a.X*b.Y - b.X*a.Y
		}
		if s < 0 {
			for i, j := 0, len(ring)-1; i < j; i, j = i+1, j-1 {
				ring[i], ring[j] = ring[j], ring[i]
			}
		}
	}
	return p
}

// turn rotates clockwise by an angle in radians about the origin.
func (p path) turn(a float64) path {
	s, c := math.Sincos(a)
	return p.each(func(q pt) pt { return pt{q.X*c - q.Y*s, q.X*s + q.Y*c} })
}

func (p path) move(d pt) path { return p.each(func(q pt) pt { return q.add(d) }) }

func (p path) scale(k float64) path { return p.each(func(q pt) pt { return q.times(k) }) }

// mirror flips left and right and keeps the sense of the rings.
func (p path) mirror() path {
	out := p.each(func(q pt) pt { return pt{-q.X, q.Y} })
	for _, ring := range out {
		for i, j := 0, len(ring)-1; i < j; i, j = i+1, j-1 {
			ring[i], ring[j] = ring[j], ring[i]
		}
	}
	return out
}

func (p path) each(f func(pt) pt) path {
	out := make(path, len(p))
	for i, ring := range p {
		out[i] = make([]pt, len(ring))
		for j, q := range ring {
			out[i][j] = f(q)
		}
	}
	return out
}

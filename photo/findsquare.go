package photo

import (
	"cmp"
	"math"
	"slices"
)

// foundSquare is a printed square as found without picks.
type foundSquare struct {
	corners [4]Point // px, clockwise from the top left
	sure    float64
	mm      float64 // its side by the ticks, 0 where they are not seen
}

// edgeLine is a straight edge: n·p = rho, n towards the lighter side.
type edgeLine struct {
	n     Point
	rho   float64
	votes float64
}

const (
	lineAngles  = 240  // bins of 1.5°
	leastSlope  = 0.03 // lightness per cell from which a place counts as an edge
	mostLines   = 48
	leastSquare = 0.16 // side over the shorter side of the picture
)

// findSquare looks for the printed square: four straight edges, dark inside, with a line of
// ink along them and paper on both sides.
func (l light) findSquare() (foundSquare, bool) {
	g := l.wholeGrid(640, false).smoothed()
	lines := g.straightEdges()
	best, score := [4]Point{}, 0.0
	for _, c := range g.quads(lines) {
		if s := g.frameScore(c); s > score {
			best, score = c, s
		}
	}
	if score < 0.35 {
		return foundSquare{}, false
	}
	corners := make([]Point, 4)
	for i, c := range best {
		corners[i] = g.toPx.Apply(c)
	}
	f := l.refineSquare(corners)
	if f.sign > 0 {
		f = l.refineSquare(f.corners[:])
	}
	n := 0
	for _, ok := range f.seen {
		if ok {
			n++
		}
	}
	if n < 4 || f.sign < 0 || l.unlikeSquare(f.corners, f.se) > 0 || checkSquare(f.corners[:]) != nil {
		return foundSquare{}, false
	}
	out := foundSquare{corners: f.corners, sure: min(0.99, 0.55+0.5*f.share)}
	h := 0.5
	plane, err := FitHomography(f.corners[:], []Point{{-h, -h}, {h, -h}, {h, h}, {-h, h}})
	if err != nil {
		return foundSquare{}, false
	}
	if out.mm = l.tickedSide(plane, 1); out.mm > 0 {
		out.sure = 0.99
	}
	return out, true
}

// straightEdges are the strongest straight edges (Hough 1962; Duda and Hart 1972), each
// place voting only for lines across its own slope.
func (g grid) straightEdges() []edgeLine {
	reach := math.Hypot(float64(g.w), float64(g.h))
	rows := int(2*reach) + 1
	acc := make([]float32, lineAngles*rows)
	var normals [lineAngles]Point
	for i := range normals {
		s, c := math.Sincos(2 * math.Pi * float64(i) / lineAngles)
		normals[i] = Point{c, s}
	}
	for y := 1; y < g.h-1; y++ {
		for x := 1; x < g.w-1; x++ {
			dx, dy := g.slope(x, y)
			m := math.Hypot(dx, dy)
			if m < leastSlope {
				continue
			}
			a := math.Atan2(dy, dx) / (2 * math.Pi) * lineAngles
			for k := int(math.Round(a)) - 2; k <= int(math.Round(a))+2; k++ {
				i := (k + lineAngles) % lineAngles
				rho := normals[i].dot(Point{float64(x) + 0.5, float64(y) + 0.5})
				acc[i*rows+int(rho+reach)] += float32(min(m, 0.12))
			}
		}
	}
	var all []edgeLine
	for i := range lineAngles {
		for r := 2; r < rows-2; r++ {
			v := acc[i*rows+r] + 0.5*(acc[i*rows+r-1]+acc[i*rows+r+1])
			if v > 0.06*float32(min(g.w, g.h))*leastSquare*4 {
				all = append(all, edgeLine{normals[i], float64(r) + 0.5 - reach, float64(v)})
			}
		}
	}
	slices.SortFunc(all, func(a, b edgeLine) int { return cmp.Compare(b.votes, a.votes) })
	return apart(all)
}

// apart keeps the strongest of lines that are nearly one.
func apart(all []edgeLine) []edgeLine {
	var out []edgeLine
	for _, e := range all {
		near := slices.ContainsFunc(out, func(o edgeLine) bool {
			return e.n.dot(o.n) > 0.99 && math.Abs(e.rho-o.rho) < 5
		})
		if !near {
			out = append(out, e)
		}
		if len(out) == mostLines {
			break
		}
	}
	return out
}

// quads are four-cornered figures that lines enclose with their darker sides, in cells.
func (g grid) quads(lines []edgeLine) [][4]Point {
	least := leastSquare * float64(min(g.w, g.h))
	var pairs [][2]edgeLine
	for i, a := range lines {
		for _, b := range lines[i+1:] {
			if a.n.dot(b.n) < -0.94 && a.rho+b.rho > least {
				pairs = append(pairs, [2]edgeLine{a, b})
			}
		}
	}
	var out [][4]Point
	for i, p := range pairs {
		for _, q := range pairs[i+1:] {
			if math.Abs(p[0].n.dot(q[0].n)) > 0.35 {
				continue
			}
			if c, ok := g.quad(p, q); ok {
				out = append(out, c)
			}
		}
	}
	return out
}

// quad orders the crossings of two pairs of sides clockwise from the top left.
func (g grid) quad(p, q [2]edgeLine) ([4]Point, bool) {
	all := []edgeLine{p[0], p[1], q[0], q[1]}
	// the side whose outside is most upwards is the top one; then clockwise
	slices.SortFunc(all, func(a, b edgeLine) int { return cmp.Compare(upTurn(a.n), upTurn(b.n)) })
	var c [4]Point
	for i := range c {
		a, b := all[(i+3)%4], all[i]
		d := a.n.cross(b.n)
		if math.Abs(d) < 0.5 {
			return c, false
		}
		c[i] = Point{(a.rho*b.n[1] - b.rho*a.n[1]) / d, (b.rho*a.n[0] - a.rho*b.n[0]) / d}
	}
	least, most := math.Inf(1), 0.0
	for i := range c {
		side := distance(c[i], c[(i+1)%4])
		least, most = min(least, side), max(most, side)
		if !g.holds(c[i]) {
			return c, false
		}
	}
	return c, least > leastSquare*float64(min(g.w, g.h)) && most < 1.5*least && checkSquare(c[:]) == nil
}

// upTurn is how far a normal is turned clockwise from up, the top side counting from −45°.
func upTurn(n Point) float64 {
	return math.Mod(math.Atan2(n[0], -n[1])+math.Pi/4+2*math.Pi, 2*math.Pi)
}

// frameScore is how much a figure looks like a printed frame, 0 to 1: along each side an
// edge, ink within it, and paper within that.
func (g grid) frameScore(c [4]Point) float64 {
	const tries = 48
	total, worst := 0.0, 1.0
	for i := range 4 {
		a, b := c[i], c[(i+1)%4]
		d := b.sub(a)
		side := d.length()
		d = d.unit()
		n := Point{d[1], -d[0]}
		good := 0.0
		for k := range tries {
			p := lerp(a, b, 0.02+0.96*(float64(k)+0.5)/tries)
			out := g.at(p.add(n.times(3)))
			ink := math.Inf(1)
			for t := 0.0; t <= 0.02*side+1; t++ {
				ink = min(ink, g.at(p.sub(n.times(t))))
			}
			in := g.at(p.sub(n.times(0.024*side + 4)))
			edge := g.at(p.add(n.times(2))) - g.at(p.sub(n.times(2)))
			if edge > 0.08 && out-ink > 0.12 && in-ink > 0.12 {
				good += 1.0 / tries
			}
		}
		total += good / 4
		worst = min(worst, good)
	}
	if worst < 0.25 {
		return 0
	}
	return total
}

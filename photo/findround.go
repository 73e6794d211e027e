package photo

import (
	"cmp"
	"math"
	"slices"
)

// Round parts of a watch lie about one middle. It is found by letting every edge vote along
// its slope (Ballard 1981, with the slope as direction); then the picture is unrolled about it, and
// a round edge is a row that most directions share.

const (
	turns     = 360 // directions of an unrolled picture
	roundSide = 560 // cells of the grid on which round parts are looked for
	gridReach = 0.8 // of that grid, in sides of the square from its middle
)

// unrolled is the picture about a middle: row a is the direction a degrees clockwise from
// up, column i the distance (i+½)·step cells.
type unrolled struct {
	grid
	shape   Ellipse // cells: what counts as round
	step    float64 // share of the shape's radius per column
	columns int
	within  [turns]int // columns that lie in the picture
	luma    []float32
	lab     []Lab
}

// ringEdge is a round edge: its distance as a share of the shape's radius.
type ringEdge struct {
	r     float64
	share float64 // of the directions in which it is seen
	sign  float64 // +1 lighter outside
}

// middles are places on which many edges point, the likeliest first.
func (g grid) middles() []Point {
	least, most := 0.07*float64(min(g.w, g.h)), 0.52*float64(max(g.w, g.h))
	w, h := g.w/2+1, g.h/2+1
	acc := make([]float32, w*h)
	for y := 1; y < g.h-1; y += 2 {
		for x := 1 + y/2%2; x < g.w-1; x += 2 {
			dx, dy := g.slope(x, y)
			m := math.Hypot(dx, dy)
			if m < 0.02 {
				continue
			}
			weight := float32(math.Sqrt(min(m, 0.1)))
			n := Point{dx / m, dy / m}
			for _, s := range [2]float64{1, -1} {
				for r := least; r < most; r += 2 {
					i, j := int(float64(x)+s*r*n[0])/2, int(float64(y)+s*r*n[1])/2
					if i < 0 || j < 0 || i >= w || j >= h {
						break
					}
					acc[j*w+i] += weight
				}
			}
		}
	}
	boxBlur(acc, w, h, 2)
	boxBlur(acc, w, h, 2)
	var out []Point
	for range 3 {
		k := 0
		for i, v := range acc {
			if v > acc[k] {
				k = i
			}
		}
		if acc[k] <= 0 {
			break
		}
		x, y := k%w, k/w
		out = append(out, Point{2*float64(x) + 1, 2*float64(y) + 1})
		for j := max(0, y-8); j <= min(h-1, y+8); j++ {
			for i := max(0, x-8); i <= min(w-1, x+8); i++ {
				acc[j*w+i] = 0
			}
		}
	}
	return out
}

// boxBlur is the running mean of 2r+1 cells along both axes.
func boxBlur(v []float32, w, h, r int) {
	line := make([]float32, max(w, h))
	run := func(at, step, n int) {
		sum := float32(0)
		for i := range n {
			line[i] = v[at+i*step]
		}
		for i := -r; i < n; i++ {
			if i+r < n {
				sum += line[i+r]
			}
			if i-r-1 >= 0 {
				sum -= line[i-r-1]
			}
			if i >= 0 {
				v[at+i*step] = sum / float32(2*r+1)
			}
		}
	}
	for y := range h {
		run(y*w, 1, w)
	}
	for x := range w {
		run(x, w, h)
	}
}

// ray is the point of a direction in degrees clockwise from up, at a share of the shape's
// radius.
func (u unrolled) ray(deg, r float64) Point { return u.shape.ray(deg, r) }

// ray is the point in a direction in degrees clockwise from up, at a share of the radius,
// an ellipse taken for a circle seen at an angle.
func (e Ellipse) ray(deg, r float64) Point {
	s, c := math.Sincos(rad(deg))
	return e.unitCircle().Apply(Point{r * s, -r * c})
}

// unroll reads the grid about a shape out to reach times its radius.
func (g grid) unroll(shape Ellipse, reach float64) unrolled {
	u := unrolled{grid: g, shape: shape}
	u.columns = max(int(reach*shape.A), 8)
	u.step = reach / float64(u.columns)
	u.luma = make([]float32, turns*u.columns)
	m := shape.unitCircle()
	for a := range turns {
		s, c := math.Sincos(rad(float64(a)))
		for i := range u.columns {
			r := (float64(i) + 0.5) * u.step
			p := m.Apply(Point{r * s, -r * c})
			if g.holds(p) && u.within[a] == i {
				u.within[a]++
			}
			u.luma[a*u.columns+i] = float32(g.at(p))
		}
	}
	return u
}

// coloured is the same with its colours.
func (u unrolled) coloured() unrolled {
	u.lab = make([]Lab, turns*u.columns)
	m := u.shape.unitCircle()
	for a := range turns {
		s, c := math.Sincos(rad(float64(a)))
		for i := range u.columns {
			r := (float64(i) + 0.5) * u.step
			u.lab[a*u.columns+i] = u.colourAt(m.Apply(Point{r * s, -r * c}))
		}
	}
	return u
}

// rings lists the round edges of which at least a share of the directions in use is seen.
func (u unrolled) rings(use func(deg int) bool, least float64) []ringEdge {
	n := u.columns
	share := [2][]float64{make([]float64, n), make([]float64, n)}
	used := make([]float64, n)
	for a := range turns {
		if use != nil && !use(a) {
			continue
		}
		row := u.luma[a*n : (a+1)*n]
		for i := 2; i < min(n-2, u.within[a]); i++ {
			used[i]++
			up, down := false, false
			for k := max(i-1, 2); k <= min(i+1, n-3); k++ {
				d := row[k+1] + row[k+2] - row[k-1] - row[k-2]
				up, down = up || d > 0.07, down || d < -0.07
			}
			if up {
				share[0][i]++
			}
			if down {
				share[1][i]++
			}
		}
	}
	var out []ringEdge
	for s := range share {
		f := share[s]
		for i := range f {
			f[i] /= max(used[i], 30)
		}
		for i := 2; i < n-2; i++ {
			// the middle of a plateau counts
			if f[i] < least || f[i] < f[i-1] || f[i] < f[i-2] || f[i] < f[i+1] || f[i] <= f[i+2] {
				continue
			}
			last := i
			for k := i; k > 0 && f[k-1] == f[i]; k-- {
				last = k - 1
			}
			out = append(out, ringEdge{r: (float64(i+last)/2 + 0.5) * u.step, share: f[i], sign: 1 - 2*float64(s)})
		}
	}
	slices.SortFunc(out, func(a, b ringEdge) int { return cmp.Compare(a.r, b.r) })
	return out
}

// trackRing fits an ellipse to the edge near a distance: in each direction the strongest
// step of the right sign within reach.
func (u unrolled) trackRing(r ringEdge, reach float64) (Ellipse, bool) {
	var ps []Point
	n := u.columns
	for a := range turns {
		row := u.luma[a*n : (a+1)*n]
		best, at := float32(0.05), -1
		for i := max(int((r.r-reach)/u.step), 2); i <= min(int((r.r+reach)/u.step), n-3); i++ {
			d := float32(r.sign) * (row[i+1] + row[i+2] - row[i-1] - row[i-2])
			if d > best {
				best, at = d, i
			}
		}
		if at < 0 {
			continue
		}
		if p := u.ray(float64(a), (float64(at)+0.5)*u.step); u.holds(p) {
			ps = append(ps, p)
		}
	}
	if len(ps) < 60 {
		return Ellipse{}, false
	}
	w := make([]float64, len(ps))
	for i := range w {
		w[i] = 1
	}
	var e Ellipse
	for range 6 {
		next, err := ellipseWeighted(ps, w)
		if err != nil || next.B < u.round*next.A {
			return Ellipse{}, false
		}
		e = next
		off := make([]float64, len(ps))
		for i, p := range ps {
			off[i] = e.Distance(p)
		}
		scale := max(madScale(off, 0), 0.4)
		for i := range w {
			w[i] = tukey(off[i], 4*scale)
		}
	}
	return e, true
}

// roundest is the middle whose round edges are strongest, with a shape that makes them
// round, and its unrolled picture.
func (g grid) roundest() (unrolled, []ringEdge, bool) {
	var best unrolled
	var rings []ringEdge
	score := 0.0
	for _, c := range g.middles() {
		edge := min(c[0], c[1], float64(g.w)-c[0], float64(g.h)-c[1])
		size := max(0.45*float64(min(g.w, g.h)), edge)
		u := g.unroll(Ellipse{c[0], c[1], size, size, 0}, 1.2)
		// coarse, then as an ellipse: tilt and a middle a little off blur the edges
		all := u.rings(nil, 0.3)
		for range 2 {
			r, ok := strongest(all)
			if !ok {
				break
			}
			e, ok := u.trackRing(r, 0.06*r.r+3*u.step)
			if !ok {
				break
			}
			k := size / math.Sqrt(e.A*e.B)
			u = g.unroll(Ellipse{e.X, e.Y, e.A * k, e.B * k, e.Angle}, 1.2)
			all = u.rings(nil, 0.3)
		}
		s := 0.0
		for _, r := range all {
			s += math.Pow(r.share, 4) * math.Sqrt(r.r)
		}
		if s > score {
			best, rings, score = u, all, s
		}
	}
	if score < 0.2 {
		return best, nil, false
	}
	return best.coloured(), rings, true
}

func strongest(all []ringEdge) (best ringEdge, ok bool) {
	for _, r := range all {
		if v := r.share * math.Sqrt(r.r); r.r > 0.1 && v > best.share*math.Sqrt(best.r) {
			best, ok = r, true
		}
	}
	return best, ok
}

// watchGrid is where the watch is looked for: the plane of the square about its middle,
// so that tilt is out of it, or the whole picture. The grid keeps the picture's up.
func (l light) watchGrid(s foundSquare, have bool) grid {
	if !have {
		g := l.wholeGrid(roundSide, true).smoothed()
		g.round = 0.82 // seen at up to 35°
		return g
	}
	const reach = gridReach
	k := 2 * reach / roundSide
	h := 0.5
	plane, err := FitHomography([]Point{{-h, -h}, {h, -h}, {h, h}, {-h, h}}, s.corners[:])
	if err != nil {
		return l.watchGrid(s, false)
	}
	g := l.newGrid(plane.Times(Homography{k, 0, -reach, 0, k, -reach, 0, 0, 1}), roundSide, roundSide, true).smoothed()
	g.round = 0.955
	return g
}

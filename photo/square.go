package photo

import (
	"cmp"
	"math"
	"slices"

	"midcase/say"
)

// A square gives every figure its scale, so it is held against itself: its four sides must
// be edges of one polarity, run from corner to corner, and be what a lens makes of a
// square. Where they are not, the ruler says so and its error grows with what is off.

// squareFit is a square as found in the picture.
type squareFit struct {
	corners  [4]Point
	se       [4]float64
	residual float64 // px, of the sides from straight lines
	sign     float64 // +1 where the outside is lighter
	seen     [4]bool // sides found as edges
	share    float64 // of the sides along which the edge was found
	moved    [4]float64
}

// squareRuler knows four corners: the homography to the plane of the square.
func (l light) squareRuler(s ScalePick) (ruler, error) {
	if err := l.need("scale.corners", s.Corners...); err != nil {
		return ruler{}, err
	}
	f := l.refineSquare(s.Corners)
	h := s.MM / 2
	square := []Point{{-h, -h}, {h, -h}, {h, h}, {-h, h}}
	plane, err := FitHomography(f.corners[:], square)
	if err != nil {
		return ruler{}, pickError("scale.corners", "the four corners of the square", "they give no plane")
	}
	r := ruler{plane: plane, tilted: true, residual: f.residual, middle: plane.Inverse().Apply(Point{})}
	r.doubts, r.relative = l.doubtSquare(f, plane, s)
	for i := range f.corners {
		for k := range 2 {
			moved := f.corners
			moved[i][k] += f.se[i]
			if v, err := FitHomography(moved[:], square); err == nil {
				r.variants = append(r.variants, v)
			}
		}
	}
	r.tiltDeg = tiltOf(plane.Inverse().jacobian(Point{}))
	return r, nil
}

// doubtSquare says what speaks against the square, and by which share of a length it may
// be off for that.
func (l light) doubtSquare(f squareFit, plane Homography, s ScalePick) (out []say.Statement, relative float64) {
	side := 0.0
	for i := range 4 {
		side += distance(f.corners[i], f.corners[(i+1)%4]) / 4
	}
	for i, d := range f.moved {
		if d > max(6*l.pickSE(), 0.008*side) {
			out = append(out, say.That("measured.corner-off", say.Count("corner", i+1),
				say.Fixed("by", d, say.None, 0)))
		}
	}
	for i, ok := range f.seen {
		if !ok {
			out = append(out, say.That("measured.side-unseen", say.Count("from", i+1), say.Count("to", (i+1)%4+1)))
		}
	}
	if off := l.unlikeSquare(f.corners, f.se); off > 0 {
		relative = off / side
		out = append(out, say.That("measured.not-square", say.Fixed("by", off, say.None, 1)))
	}
	if mm := l.tickedSide(plane, s.MM); mm > 0 && math.Abs(mm-s.MM) > 0.01*s.MM {
		relative = math.Hypot(relative, math.Abs(mm/s.MM-1))
		out = append(out, say.That("measured.other-size", say.Fixed("ticks", mm, say.MM, 0),
			say.Fixed("given", s.MM, say.MM, 1)))
	}
	return out, relative
}

// refineSquare finds the sides of the square as edges near the picked ones and takes
// their crossings as corners. A side that is no clear edge stays as picked.
func (l light) refineSquare(c []Point) squareFit {
	var f squareFit
	best := -1.0
	var lines [4]sideLine
	for _, sign := range [2]float64{1, -1} {
		var all [4]sideLine
		sum := 0.0
		for i := range 4 {
			all[i] = l.sideEdge(c[i], c[(i+1)%4], sign)
			sum += all[i].score
		}
		if sum > best {
			best, lines, f.sign = sum, all, sign
		}
	}
	var lineSE [4]float64
	sum, n := 0.0, 0.0
	for i, s := range lines {
		lineSE[i] = 3 * l.pickSE()
		if f.seen[i] = s.ok; s.ok {
			lineSE[i] = math.Hypot(s.residual/3, edgeSE)
			sum, n = sum+s.residual*s.residual, n+1
			f.share += s.share / 4
		}
	}
	for i := range 4 {
		k := (i + 3) % 4 // the side that ends at this corner
		a, b := lines[i], lines[k]
		t := b.at.sub(a.at).cross(b.dir) / a.dir.cross(b.dir)
		f.corners[i] = a.at.add(a.dir.times(t))
		f.se[i] = max(lineSE[i], lineSE[k])
		f.moved[i] = distance(f.corners[i], c[i])
		if !f.corners[i].finite() || f.moved[i] > 0.1*distance(c[i], c[(i+2)%4]) {
			f.corners[i], f.se[i] = c[i], max(3*l.pickSE(), min(f.moved[i], 0.1*distance(c[i], c[(i+2)%4])))
		}
	}
	f.residual = l.pickSE()
	if n > 0 {
		f.residual = math.Sqrt(sum / n)
	}
	return f
}

// sideLine is one side of a square: a point, a direction, and how well the edge shows.
type sideLine struct {
	at, dir  Point
	residual float64 // px
	share    float64 // of the way along which the edge was found
	score    float64 // strength and length of the edge, nearer ones preferred
	ok       bool
}

// sideEdge fits a line to the edge near the way from a to b that rises outwards, or falls
// where sign is −1. A corner may be picked well beside: first the line with the most
// edge along it is sought about each end, then it is fitted closely.
func (l light) sideEdge(a, b Point, sign float64) sideLine {
	length := distance(a, b)
	d := b.sub(a).unit()
	out := sideLine{at: a, dir: d}
	n := Point{d[1], -d[0]} // outwards for clockwise corners
	wide := min(max(0.05*length, 8), 60)
	ta, tb, found := l.roughSide(a, b, n, wide, sign)
	if !found {
		return out
	}
	a, b = a.add(n.times(ta)), b.add(n.times(tb))
	d = b.sub(a).unit()
	n = Point{d[1], -d[0]}
	const half = 4
	var s, t, slope []float64
	tried := min(200, max(40, int(length/4)))
	for i := range tried {
		k := 0.02 + 0.96*(float64(i)+0.5)/float64(tried)
		p := lerp(a, b, k)
		if !l.inside(p, half+3) {
			continue
		}
		best, w := edgeSpot{}, 0.0
		for _, e := range l.edgesAcross(p, n, half, 1) {
			if v := sign * e.slope * math.Exp(-2*(e.t/half)*(e.t/half)); v > w {
				best, w = e, v
			}
		}
		if w > 0 {
			s, t, slope = append(s, k*length), append(t, best.t), append(slope, math.Abs(best.slope))
		}
	}
	u, v, scale, share := robustLine(s, t)
	out.share = share * float64(len(s)) / float64(tried)
	if len(s) < tried/3 || share < 0.5 || scale > 1 {
		return out
	}
	out.at, out.dir, out.residual, out.ok = a.add(n.times(u)), d.add(n.times(v)).unit(), scale, true
	off := (math.Abs(ta) + math.Abs(tb)) / 2
	out.score = out.share * median(slope) / (1 + off/(4*l.pickSE()))
	return out
}

// roughSide is the line with the most edge along it, by its offsets from both picked ends.
func (l light) roughSide(a, b, n Point, wide, sign float64) (ta, tb float64, ok bool) {
	const stations = 48
	type station struct {
		k     float64
		spots []edgeSpot
	}
	var all []station
	for i := range stations {
		k := 0.04 + 0.92*(float64(i)+0.5)/stations
		p := lerp(a, b, k)
		if !l.inside(p, 3) {
			continue
		}
		one := station{k: k}
		for _, e := range l.edgesAcross(p, n, wide, 1) {
			if sign*e.slope > 0 {
				one.spots = append(one.spots, e)
			}
		}
		// the strongest few are enough: texture makes many weak ones
		slices.SortFunc(one.spots, func(x, y edgeSpot) int {
			return cmp.Compare(math.Abs(y.slope), math.Abs(x.slope))
		})
		one.spots = one.spots[:min(len(one.spots), 5)]
		all = append(all, one)
	}
	best := 0.0
	near := max(4*l.pickSE(), 0.1*wide)
	for _, p := range all[:len(all)/3] {
		for _, q := range all[len(all)-len(all)/3:] {
			for _, x := range p.spots {
				for _, y := range q.spots {
					v := (y.t - x.t) / (q.k - p.k)
					u := x.t - v*p.k
					if math.Abs(u) > wide || math.Abs(u+v) > wide {
						continue
					}
					sum := 0.0
					for _, s := range all {
						one := 0.0
						for _, e := range s.spots {
							if d := math.Abs(e.t - u - v*s.k); d < 2 {
								one = max(one, min(math.Abs(e.slope), 0.2)*(1-d/2))
							}
						}
						sum += one
					}
					sum /= 1 + (math.Abs(u)+math.Abs(u+v))/2/near/4
					if sum > best {
						best, ta, tb, ok = sum, u, u+v, true
					}
				}
			}
		}
	}
	return ta, tb, ok
}

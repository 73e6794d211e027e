package photo

import "math"

// unlikeSquare is by how many px the corners miss the picture that any usual lens makes of
// a square: a pinhole with the focal length of a wide lens up to a long one, its axis not
// far from the middle of the picture. 0 is no more than the errors se explain.
func (l light) unlikeSquare(c [4]Point, se [4]float64) float64 {
	diag := math.Hypot(float64(l.w), float64(l.h))
	mid := Point{float64(l.w) / 2, float64(l.h) / 2}
	var unit [4]Point
	side := 0.0
	for i := range c {
		unit[i] = c[i].sub(mid).times(1 / diag)
		side += distance(c[i], c[(i+1)%4]) / diag / 4
	}
	along := unit[1].add(unit[2]).sub(unit[0]).sub(unit[3])
	roll := math.Atan2(along[1], along[0])
	centre := unit[0].add(unit[1]).add(unit[2]).add(unit[3]).times(0.25)
	best := math.Inf(1)
	for _, lean := range [5]Point{{0.05, 0.05}, {0.4, 0}, {-0.4, 0}, {0, 0.4}, {0, -0.4}} {
		best = min(best, squareMisfit(unit, lean, roll, centre, side))
	}
	off, sure := best*diag, 0.3
	for _, e := range se {
		sure = max(sure, e)
	}
	if off < 4*sure+0.001*side*diag {
		return 0
	}
	return off
}

// squareMisfit is how far the corners of a square stay off, seen by the pinhole that fits
// best from a start; all in diagonals of the picture.
func squareMisfit(c [4]Point, lean Point, roll float64, centre Point, side float64) float64 {
	x := []float64{lean[0], lean[1], roll, centre[0] / side, centre[1] / side, 1 / side, 0, 0, 0}
	const stiff = 0.5 // weight of what no usual lens does, against misses of the corners
	value := func(x []float64, i int) float64 {
		if i < 8 {
			return seenCorner(x, i/2)[i%2] - c[i/2][i%2]
		}
		switch i {
		case 8: // log of the focal length in diagonals: of 24 to 170 mm on 35 mm film
			return stiff*beyond(x[6], -0.6, 1.4) + 1e-4*x[6]
		case 9:
			return stiff*beyond(x[7], -0.25, 0.25) + 1e-4*x[7]
		}
		return stiff*beyond(x[8], -0.25, 0.25) + 1e-4*x[8]
	}
	minimise(x, 11, func(x []float64, i int, grad []float64) float64 {
		const step = 1e-6
		r := value(x, i)
		for k := range x {
			keep := x[k]
			x[k] += step
			grad[k] = (value(x, i) - r) / step
			x[k] = keep
		}
		return r
	}, nil)
	worst := 0.0
	for i := range c {
		worst = max(worst, distance(seenCorner(x, i), c[i]))
	}
	if math.IsNaN(worst) {
		return math.Inf(1)
	}
	return worst
}

// seenCorner is where a pinhole sees a corner of a square of side 1: turns about three
// axes, place, log of the focal length, middle.
func seenCorner(x []float64, corner int) Point {
	p := [4]Point{{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}}[corner]
	sr, cr := math.Sincos(x[2])
	p = Point{cr*p[0] - sr*p[1], sr*p[0] + cr*p[1]}
	sa, ca := math.Sincos(x[0])
	sb, cb := math.Sincos(x[1])
	y, z := ca*p[1], sa*p[1]
	u, z := cb*p[0]+sb*z, cb*z-sb*p[0]
	k := math.Exp(x[6]) / (z + x[5]*math.Exp(x[6]))
	return Point{k*(u+x[3]) + x[7], k*(y+x[4]) + x[8]}
}

func beyond(v, least, most float64) float64 { return max(v-most, 0) + min(v-least, 0) }

// tickedSide reads the ticks that stand every 5 mm outside the printed square and gives
// the side that they say, mm; 0 where there are none to be seen. plane carries px to a
// square of the given side.
func (l light) tickedSide(plane Homography, sideMM float64) float64 {
	back := plane.Inverse()
	best, at := 0.0, 0.0
	for mm := LeastTargetMM; mm <= MostTargetMM; mm += 2.5 {
		if s := l.ticksFor(back, sideMM, mm); s > best {
			best, at = s, mm
		}
	}
	if best < 0.55 {
		return 0
	}
	return at
}

// ticksFor is how well the ticks of a square of mm stand where they should, 0 to 1: darker
// than the gaps between them by so much of what paper and ink differ.
func (l light) ticksFor(back Homography, sideMM, mm float64) float64 {
	const out = 0.38 // mm outside; twice as far still meets the short ticks of a square twice as large
	k := sideMM / mm // mm of the print in units of the plane
	h := sideMM / 2
	at := func(side int, along, off float64) float64 {
		p := Point{-h + along*k, -h - off*k}
		for range side {
			p = Point{-p[1], p[0]}
		}
		return l.lumaAt(back.Apply(p))
	}
	seen, all := 0.0, 0.0
	for side := range 4 {
		for v := 5.0; v < mm-1; v += 5 {
			paper := min(at(side, v-1.2, out), at(side, v+1.2, out))
			ink := at(side, v, -0.5*0.016*mm)
			all++
			if paper-ink < 0.15 {
				continue // covered
			}
			// the ticks may lie a little beside where the plane puts them
			tick := min(at(side, v, out), at(side, v-0.1, out), at(side, v+0.1, out))
			middle := at(side, v+2.5, out)
			if d := (min(paper, middle) - tick) / (paper - ink); d > 0.25 {
				seen++
			} else {
				seen -= 0.25
			}
		}
	}
	if all == 0 {
		return 0
	}
	return seen / all
}

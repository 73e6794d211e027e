package photo

import "math"

// Lugs stand out beyond the round of the case. The band between the lugs has two long edges, and the tips of the four
// lugs lie on one line at twelve and one at six: so sharp edges are gathered along many ways, as for the case, and the
// places on which most of them lie are taken. A shadow's edge is soft and does not count. Only with a printed square,
// which gives the ways their size. The crown is not looked for: the outermost of its flutes shines as the ground does,
// and what is seen of it is a tenth too small.

// caseFrame are ways along the watch, in mm from the middle of the case, twelve up.
type caseFrame struct {
	l                 light
	toPx              Homography // of cells
	middle, right, up Point      // cells; right and up of 1 mm
	r                 float64    // radius of the case, mm
}

func (l light) caseFrame(w watchSeen, squareMM float64) caseFrame {
	mm := squareMM * 2 * gridReach / roundSide // of a cell
	s, c := math.Sincos(rad(w.twelve))
	return caseFrame{l: l, toPx: w.toPx, middle: Point{w.midCase.X, w.midCase.Y}, right: Point{c / mm, s / mm},
		up: Point{s / mm, -c / mm}, r: math.Sqrt(w.midCase.A*w.midCase.B) * mm}
}

// at is the place x to the right and y up in the picture.
func (f caseFrame) at(x, y float64) Point {
	return f.toPx.Apply(f.middle.add(f.right.times(x)).add(f.up.times(y)))
}

// sharpEdge is a sharp edge on a way: mm from its beginning, and how strong, 0 to 1.
type sharpEdge struct{ at, weight float64 }

// edgesAlong lists the sharp edges from one place to another that are so many mm apart.
func (f caseFrame) edgesAlong(a, b Point, mm float64) []sharpEdge {
	if !f.l.inside(a, 6) || !f.l.inside(b, 6) {
		return nil
	}
	n, long := b.sub(a).unit(), distance(a, b)
	var out []sharpEdge
	for _, e := range f.l.edgesAcross(lerp(a, b, 0.5), n, long/2, 1) {
		at := lerp(a, b, 0.5).add(n.times(e.t))
		if v := math.Abs(e.slope); v > 0.01 && f.l.sharpAt(at, n) {
			out = append(out, sharpEdge{(e.t + long/2) / long * mm, min(v, 0.04) / 0.04})
		}
	}
	return out
}

// tally counts edges by where they lie, in steps of a twentieth of a mm.
type tally struct {
	from float64
	n    []float64
}

const tallyStep = 0.05

func newTally(from, to float64) tally {
	return tally{from, make([]float64, int((to-from)/tallyStep)+1)}
}

// add counts the strongest edge of a way at each place once, so that no one way outweighs the others.
func (t tally) add(edges []sharpEdge) {
	const sigma = 0.15
	for i := range t.n {
		at, best := t.from+float64(i)*tallyStep, 0.0
		for _, e := range edges {
			if d := (e.at - at) / sigma; d*d < 9 {
				best = max(best, e.weight*math.Exp(-0.5*d*d))
			}
		}
		t.n[i] += best
	}
}

func (t tally) at(v float64) float64 {
	i := int(math.Round((v - t.from) / tallyStep))
	if i < 0 || i >= len(t.n) {
		return 0
	}
	return t.n[i]
}

// pair is the best of two places, one of each tally, that lie about as far out; most is how far they may be apart.
func pair(a, b tally, most float64) (x, y, score float64) {
	for i := range a.n {
		at := a.from + float64(i)*tallyStep
		for d := -most; d <= most; d += tallyStep {
			v := math.Sqrt(a.n[i]*b.at(at+d)) * math.Exp(-0.5*d*d/(0.25*most*most))
			if v > score {
				x, y, score = at, at+d, v
			}
		}
	}
	return x, y, score
}

const (
	leastLengthSure  = 0.45 // how sure a length must be to be proposed
	lugWidthBelowTip = 1.2  // mm, where the space between the lugs is measured
	lugWays          = 8    // ways along each lug
	bandWays         = 22   // ways across the band, at twelve and at six
	bareWays         = 8    // ways between the lugs where there is no band
)

// findLengths proposes lug width and lug to lug.
func (l light) findLengths(w watchSeen, squareMM float64) []FoundLength {
	f := l.caseFrame(w, squareMM)
	var out []FoundLength
	add := func(name string, a, b Point, sure float64) {
		if sure = min(sure, 0.95) * w.caseSure; sure >= leastLengthSure && l.inside(a, 2) && l.inside(b, 2) {
			out = append(out, FoundLength{Name: name, A: a, B: b, Sure: sure})
		}
	}
	left, right, band := f.findBand(bandWays)
	bare := band == 0
	if bare {
		left, right, band = f.findBand(bareWays)
	}
	if band > 0 {
		top, bottom, tips := f.findTips(left, right)
		x := right + 1.2
		add("lug to lug", f.at(x, top), f.at(x, -bottom), math.Sqrt(band*tips))
		y := top - lugWidthBelowTip
		a, b, faces := 0.0, 0.0, 1.0
		if !bare {
			a, b, faces = f.findFaces(left, right, top, bottom)
		}
		add("lug width", f.at(-left-a, y), f.at(right+b, y), math.Cbrt(band*tips*faces))
	}
	return out
}

// findBand is how far left and right of the middle the edges of the band lie, and on which share of the ways.
func (f caseFrame) findBand(count int) (left, right, share float64) {
	const least, most = 6.0, 13.0
	tl, tr := newTally(least, most), newTally(least, most)
	ways := 0.0
	for _, side := range [2]float64{1, -1} {
		for i := range count {
			y := side * (1.06*f.r + 0.4*float64(i))
			tl.add(shifted(f.edgesAlong(f.at(-least+0.5, y), f.at(-most-0.5, y), most-least+1), least-0.5))
			tr.add(shifted(f.edgesAlong(f.at(least-0.5, y), f.at(most+0.5, y), most-least+1), least-0.5))
			ways++
		}
	}
	left, right, score := pair(tl, tr, 1)
	if share = score / ways; share < 0.3 {
		return 0, 0, 0
	}
	return left, right, min(1, 1.6*share)
}

func shifted(edges []sharpEdge, by float64) []sharpEdge {
	for i := range edges {
		edges[i].at += by
	}
	return edges
}

// findTips is how far above and below the middle the tips of the lugs lie, and on which share of the ways.
func (f caseFrame) findTips(left, right float64) (top, bottom, share float64) {
	from, to := 1.06*f.r, 1.42*f.r
	var t [2]tally
	for k, side := range [2]float64{1, -1} {
		one, other := newTally(from, to), newTally(from, to)
		for i := range lugWays {
			out := 0.55 + 0.17*float64(i)
			one.add(shifted(f.edgesAlong(f.at(-left-out, side*from), f.at(-left-out, side*to), to-from), from))
			other.add(shifted(f.edgesAlong(f.at(right+out, side*from), f.at(right+out, side*to), to-from), from))
		}
		t[k] = newTally(from, to)
		for i := range t[k].n { // both lugs of a pair end alike
			near := 0.0
			for d := -4; d <= 4; d++ {
				if j := i + d; j >= 0 && j < len(other.n) {
					near = max(near, other.n[j])
				}
			}
			t[k].n[i] = math.Sqrt(one.n[i] * near)
		}
	}
	top, bottom, score := pair(t[0], t[1], 1.2)
	return top, bottom, min(1, 1.6*score/lugWays)
}

// findFaces is how far beyond the edges of the band the faces of the lugs lie that are turned to it: where it grows
// lighter outwards, from the gap to the metal, on both sides alike, and on which share of the ways.
func (f caseFrame) findFaces(left, right, top, bottom float64) (gapLeft, gapRight, share float64) {
	const usual, most = 0.15, 1.2
	tl, tr := newTally(0.05, most), newTally(0.05, most)
	ways := 0.0
	for _, end := range [2]float64{top, -bottom} {
		for in := 0.6; in < 2.3; in += 0.2 {
			y := end - math.Copysign(in, end)
			tl.add(f.lighterOutwards(f.at(-left, y), f.at(-left-most-0.3, y), most+0.3))
			tr.add(f.lighterOutwards(f.at(right, y), f.at(right+most+0.3, y), most+0.3))
			ways++
		}
	}
	for _, t := range [2]tally{tl, tr} {
		for i := range t.n {
			off := (t.from + float64(i)*tallyStep - usual) / 0.4
			t.n[i] *= math.Exp(-0.5 * off * off)
		}
	}
	gapLeft, gapRight, score := pair(tl, tr, 0.15)
	return gapLeft, gapRight, min(1, 1.6*score/ways)
}

// lighterOutwards lists the edges on a way at which it grows lighter.
func (f caseFrame) lighterOutwards(a, b Point, mm float64) []sharpEdge {
	if !f.l.inside(a, 6) || !f.l.inside(b, 6) {
		return nil
	}
	long := distance(a, b)
	var out []sharpEdge
	for _, e := range f.l.edgesAcross(lerp(a, b, 0.5), b.sub(a).unit(), long/2, 1) {
		if e.slope > 0.01 {
			out = append(out, sharpEdge{(e.t/long + 0.5) * mm, min(e.slope, 0.04) / 0.04})
		}
	}
	return out
}

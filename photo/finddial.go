package photo

import (
	"cmp"
	"math"
	"slices"
)

// dialSeen is a dial on a grid.
type dialSeen struct {
	rim    Ellipse // cells
	share  float64 // of the way round where the rim shows
	sure   float64
	score  float64
	ground Lab     // of the bare dial
	phase  float64 // degrees clockwise from up at which an hour stands, −15 to 15
	marks  float64 // how plainly marks stand at every hour, 0 to 1
}

// findDial chooses the round edge that bounds the dial: within it the colour of the bare
// dial, outside it another, and marks at the hours.
func (u unrolled) findDial(rings []ringEdge) (dialSeen, bool) {
	var all []dialSeen
	score, largest := 0.0, 0.0
	for _, r := range rings {
		if r.share > 0.5 {
			largest = max(largest, r.r)
		}
	}
	for _, r := range rings {
		if r.r < 0.35*largest || r.r > 1.12 {
			continue
		}
		e, ok := u.trackRing(r, 0.05*r.r+3*u.step)
		if !ok || e.A < 12 || slices.ContainsFunc(all, func(d dialSeen) bool { return sameRound(d.rim, e) }) {
			continue
		}
		d := u.judgeDial(e, r.sign)
		if d.share < 0.5 {
			continue
		}
		all, score = append(all, d), max(score, d.score)
	}
	slices.SortFunc(all, func(a, b dialSeen) int { return cmp.Compare(a.rim.A, b.rim.A) })
	// a bezel has marks and a dark insert too: the innermost of the good ones is the dial's
	for _, d := range all {
		if d.score >= 0.4*score {
			d.sure = min(0.98, 0.35+0.4*d.share+0.35*d.marks)
			return d, true
		}
	}
	return dialSeen{}, false
}

func sameRound(a, b Ellipse) bool {
	return math.Abs(a.A-b.A)+math.Abs(a.B-b.B)+distance(Point{a.X, a.Y}, Point{b.X, b.Y}) < 1
}

// judgeDial says how much a round edge looks like that of a dial.
func (g grid) judgeDial(e Ellipse, sign float64) dialSeen {
	d := dialSeen{rim: e, share: g.shareOn(e, sign)}
	d.ground = g.colourOn(e, 0.12, 0.62)
	in, out := g.colourOn(e, 0.94, 0.985), g.colourOn(e, 1.01, 1.04)
	d.phase, d.marks = g.hourMarks(e, d.ground)
	apart, alike := min(labDistance(in, out)/20, 1), math.Exp(-labDistance(in, d.ground)/25)
	d.score = d.share * (0.1 + apart) * alike * (0.3 + d.marks)
	return d
}

// shareOn is the share of the way round on which lightness steps by the sign.
func (g grid) shareOn(e Ellipse, sign float64) float64 {
	seen, all := 0.0, 0.0
	for a := 0; a < turns; a += 2 {
		p, n := e.At(rad(float64(a)))
		if !g.holds(p) {
			continue
		}
		all++
		for _, t := range [3]float64{-1, 0, 1} {
			q := p.add(n.times(t))
			if sign*(g.at(q.add(n.times(1.5)))-g.at(q.sub(n.times(1.5)))) > 0.035 {
				seen++
				break
			}
		}
	}
	return seen / max(all, 60)
}

// colourOn is the median colour between two shares of the radius.
func (g grid) colourOn(e Ellipse, from, to float64) Lab {
	m := e.unitCircle()
	var v []Lab
	for a := 0; a < turns; a += 3 {
		s, c := math.Sincos(rad(float64(a)))
		for k := range 5 {
			r := from + (to-from)*(float64(k)+0.5)/5
			v = append(v, g.colourAt(m.Apply(Point{r * s, -r * c})))
		}
	}
	return medianLab(v)
}

// hourMarks tells how plainly something stands at every thirtieth degree between 0.55 and
// 0.96 of the radius, and by how much that is turned from up.
func (g grid) hourMarks(e Ellipse, ground Lab) (phase, plain float64) {
	const from, to = 0.55, 0.96
	m := e.unitCircle()
	columns := max(int((to-from)*e.A), 4)
	var seen [turns]float64
	sum := 0.0
	for a := range turns {
		s, c := math.Sincos(rad(float64(a)))
		for i := range columns {
			r := from + (to-from)*(float64(i)+0.5)/float64(columns)
			d := labDistance(g.colourAt(m.Apply(Point{r * s, -r * c})), ground)
			seen[a] += min(max(d-8, 0), 30) / 30 / float64(columns)
		}
		sum += seen[a]
	}
	if sum < 1 {
		return 0, 0
	}
	// hands and falling light make broad bumps; only what changes within an hour counts
	var flat, folded [turns]float64
	var re, im, all, rep float64
	for a := range turns {
		mean := 0.0
		for k := -15; k <= 15; k++ {
			mean += seen[(a+k+turns)%turns] / 31
		}
		flat[a] = min(max(seen[a]-mean, -0.2), 0.25)
		s, c := math.Sincos(rad(float64(12 * a)))
		re, im = re+flat[a]*c, im+flat[a]*s
		all += flat[a] * flat[a]
		folded[a%30] += flat[a] / 12
	}
	for _, v := range folded[:30] {
		rep += v * v * 12
	}
	// random bumps repeat by one part in twelve
	plain = min(max((rep/max(all, 1e-9)-1.0/12)/(1-1.0/12), 0), 1)
	return math.Atan2(im, re) * 180 / math.Pi / 12, plain
}

package photo

import "math"

// The case about a dial. Seen at an angle the mid-case lies lower than the dial and beside
// it, its shadow is a soft edge, bezel and bevels are round edges too: so sharp edges are
// gathered in the full picture along rays that neither lugs nor crown cross, and the circle
// on which most of them lie is taken, little shifted from the dial rather than much.

// caseRay is a way outwards from the dial with the edges on it, in radii of the dial.
type caseRay struct {
	dir   Point
	side  int // 0 beside nine, 1 beside three
	edges []caseEdge
}

type caseEdge struct{ r, weight float64 }

const (
	caseFrom, caseTo = 1.05, 1.8 // where the edge of the case may lie, in radii of the dial
	mostShift        = 0.08
)

// findCase looks for the edge of the mid-case.
func (l light) findCase(w *watchSeen, u unrolled) {
	flat := w.flat(u.shape)
	rays := l.caseRays(flat, w.twelve)
	if len(rays) < 30 {
		return
	}
	nine, three := w.besides(-90, 21), w.besides(90, 21)
	top, second := caseFit{}, 0.0
	for r := caseFrom; r < caseTo; r += 0.004 {
		colour := math.Sqrt(u.edgeOfCase(nine, r) * u.edgeOfCase(three, r))
		if colour < 0.02 {
			continue
		}
		fit := bestShift(rays, r)
		fit.score *= colour
		if w.expected > 0 {
			off := (r/w.expected - 1) / 0.03
			fit.score *= 0.1 + math.Exp(-0.5*off*off)
		}
		switch {
		case fit.score > top.score:
			if math.Abs(fit.r-top.r) > 0.02 {
				second = max(second, top.score)
			}
			top = fit
		case math.Abs(fit.r-top.r) > 0.02:
			second = max(second, fit.score)
		}
	}
	if top.share < 0.4 {
		return
	}
	toCells := w.toPx.Inverse().Times(flat.Inverse())
	e, err := pictureOf(toCells, Circle{X: top.shift[0], Y: top.shift[1], R: top.r})
	if err != nil {
		return
	}
	if w.plane != nil && tiltOf(w.plane.Inverse().jacobian(Point{})) > 6 && top.shift.length() > 0.03 {
		// seen at an angle and lying well below the dial: bezel and flank hide or widen it
		w.caseHidden = true
		return
	}
	w.hasCase, w.midCase = true, e
	w.caseSure = min(0.95, (0.35+0.7*top.share)*(1-0.4*second/top.score))
}

// flat carries px to where the dial is the unit circle, tilt taken out as far as the
// square or the form of the dial shows it.
func (w watchSeen) flat(shape Ellipse) Homography {
	return shape.unitCircle().Inverse().Times(w.toPx.Inverse())
}

// besides tells the directions within so many degrees of one, counted from twelve.
func (w watchSeen) besides(middle, half float64) func(int) bool {
	return func(deg int) bool {
		d := math.Remainder(float64(deg)-w.twelve-middle, 360)
		return math.Abs(d) < half && (middle < 0 || math.Abs(d) > 11)
	}
}

// caseRays gathers sharp edges along ways outwards beside nine and beside three.
func (l light) caseRays(flat Homography, twelve float64) []caseRay {
	toPx := flat.Inverse()
	var out []caseRay
	for d := -21.0; d <= 21; d += 1.0 {
		for side, mid := range [2]float64{-90, 90} {
			if mid > 0 && math.Abs(d) < 11 {
				continue // the crown
			}
			s, c := math.Sincos(rad(twelve + mid + d))
			dir := Point{s, -c}
			a, b := toPx.Apply(dir.times(caseFrom-0.03)), toPx.Apply(dir.times(caseTo+0.03))
			if !l.inside(a, 4) || !l.inside(b, 4) {
				continue
			}
			ray := caseRay{dir: dir, side: side}
			n := b.sub(a).unit()
			for _, e := range l.edgesAcross(lerp(a, b, 0.5), n, distance(a, b)/2, 1) {
				at := lerp(a, b, 0.5).add(n.times(e.t))
				if v := math.Abs(e.slope); v > 0.012 && l.sharpAt(at, n) {
					ray.edges = append(ray.edges, caseEdge{flat.Apply(at).length(), min(v, 0.025) / 0.025})
				}
			}
			out = append(out, ray)
		}
	}
	return out
}

// sharpAt reports whether lightness changes within few px and not, as at the rim of a
// shadow, over many.
func (l light) sharpAt(p, n Point) bool {
	k := l.pickSE()
	step := func(t float64) float64 {
		return math.Abs(l.lumaAt(p.add(n.times(t*k))) - l.lumaAt(p.sub(n.times(t*k))))
	}
	return step(2) > 0.55*step(6)
}

// caseFit is a circle among the edges.
type caseFit struct {
	r, score, share float64
	shift           Point
}

// bestShift is how many of the rays have an edge on a circle, its middle shifted as fits
// best.
func bestShift(rays []caseRay, r float64) caseFit {
	const sigma = 0.006
	best := caseFit{r: r}
	try := func(shift Point) {
		var sum, all [2]float64 // beside nine and beside three
		hit := 0.0
		for _, ray := range rays {
			at := r + shift.dot(ray.dir)
			one := 0.0
			for _, e := range ray.edges {
				if d := (e.r - at) / sigma; d*d < 9 {
					one = max(one, e.weight*math.Exp(-0.5*d*d))
				}
			}
			all[ray.side]++
			sum[ray.side] += one
			if one > 0.15 {
				hit++
			}
		}
		n := float64(len(rays))
		s := math.Sqrt(sum[0]/max(all[0], 8)*sum[1]/max(all[1], 8)) * math.Exp(-0.5*shift.dot(shift)/(0.04*0.04))
		if s > best.score {
			best.score, best.shift, best.share = s, shift, hit/n
		}
	}
	for x := -mostShift; x <= mostShift+1e-9; x += 0.016 {
		for y := -mostShift; y <= mostShift+1e-9; y += 0.016 {
			try(Point{x, y})
		}
	}
	for _, step := range [2]float64{0.008, 0.004} {
		mid := best.shift
		for _, d := range [8]Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
			try(mid.add(d.times(step)))
		}
	}
	return best
}

// edgeOfCase is how much the colours on both sides of a distance are those of metal and of
// what lies about the watch, 0 to 1.
func (u unrolled) edgeOfCase(use func(int) bool, r float64) float64 {
	in, out := u.colourIn(use, 0.95*r, 0.98*r), u.colourIn(use, 1.03*r, 1.06*r)
	far, beyond := u.colourIn(use, 1.14*r, 1.2*r), u.colourIn(use, 1.34*r, 1.42*r)
	off := labDistance(out, far)/14 + labDistance(far, beyond)/20
	return (0.1 + min(labDistance(in, out)/15, 1)) / 1.1 * math.Exp(-off)
}

package photo

import (
	"image"
	"math"
	"slices"
)

// LetteringSheet is a picture made for a reader of print: grey, its contrast evened out, letters upright.
type LetteringSheet struct {
	Image *image.Gray
	Round bool // rings about a middle, unrolled and laid below one another
	place func(Point) Point
}

// At is where a point of the sheet lies in the photograph.
func (s LetteringSheet) At(p Point) Point { return s.place(p) }

const (
	sheetSide    = 2000 // px, the longer side of a sheet with the picture as it is
	leastSide    = 1000 // px, smaller pictures are enlarged: readers of print want letters of 20 px and more
	bandHigh     = 0.16 // height of a ring, in radii
	bandStep     = 0.08 // so that a line cut by one ring lies whole in the next
	innermost    = 0.18 // nothing closer to the middle is lettered round it
	bandPx       = 96   // px, height of a ring on the sheet
	bandGap      = 24   // px, between rings
	overlapTurns = 0.1  // of a turn, so that a line across the seam is whole once
)

// Lettering makes the sheets of a photograph: the picture as it is, and, where a round part is found or points along
// the lettering are given, the rings about its middle, read with the feet inwards and outwards.
func Lettering(img image.Image, through []Point) ([]LetteringSheet, error) {
	l, err := newLight(img)
	if err != nil {
		return nil, err
	}
	out := []LetteringSheet{l.straightSheet()}
	if len(through) > 0 {
		c, err := FitCircle(through)
		if err != nil {
			return nil, pickError("through", "three points or more along the lettering, not in one line", "%d points", len(through))
		}
		return l.withRings(out, Ellipse{c.X, c.Y, c.R, c.R, 0}, []float64{1 - bandHigh/3, 1, 1 + bandHigh/3}), nil
	}
	if e, ok := l.roundPart(); ok {
		var middles []float64
		for r := innermost + bandHigh/2; r <= 1-bandHigh/2; r += bandStep {
			middles = append(middles, r)
		}
		out = l.withRings(out, e, middles)
	}
	return out, nil
}

func (l light) withRings(out []LetteringSheet, e Ellipse, middles []float64) []LetteringSheet {
	if s, ok := l.ringSheet(e, middles); ok {
		return append(out, s)
	}
	return out
}

// roundPart is the largest round edge about the middle that most edges point at, in px.
func (l light) roundPart() (Ellipse, bool) {
	g := l.wholeGrid(roundSide, true).smoothed()
	g.round = 0.82
	u, rings, ok := g.roundest()
	if !ok || len(rings) == 0 {
		return Ellipse{}, false
	}
	seen := slices.DeleteFunc(rings, func(r ringEdge) bool { return r.share < 0.4 || r.r < 0.25 })
	if len(seen) == 0 {
		return Ellipse{}, false
	}
	r := seen[len(seen)-1].r
	k := g.toPx[0]
	return Ellipse{u.shape.X * k, u.shape.Y * k, u.shape.A * r * k, u.shape.B * r * k, u.shape.Angle}, true
}

// straightSheet is the picture as it is.
func (l light) straightSheet() LetteringSheet {
	k := 1.0
	switch side := float64(max(l.w, l.h)); {
	case side > sheetSide:
		k = side / sheetSide
	case side < leastSide:
		k = side / leastSide
	}
	w, h := max(int(float64(l.w)/k), 1), max(int(float64(l.h)/k), 1)
	s := LetteringSheet{place: func(p Point) Point { return Point{p[0] * k, p[1] * k} }}
	s.Image = l.grey(w, h, k, s.place)
	reach := max(max(w, h)/24, 4)
	evenContrast(s.Image, reach, surfaceOf([]*image.Gray{s.Image}, reach))
	return s
}

// ringSheet unrolls rings of a round part, each once with the feet of its letters to the middle and once away from it.
// Rings on which nothing stands out are left out.
func (l light) ringSheet(e Ellipse, middles []float64) (LetteringSheet, bool) {
	perPx := bandHigh / bandPx // radii a px
	var strips []*image.Gray
	for _, r := range middles {
		for _, outwards := range [2]bool{false, true} {
			strips = append(strips, l.grey(ringWide(r, perPx), bandPx, perPx*e.A, func(p Point) Point {
				return onRing(e, r, outwards, p, perPx)
			}))
		}
	}
	least := surfaceOf(strips, bandPx/2)
	var kept []int
	wide := 0
	for i, strip := range strips {
		if evenContrast(strip, bandPx/2, least) {
			kept, wide = append(kept, i), max(wide, strip.Rect.Dx())
		}
	}
	if len(kept) == 0 {
		return LetteringSheet{}, false
	}
	const high = bandPx + bandGap
	s := LetteringSheet{Round: true, Image: image.NewGray(image.Rect(0, 0, wide, len(kept)*high))}
	s.place = func(p Point) Point {
		row := min(max(int(p[1])/high, 0), len(kept)-1)
		return onRing(e, middles[kept[row]/2], kept[row]%2 == 1, Point{p[0], p[1] - float64(row*high)}, perPx)
	}
	for i := range s.Image.Pix {
		s.Image.Pix[i] = evenGrey
	}
	for row, i := range kept {
		for y := range bandPx {
			copy(s.Image.Pix[(row*high+y)*s.Image.Stride:], strips[i].Pix[y*strips[i].Stride:][:strips[i].Rect.Dx()])
		}
	}
	return s, true
}

func ringWide(r, perPx float64) int { return int(2 * math.Pi * r / perPx * (1 + overlapTurns)) }

// onRing is where a point of an unrolled ring lies: it runs clockwise from six o'clock, or, where the feet of the
// letters lie outside, the other way from twelve.
func onRing(e Ellipse, r float64, outwards bool, p Point, perPx float64) Point {
	deg := p[0] * perPx / r * 180 / math.Pi
	up := (float64(bandPx)/2 - p[1]) * perPx
	if outwards {
		return e.ray(-deg, r-up)
	}
	return e.ray(180+deg, r+up)
}

// grey samples the picture where place puts the middles of the pixels; px is how many px of the picture one covers.
func (l light) grey(w, h int, px float64, place func(Point) Point) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, w, h))
	k := min(max(int(math.Round(px)), 1), 4)
	for y := range h {
		for x := range w {
			sum := 0.0
			for i := range k * k {
				u, v := (float64(i%k)+0.5)/float64(k), (float64(i/k)+0.5)/float64(k)
				sum += l.lumaAt(place(Point{float64(x) + u, float64(y) + v}))
			}
			out.Pix[y*out.Stride+x] = uint8(255*min(max(sum/float64(k*k), 0), 1) + 0.5)
		}
	}
	return out
}

const (
	evenGrey      = 200 // what an even surface becomes
	evenSpread    = 60  // what one standard deviation about it becomes
	leastContrast = 5.0 // of 255
	overSurface   = 2.5 // lettering stands out this many times more than the surface about it
)

// surfaceOf is the spread of the plain surface on pictures: that of a third of all places.
func surfaceOf(all []*image.Gray, reach int) float64 {
	var spreads []float64
	for _, g := range all {
		t := newSurface(g, reach)
		for y := reach; y < g.Rect.Dy(); y += reach {
			for x := reach; x < g.Rect.Dx(); x += reach {
				_, spread := t.about(x, y)
				spreads = append(spreads, spread)
			}
		}
	}
	if len(spreads) == 0 {
		return leastContrast
	}
	slices.Sort(spreads)
	return max(spreads[len(spreads)/3], leastContrast/overSurface)
}

// evenContrast takes slow changes of light out and gives lettering the same contrast in all places: engraved letters
// are darker here and lighter there. What is no stronger than the plain surface becomes even; it reports whether
// anything is.
func evenContrast(g *image.Gray, reach int, plain float64) (lettered bool) {
	t := newSurface(g, reach)
	strong := 0
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			mean, spread := t.about(x, y)
			d := float64(g.Pix[y*g.Stride+x]) - mean
			if math.Abs(d) > overSurface*plain {
				strong++
			}
			d -= max(min(d, 1.5*plain), -1.5*plain)
			v := evenGrey + evenSpread*d/max(spread, overSurface*plain)
			g.Pix[y*g.Stride+x] = uint8(min(max(v, 0), 255))
		}
	}
	return strong > g.Rect.Dx()*g.Rect.Dy()/200
}

// surface holds running sums of a picture, for the mean and spread about any place.
type surface struct {
	w, h, reach  int
	sum, squares []float64
}

func newSurface(g *image.Gray, reach int) surface {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	t := surface{w: w, h: h, reach: reach, sum: make([]float64, (w+1)*(h+1)), squares: make([]float64, (w+1)*(h+1))}
	for y := range h {
		for x := range w {
			v := float64(g.Pix[y*g.Stride+x])
			i := (y+1)*(w+1) + x + 1
			t.sum[i] = v + t.sum[i-1] + t.sum[i-w-1] - t.sum[i-w-2]
			t.squares[i] = v*v + t.squares[i-1] + t.squares[i-w-1] - t.squares[i-w-2]
		}
	}
	return t
}

func (t surface) about(x, y int) (mean, spread float64) {
	top, bottom := max(y-t.reach, 0), min(y+t.reach+1, t.h)
	left, right := max(x-t.reach, 0), min(x+t.reach+1, t.w)
	box := func(of []float64) float64 {
		row := t.w + 1
		return of[bottom*row+right] - of[top*row+right] - of[bottom*row+left] + of[top*row+left]
	}
	n := float64((bottom - top) * (right - left))
	mean = box(t.sum) / n
	return mean, math.Sqrt(max(box(t.squares)/n-mean*mean, 0))
}

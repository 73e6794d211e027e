package chart

import (
	"math"

	"midcase/evidence"
)

// pen draws about a middle, in millimetres of the drawing.
type pen struct {
	d    *Drawing
	x, y float64
}

func (p pen) pt(x, y float64) Point { return Point{enlarged * (p.x + x), enlarged * (p.y + y)} }

func (p pen) points(xy [][2]float64) []Point {
	out := make([]Point, len(xy))
	for i, one := range xy {
		out[i] = p.pt(one[0], one[1])
	}
	return out
}

func (p pen) polygon(style string, xy ...[2]float64) {
	p.d.add(Outline{style, []Shape{{Points: p.points(xy), Closed: true}}})
}

func (p pen) curved(style string, xy ...[2]float64) {
	p.d.add(Outline{style, []Shape{{Points: p.points(xy), Curved: true, Closed: true}}})
}

func (p pen) rect(style string, x, y, wide, high float64) {
	p.d.add(Rect{style, p.pt(x, y), enlarged * wide, enlarged * high})
}

func (p pen) circle(style string, x, y, r float64) {
	p.d.add(Circle{Style: style, At: p.pt(x, y), R: enlarged * r})
}

func (p pen) line(style string, x1, y1, x2, y2 float64) {
	p.d.add(Line{style, p.pt(x1, y1), p.pt(x2, y2)})
}

// turned is a point at an angle clockwise from 12 o'clock.
func turned(deg, r float64) (x, y float64) {
	a := (deg - 90) * math.Pi / 180
	return r * math.Cos(a), r * math.Sin(a)
}

func (p pen) spoke(style string, deg, from, to float64) {
	x1, y1 := turned(deg, from)
	x2, y2 := turned(deg, to)
	p.line(style, x1, y1, x2, y2)
}

// front is the watch as it is worn: bracelet, case with its lugs, dial.
func (p pen) front(has map[evidence.Slot]bool) {
	p.bracelet()
	p.rect("part", 18.4, -2.6, 4.4, 5.2) // crown
	for k := -2.0; k <= 2; k++ {
		p.line("part fine", 20, 0.8*k, 22.6, 0.8*k)
	}
	if has[evidence.Pushers] {
		for _, dir := range []float64{-1, 1} {
			p.rect("part", 15.5, dir*9.6-1.1, 4.2, 2.2)
			p.rect("part", 18.6, dir*9.6-1.7, 2.4, 3.4)
		}
	}
	for _, dx := range []float64{-1, 1} {
		for _, dy := range []float64{-1, 1} {
			p.curved("part", [2]float64{dx * 19, 0}, [2]float64{dx * 19.6, dy * 10}, [2]float64{dx * 17.5, dy * 20},
				[2]float64{dx * 14, dy * 26}, [2]float64{dx * 12.5, dy * 26.8}, [2]float64{dx * 10.8, dy * 26.4},
				[2]float64{dx * 10, dy * 25}, [2]float64{dx * 9.7, dy * 22}, [2]float64{dx * 9.6, dy * 19},
				[2]float64{dx * 9.6, dy * 15}, [2]float64{dx * 9.6, dy * 10}, [2]float64{dx * 9.6,
					dy * 5}, [2]float64{dx * 9.6, 0})
		}
	}
	p.circle("part", 0, 0, 19)
	p.circle("part tint", 0, 0, 17.6) // bezel
	p.circle("part", 0, 0, 15.2)      // crystal
	p.circle("part fine", 0, 0, 14.6)
	p.dial()
}

func (p pen) bracelet() {
	for _, dir := range []float64{-1, 1} {
		const high = 4.6
		wide, y := 9.6, dir*24.5
		for range 4 {
			top := min(y, y+dir*high)
			p.rect("part", -wide, top, 2*wide, high)
			p.line("part fine", -0.45*wide, top, -0.45*wide, top+high)
			p.line("part fine", 0.45*wide, top, 0.45*wide, top+high)
			y, wide = y+dir*high, wide-0.22
		}
		p.rect("part tint", -9.6, min(dir*18, dir*24.5), 19.2, 6.5) // end piece
	}
	p.rect("part", -9.2, 88.6-frontY, 18.4, 7) // clasp
	p.line("part fine", -9.2, 90.6-frontY, 9.2, 90.6-frontY)
	p.line("part fine", -3, 93.2-frontY, 3, 93.2-frontY)
}

func (p pen) dial() {
	for m := range 60 {
		in := 13.9
		if m%5 == 0 {
			in = 13.4
		}
		p.spoke("part fine", 6*float64(m), 14.3, in)
	}
	for h := range 12 {
		deg := 30 * float64(h)
		if h%3 == 0 {
			p.spoke("hour", deg, 9.6, 12.8)
			continue
		}
		x, y := turned(deg, 11.6)
		p.circle("part lume", x, y, 0.75)
	}
	p.hand(304, 8, 0.75)
	p.hand(54, 12.4, 0.6)
	x1, y1 := turned(216, 12.8) // of the seconds
	x2, y2 := turned(36, 3.4)
	p.line("part fine", x1, y1, x2, y2)
	p.circle("spot", 0, 0, 0.55)
}

func (p pen) hand(deg, length, wide float64) {
	var xy [4][2]float64
	xy[0][0], xy[0][1] = turned(deg+180, 2)
	xy[1][0], xy[1][1] = turned(deg-90, wide)
	xy[2][0], xy[2][1] = turned(deg, length)
	xy[3][0], xy[3][1] = turned(deg+90, wide)
	p.polygon("part", xy[:]...)
}

// profile is the case from its side, the back to the left and the crystal to the right;
// box and papers below.
func (p pen) profile(has map[evidence.Slot]bool) {
	p.curved("part", [2]float64{4.2, -14.6}, [2]float64{5, -14}, [2]float64{6, -8}, [2]float64{6, 0}, [2]float64{6, 8},
		[2]float64{5, 14},
		[2]float64{4.2, 14.6}, [2]float64{4.2, 10}, [2]float64{4.2, -10}, [2]float64{4.2, -14.6}) // crystal
	// bezel
	p.polygon("part tint", [2]float64{2.2, -17.6}, [2]float64{4.4, -15.2}, [2]float64{4.4, 15.2}, [2]float64{2.2, 17.6})
	// case, its lugs bent towards the wrist
	p.curved("part",
		[2]float64{2.2, -19}, [2]float64{2, -21}, [2]float64{-1, -26}, [2]float64{-5, -27.5}, [2]float64{-6,
			-27.4}, [2]float64{-6, -26},
		[2]float64{-5.4, -25}, [2]float64{-3.6, -23}, [2]float64{-3, -21}, [2]float64{-3, -19}, [2]float64{-3,
			-6}, [2]float64{-3, 6},
		[2]float64{-3, 19}, [2]float64{-3, 21}, [2]float64{-3.6, 23}, [2]float64{-5.4, 25}, [2]float64{-6,
			26}, [2]float64{-6, 27.4},
		[2]float64{-5, 27.5}, [2]float64{-1, 26}, [2]float64{2, 21}, [2]float64{2.2, 19}, [2]float64{2.2,
			6}, [2]float64{2.2, -6}, [2]float64{2.2, -19})
	// case back
	p.polygon("part", [2]float64{-3, -16.5}, [2]float64{-5.2, -14.5}, [2]float64{-5.2, 14.5}, [2]float64{-3, 16.5})
	p.circle("part", -0.4, 0, 2.1) // crown, end on
	p.circle("part fine", -0.4, 0, 1.4)
	p.rect("hidden", -2.4, -13, 4, 26) // movement
	const box, papers = 75 - frontY, 86.5 - frontY
	if has[evidence.Box] {
		p.rect("part", -8, box+2, 10, 6)
		p.polygon("part", [2]float64{-8, box + 2}, [2]float64{-5.5, box}, [2]float64{4.5, box}, [2]float64{2, box + 2})
		p.polygon("part", [2]float64{2, box + 2}, [2]float64{4.5, box}, [2]float64{4.5, box + 6},
			[2]float64{2, box + 8})
	}
	if has[evidence.Papers] {
		p.rect("part", -5, papers, 8, 9)
		for k := range 4 {
			y := papers + 2 + 1.7*float64(k)
			p.line("part fine", -3.8, y, 1.8, y)
		}
	}
}

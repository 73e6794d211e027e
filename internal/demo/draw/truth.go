package draw

import "math"

// Truth says where the parts of a picture lie, in pixels from the top left corner
// of the picture (the middle of the first pixel is 0.5, 0.5), and what is true of
// the watch in mm. It holds for Front and Dial; Side and Droop have their own.
type Truth struct {
	MMPerPx      float64    // at the table, in the middle of the watch
	Table        Homography // mm on the table to pixels
	MidCasePlane Homography // mm at the height of the mid-case to pixels
	DialPlane    Homography // mm at the height of the dial to pixels
	Centre       [2]float64 // middle of the dial
	Twelve, Six  [2]float64 // edge of the dial at 12 and at 6
	MidCase      Ellipse
	Bezel        Ellipse
	Dial         Ellipse
	Plots        []PlotTruth         // those that are to be seen, by hour
	LugWidth     [2][2]Point         // upper and lower pair: inner faces, left and right, near the tips
	LugToLug     [2][2]Point         // right and left side: upper and lower tip
	Crown        [2]Point            // upper and lower edge of the crown, which is CrownMM across
	BandWidth    [2]Point            // edges of the band 6 mm outside the case, above
	BandWidthMM  float64             // its width there
	Target       *[4]Point           // outer corners of the printed square, clockwise from the upper left
	TargetMM     float64             // its side
	Grey         []Patch             // grey patches of the printed target
	Watch        Watch               // with every size filled in
	HandLume     *[3]float64         // true CIELAB of the hands' luminous mass
	Hands        map[string][2]Point // "hour", "minute": middle and tip
}

// Point is a place in pixels.
type Point [2]float64

// PlotTruth is one luminous plot: its middle, a radius inside which its colour is
// flat, and its true colour.
type PlotTruth struct {
	Hour     int // 12, 1, 2 … 11
	At       Point
	RadiusPx float64
	Lab      Lab
	Marker   bool
}

// TruthOf is the truth of Front. For Dial, use TruthOfDial.
func TruthOf(w Watch, s Shot) Truth {
	w, s = w.complete(), s.complete()
	return truthAt(w, s, w.frontScale(s))
}

// TruthOfDial is the truth of Dial.
func TruthOfDial(w Watch, s Shot) Truth {
	w, s = w.complete(), s.complete()
	return truthAt(w, s, w.dialScale(s))
}

func truthAt(w Watch, s Shot, mmPerPx float64) Truth {
	cam := newCamera(s, mmPerPx)
	mid, lugs, dial := cam.plane(w.zMidCase()), cam.plane(w.zLugs()), cam.plane(w.zDial())
	at := func(h Homography, p pt) Point { x, y := h.Apply(p.X, p.Y); return Point{x, y} }
	t := Truth{MMPerPx: mmPerPx, Table: cam.plane(0), MidCasePlane: mid, DialPlane: dial, Watch: w,
		Centre: at(dial, pt{}), Twelve: at(dial, pt{0, -w.DialMM / 2}), Six: at(dial, pt{0, w.DialMM / 2}),
		MidCase: ellipseOf(mid, pt{}, w.MidCaseMM/2), Bezel: ellipseOf(cam.plane(w.zBezel()), pt{}, w.BezelMM/2),
		Dial: ellipseOf(cam.plane(w.zBezel()), pt{}, w.DialMM/2)}
	x, y := w.LugWidthMM/2, w.LugToLugMM/2
	for i, f := range []float64{-1, 1} {
		t.LugWidth[i] = [2]Point{at(lugs, pt{-x, f * (y - 1.2)}), at(lugs, pt{x, f * (y - 1.2)})}
		tip := x + w.lug().outer[0].X - x
		t.LugToLug[i] = [2]Point{at(lugs, pt{-f * tip, -y}), at(lugs, pt{-f * tip, y})}
	}
	cx := w.MidCaseMM/2 + 0.12 + w.crownLength()/2
	t.Crown = [2]Point{at(mid, pt{cx, -w.CrownMM / 2}), at(mid, pt{cx, w.CrownMM / 2})}
	by := w.MidCaseMM/2 + 6
	t.BandWidthMM = 2 * w.bandHalf(by)
	t.BandWidth = [2]Point{at(lugs, pt{-w.bandHalf(by), -by}), at(lugs, pt{w.bandHalf(by), -by})}
	t.plots(w, dial)
	t.target(s, cam)
	hands := cam.plane(w.zHands())
	h := w.Hands
	t.Hands = map[string][2]Point{
		"hour":   {at(hands, pt{}), at(hands, polar(h.HourMM, 2*math.Pi*math.Mod(h.Hour, 12)/12))},
		"minute": {at(hands, pt{}), at(hands, polar(h.MinuteMM, 2*math.Pi*math.Mod(h.Hour, 1)))},
	}
	if h.Lume != nil {
		l := [3]float64(*h.Lume)
		t.HandLume = &l
	}
	return t
}

func (t *Truth) plots(w Watch, dial Homography) {
	l := w.layout()
	for i := range 12 {
		if !w.plotShown(l, i) {
			continue
		}
		c, r := w.plotCore(l, i)
		x, y := dial.Apply(c.X, c.Y)
		e := ellipseOf(dial, c, r)
		hour := i
		if i == 0 {
			hour = 12
		}
		t.Plots = append(t.Plots, PlotTruth{Hour: hour, At: Point{x, y}, RadiusPx: e.B, Lab: w.Plots[i].Lab,
			Marker: w.Plots[i].Marker})
	}
}

func (t *Truth) target(s Shot, cam camera) {
	if s.TargetMM <= 0 {
		return
	}
	h := s.TargetMM / 2
	var corners [4]Point
	for i, p := range []pt{{-h, -h}, {h, -h}, {h, h}, {-h, h}} {
		corners[i][0], corners[i][1] = t.Table.Apply(p.X, p.Y)
	}
	t.Target, t.TargetMM = &corners, s.TargetMM
	for i, v := range greyLevels {
		p, half := targetPatch(s.TargetMM, i)
		x, y := t.Table.Apply(p.X, p.Y)
		t.Grey = append(t.Grey, Patch{At: [2]float64{x, y}, RadiusPx: 0.75 * half * cam.focal / cam.dist,
			Lab: Lab{v, 0, 0}})
	}
}

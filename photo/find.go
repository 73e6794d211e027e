package photo

import (
	"image"
	"math"

	"midcase/say"
)

// Ask is what may be said before a picture is searched; all of it may be left out.
type Ask struct {
	SquareMM float64    // side of the printed square; 0 is as its ticks say, else usualSquareMM
	Sizes    KnownSizes // of the watch, where its reference is known
}

// KnownSizes are nominal sizes of a reference in mm; 0 where they are not known. They
// choose between things seen; nothing is proposed for them alone.
type KnownSizes struct{ MidCaseMM, LugWidthMM, LugToLugMM, CrownMM, DialMM float64 }

// leastCaseSure is how sure the edge of a case must be to be proposed: on drawn pictures ten of
// eleven that were wrong lie below, and six of thirty-six that were right.
const leastCaseSure = 0.74

// usualSquareMM is the side taken for a printed square without ticks when none is given.
const usualSquareMM = 50

// Found are proposals of what lies where in a picture. What was not found is left out.
type Found struct {
	Upright bool            `json:"upright"` // twelve is up, or nothing says otherwise
	Square  *FoundSquare    `json:"square,omitempty"`
	Dial    *FoundDial      `json:"dial,omitempty"`
	Twelve  *FoundPoint     `json:"twelve,omitempty"`
	Hands   []FoundHand     `json:"hands,omitempty"`
	Plots   []FoundPlot     `json:"plots,omitempty"`
	Circles []FoundCircle   `json:"circles,omitempty"`
	Lengths []FoundLength   `json:"lengths,omitempty"`
	View    *FoundView      `json:"view,omitempty"`
	Notes   []say.Statement `json:"notes"`
}

// FoundSquare is the printed square.
type FoundSquare struct {
	Corners []Point `json:"corners"` // clockwise from the top left
	MM      float64 `json:"mm"`      // side: as asked, by the ticks, or the usual one
	Ticks   bool    `json:"by_ticks,omitempty"`
	Sure    float64 `json:"sure"`
}

// FoundDial is the edge of the dial.
type FoundDial struct {
	Centre  Point   `json:"centre"`
	Through []Point `json:"through"`
	Sure    float64 `json:"sure"`
}

// FoundPoint is a place.
type FoundPoint struct {
	At   Point   `json:"at"`
	Sure float64 `json:"sure"`
}

// FoundPlot is a luminous plot.
type FoundPlot struct {
	Hour     int     `json:"hour"`
	At       Point   `json:"at"`
	RadiusPx float64 `json:"radius_px"`
	Sure     float64 `json:"sure"`
}

// FoundHand is a hand by its tip.
type FoundHand struct {
	Name string  `json:"name"` // hour, minute, seconds
	Tip  Point   `json:"tip"`
	Sure float64 `json:"sure"`
}

// FoundCircle is a round part.
type FoundCircle struct {
	Name    string  `json:"name"`
	Through []Point `json:"through"`
	Sure    float64 `json:"sure"`
}

// FoundLength is a straight length between two points.
type FoundLength struct {
	Name string  `json:"name"`
	A    Point   `json:"a"`
	B    Point   `json:"b"`
	Sure float64 `json:"sure"`
}

// FoundView is which side of a watch is seen.
type FoundView struct {
	Is   string  `json:"is"` // front or dial
	Sure float64 `json:"sure"`
}

// Find looks for the printed square, the dial and what belongs to a watch, without any
// picks. It proposes; a person confirms. A picture without any of it gives notes alone.
func Find(img image.Image, ask Ask) (Found, error) {
	l, err := newLight(img)
	if err != nil {
		return Found{}, err
	}
	f := Found{Upright: true, Notes: []say.Statement{}}
	note := func(s say.Statement) { f.Notes = append(f.Notes, s) }
	if l.w < 60 || l.h < 60 {
		note(say.That("found.too-small"))
		return f, nil
	}
	sq, haveSquare := l.findSquare()
	if haveSquare {
		f.Square = sq.proposal(ask)
		if !f.Square.Ticks && ask.SquareMM == 0 {
			note(say.That("found.usual-square", say.Fixed("side", f.Square.MM, say.MM, 0)))
		}
	} else {
		note(say.That("found.no-square"))
	}
	w, ok := l.findWatch(sq, haveSquare, ask)
	if !ok {
		note(say.That("found.no-dial"))
		return f, nil
	}
	l.tellWatch(&f, w, ask)
	return f, nil
}

func (s foundSquare) proposal(ask Ask) *FoundSquare {
	out := &FoundSquare{Corners: s.corners[:], MM: ask.SquareMM, Ticks: s.mm > 0, Sure: s.sure}
	if out.MM == 0 {
		out.MM = usualSquareMM
		if s.mm > 0 {
			out.MM = s.mm
		}
	}
	return out
}

// tellWatch fills what belongs to a watch that was found.
func (l light) tellWatch(f *Found, w watchSeen, ask Ask) {
	m := w.toPx
	through := func(e Ellipse, degs ...float64) []Point {
		var out []Point
		for _, d := range degs {
			if p := m.Apply(e.ray(d, 1)); l.inside(p, 0) {
				out = append(out, p)
			}
		}
		return out
	}
	rim := through(w.dial.rim, 0, 45, 90, 135, 180, 225, 270, 315)
	if len(rim) < 5 {
		f.Notes = append(f.Notes, say.That("found.no-dial"))
		return
	}
	d := &FoundDial{Sure: w.dial.sure}
	d.Centre, d.Through = l.sharpened(rim, freeCurve, w.cellPx())
	d.Through = l.insideOf(d.Through)
	f.Dial = d
	f.Upright = math.Abs(w.twelve) <= 45
	up := m.Apply(w.dial.rim.ray(w.twelve, 0.985))
	if l.inside(up, 0) && w.twelveSure >= 0.3 {
		f.Twelve = &FoundPoint{At: up, Sure: w.twelveSure}
	} else {
		f.Notes = append(f.Notes, say.That("found.no-twelve"))
	}
	f.Plots = l.proposePlots(f)
	if len(f.Plots) == 0 {
		f.Notes = append(f.Notes, say.That("found.no-plots"))
	}
	if w.hasCase && w.caseSure < leastCaseSure {
		f.Notes = append(f.Notes, say.That("found.case-unsure"))
	} else if w.hasCase {
		fit := curve(freeCurve)
		if w.plane != nil {
			fit = planeCurve(*w.plane)
		}
		free := w.turned(249, 256, 264, 276, 284, 291, 71, 109, 77, 103)
		_, arcs := l.sharpened(through(w.midCase, free...), fit, max(1, 0.3*w.cellPx()))
		f.Circles = append(f.Circles, FoundCircle{Name: "mid-case", Sure: w.caseSure, Through: arcs})
	}
	if f.Square != nil && len(f.Circles) > 0 && f.Twelve != nil {
		f.Lengths = l.findLengths(w, f.Square.MM)
	}
	if f.Twelve != nil {
		f.Hands = w.findHands(w.unroll(w.dial.rim, 1).coloured())
	}
	if w.caseHidden {
		f.Notes = append(f.Notes, say.That("found.case-hidden"))
	}
	f.View = w.view(f)
}

// sharpened moves points on a round edge that was found coarsely to where the full picture
// has it; miss is how far it may be off, px. Points that have no edge stay.
func (l light) sharpened(through []Point, fit curve, miss float64) (centre Point, out []Point) {
	e, err := fit(through, nil)
	if err != nil {
		return through[0], through
	}
	now := e
	for _, m := range [3]float64{miss, max(1, miss/3), 1} {
		r, ok := l.rimPass(now, through, fit, m, 0.2)
		if !ok || r.share < 0.05 {
			break
		}
		now = r.ellipse
	}
	back := now.unitCircle().Inverse()
	for _, p := range through {
		if q := back.Apply(p); q.length() > 0 {
			out = append(out, now.unitCircle().Apply(q.times(1/q.length())))
		}
	}
	return Point{now.X, now.Y}, out
}

func (l light) insideOf(ps []Point) []Point {
	var out []Point
	for _, p := range ps {
		if l.inside(p, 0) {
			out = append(out, p)
		}
	}
	return out
}

// proposePlots finds the plots of a dial that was found.
func (l light) proposePlots(f *Found) []FoundPlot {
	if f.Twelve == nil {
		return nil
	}
	frame, err := l.newDialFrame(f.dialPicks(), "")
	if err != nil {
		return nil
	}
	plots, err := l.placePlots(frame, nil)
	if err != nil {
		return nil
	}
	var out []FoundPlot
	for _, p := range plots {
		out = append(out, FoundPlot{p.Hour, p.At, p.RadiusPx, min(f.Dial.Sure, f.Twelve.Sure)})
	}
	return out
}

func (f Found) dialPicks() DialPicks {
	var p DialPicks
	if f.Dial != nil {
		p.Dial = &DialPick{Through: f.Dial.Through}
	}
	if f.Twelve != nil {
		at := f.Twelve.At
		p.Twelve = &at
	}
	return p
}

func (w watchSeen) view(f *Found) *FoundView {
	switch {
	case w.hasCase:
		return &FoundView{Is: "front", Sure: min(w.caseSure, f.Dial.Sure)}
	case f.Square == nil && w.fills > 0.6:
		return &FoundView{Is: "dial", Sure: f.Dial.Sure}
	}
	return nil
}

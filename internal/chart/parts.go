package chart

import (
	"fmt"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// The drawing of the watch is made in millimetres of its own and enlarged.
const (
	enlarged = 4.0
	watchH   = 96.0
	frontY   = 45.0
)

// layout is where the watch from the front and from the side stand, and the three
// columns of numbers about them.
type layout struct {
	width, front, side float64
	columns            [3]float64
	radius, apart      float64 // of the numbers, and of their middles
	named              bool
}

var (
	numbered = layout{width: 92, front: 33, side: 71, columns: [3]float64{5, 59, 86.5}, radius: 3.6, apart: 9}
	named    = layout{width: 128, front: 47, side: 96, columns: [3]float64{3, 73.5, 108.5}, radius: 2.2, apart: 9,
		named: true}
)

// place is where a slot is on the drawing, from the middle of the front or the side, and
// in which column its number stands.
type place struct {
	x, y   float64
	side   bool
	column int
}

var places = map[evidence.Slot]place{
	evidence.Bracelet:  {-6, 8.5 - frontY, false, 0},
	evidence.Hands:     {-5.4, -3.4, false, 0},
	evidence.Dial:      {-7.5, 5, false, 0},
	evidence.Case:      {-18.2, 16.5, false, 0},
	evidence.EndPieces: {6, -21.4, false, 1},
	evidence.Bezel:     {11.6, -11.6, false, 1},
	evidence.Pushers:   {19.6, -9.6, false, 1},
	evidence.Crown:     {22.5, 0, false, 1},
	evidence.Clasp:     {7, 91.5 - frontY, false, 1},
	evidence.Crystal:   {5.6, -6, true, 2},
	evidence.Movement:  {-0.4, 5, true, 2},
	evidence.CaseBack:  {-4.4, 13, true, 2},
	evidence.Box:       {1, 80 - frontY, true, 2},
	evidence.Papers:    {3, 91 - frontY, true, 2},
}

// Parts draws a watch from the front and from the side and numbers the parts in their
// order; each number leads to #part-SLOT. It is our own drawing of no watch in
// particular. On paper each number has its part and verdict beside it.
func Parts(parts []opinion.Part, f Format, w say.Writer) Drawing {
	l := numbered
	if f.Name == Paper.Name {
		l = named
	}
	d := f.drawing(w.String(say.That("chart.parts")))
	d.Format.Name = strings.TrimSpace(f.Name + " drawing")
	d.Width, d.Height = enlarged*l.width, enlarged*watchH
	has := map[evidence.Slot]bool{}
	for _, p := range parts {
		has[p.Slot] = true
	}
	pen{d, l.front, frontY}.front(has)
	pen{d, l.side, frontY}.profile(has)
	for column := range l.columns {
		d.calls(parts, l, column, w)
	}
	return *d
}

// call is one numbered part.
type call struct {
	part   opinion.Part
	number int
	at     Point   // on the drawing
	y      float64 // of the number
}

// calls draws the numbers of one column, none nearer to the next than they are wide.
func (d *Drawing) calls(parts []opinion.Part, l layout, column int, w say.Writer) {
	var calls []call
	for i, p := range parts {
		at, ok := places[p.Slot]
		if !ok || at.column != column ||
			slices.ContainsFunc(calls, func(c call) bool { return c.part.Slot == p.Slot }) {
			continue
		}
		x := l.front
		if at.side {
			x = l.side
		}
		calls = append(calls, call{p, i + 1, Point{x + at.x, frontY + at.y}, frontY + at.y})
	}
	slices.SortStableFunc(calls, func(a, b call) int { return int(1000 * (a.y - b.y)) })
	for i := range calls {
		if i > 0 {
			calls[i].y = max(calls[i].y, calls[i-1].y+l.apart)
		}
	}
	limit := watchH - 4
	for i := len(calls) - 1; i >= 0; i-- {
		calls[i].y = max(l.radius, min(calls[i].y, limit))
		limit = calls[i].y - l.apart
	}
	for _, c := range calls {
		d.call(c, l, column, w)
	}
}

func (d *Drawing) call(c call, l layout, column int, w say.Writer) {
	x := l.columns[column]
	to := x - l.radius
	if column == 0 {
		to = x + l.radius
		if l.named {
			to = x + 16 // past the name
		}
	}
	middle := Point{enlarged * x, enlarged * c.y}
	verdict := strings.ReplaceAll(c.part.Verdict, " ", "-")
	label := w.String(say.That("chart.part", say.Count("number", c.number),
		say.Term("part", "slot", string(c.part.Slot), c.part.Slot.Name()), say.Name("verdict", c.part.Verdict)))
	d.add(Line{"lead", Point{enlarged * c.at.X, enlarged * c.at.Y}, Point{enlarged * to, middle.Y}},
		Circle{Style: "spot", At: Point{enlarged * c.at.X, enlarged * c.at.Y}, R: 1.6})
	d.add(Link{"call " + verdict, "part-" + string(c.part.Slot), label,
		Number(middle, enlarged*l.radius, c.number, c.part.Verdict)})
	if l.named {
		d.text("name", middle.X+13, middle.Y-1, Start, c.part.Slot.Name())
		d.text("small", middle.X+13, middle.Y+9.5, Start, c.part.Verdict)
	}
}

// Number is the number of a part in a form that says the verdict before its colour does:
// a circle, a diamond for a replaced part, a square for one that does not fit.
func Number(middle Point, r float64, number int, verdict string) []Mark {
	style := strings.ReplaceAll(verdict, " ", "-")
	var shape Mark = Circle{Style: style, At: middle, R: r}
	switch verdict {
	case opinion.ProbablyReplaced, opinion.Redone:
		d := 1.25 * r
		shape = Outline{style, []Shape{{Points: []Point{{middle.X, middle.Y - d}, {middle.X + d, middle.Y},
			{middle.X, middle.Y + d}, {middle.X - d, middle.Y}}, Closed: true}}}
	case opinion.DoesNotBelong:
		shape = Rect{style, Point{middle.X - 0.9*r, middle.Y - 0.9*r}, 1.8 * r, 1.8 * r}
	}
	return []Mark{shape, Text{Style: "number " + style, At: Point{middle.X, middle.Y + 0.34*r}, Anchor: Middle,
		Text: fmt.Sprint(number)}}
}

package chart

import "math"

// Drawing is a chart in units of its own, y downwards. On a page a unit is a pixel.
type Drawing struct {
	Format        Format
	Label         string // what it shows, for those who cannot see it
	Width, Height float64
	Marks         []Mark
	Rows          []Row
}

// Row is a row of a chart: the place in the data that it draws and the height of its
// middle. A paper sets notes beside it.
type Row struct {
	Of int
	Y  float64
}

// Mark is one of Line, Rect, Circle, Outline, Dots, Text and Link.
type Mark interface{ places() []float64 }

// Point is a place in a drawing.
type Point struct{ X, Y float64 }

// Line is a straight line.
type Line struct {
	Style    string
	From, To Point
}

// Rect is a rectangle by its upper left corner.
type Rect struct {
	Style      string
	At         Point
	Wide, High float64
}

// Circle is a circle; Title says what it stands for.
type Circle struct {
	Style string
	At    Point
	R     float64
	Title string
}

// Outline is one or more shapes drawn as one.
type Outline struct {
	Style  string
	Shapes []Shape
}

// Shape is a line through points. A curved one is cubic Bézier curves: a point to begin
// with, then two controls and an end for each curve.
type Shape struct {
	Points         []Point
	Curved, Closed bool
}

// Form is the form of a dot.
type Form int

// The forms.
const (
	Round Form = iota
	Square
	Cross
)

// Dots are dots of one form and size.
type Dots struct {
	Style string
	Form  Form
	R     float64
	At    []Point
}

// Anchor is the point of a text that stands at its place.
type Anchor string

// The anchors, named as in SVG.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Text is a short text on its baseline.
type Text struct {
	Style  string
	At     Point
	Anchor Anchor
	Text   string
}

// Link leads from marks to an address within the page.
type Link struct {
	Style, To, Label string
	Marks            []Mark
}

func (m Line) places() []float64   { return []float64{m.From.X, m.From.Y, m.To.X, m.To.Y} }
func (m Rect) places() []float64   { return []float64{m.At.X, m.At.Y, m.Wide, m.High} }
func (m Circle) places() []float64 { return []float64{m.At.X, m.At.Y, m.R} }
func (m Text) places() []float64   { return []float64{m.At.X, m.At.Y} }
func (m Dots) places() []float64   { return coordinates(nil, m.At) }

func (m Outline) places() []float64 {
	var out []float64
	for _, s := range m.Shapes {
		out = coordinates(out, s.Points)
	}
	return out
}

func (m Link) places() []float64 {
	var out []float64
	for _, one := range m.Marks {
		out = append(out, one.places()...)
	}
	return out
}

func coordinates(out []float64, points []Point) []float64 {
	for _, p := range points {
		out = append(out, p.X, p.Y)
	}
	return out
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// add puts marks into the drawing; one with a place that is no number is left out.
func (d *Drawing) add(marks ...Mark) {
	for _, m := range marks {
		whole := true
		for _, v := range m.places() {
			whole = whole && finite(v)
		}
		if whole {
			d.Marks = append(d.Marks, m)
		}
	}
}

func (d *Drawing) line(style string, x1, y1, x2, y2 float64) {
	d.add(Line{style, Point{x1, y1}, Point{x2, y2}})
}

func (d *Drawing) text(style string, x, y float64, a Anchor, text string) {
	if text != "" {
		d.add(Text{Style: style, At: Point{x, y}, Anchor: a, Text: text})
	}
}

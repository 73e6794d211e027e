package document

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"midcase/internal/chart"
)

// figure is a chart with a note below it and, beside each row, what it rests on.
type figure struct {
	drawing chart.Drawing
	note    string
	cites   func(row int) string
}

// noteRoom is what a note under a chart takes.
const noteRoom = 12.0

// height is the room that the picture needs, in mm.
func (p figure) height() float64 { return p.scale()*p.drawing.Height + noteRoom }

func (p figure) scale() float64 { return bodyW / p.drawing.Width }

func (s *sheet) figure(p figure) {
	if len(p.drawing.Marks) == 0 {
		return
	}
	s.room(p.height())
	k := p.scale()
	s.marks(p.drawing.Marks, leftX, s.y, k)
	for _, r := range p.drawing.Rows {
		if p.cites != nil {
			s.note(s.y+k*r.Y+0.9, p.cites(r.Of))
		}
	}
	s.y += k*p.drawing.Height + 2
	if p.note != "" {
		s.text(faceSmall, 1.4, bodyW, p.note, "")
	}
	s.y += 2
}

// pen is how marks of one style are drawn. A nil fill leaves a shape hollow; a line of
// no width is not drawn.
type pen struct {
	line  colour
	width float64
	fill  *colour
	dash  []float64
}

var dashed = []float64{0.8, 0.6}

// pens are the styles of package chart on paper.
var pens = map[string]pen{
	"band": {fill: &steelPale}, "band b90": {fill: &steelPale}, "band b80": {fill: &steelLight},
	"band b50": {fill: &steelSoft},
	"axis":     {line: ink, width: 0.2}, "hair": {line: hair, width: 0.12},
	"median": {line: ink, width: 0.2, dash: dashed},
	"middle": {line: steel, width: 0.4}, "mean": {line: steel, width: 0.3, dash: dashed}, "mark": {line: cream,
		width: 0.4},
	"curve": {line: steel, width: 0.25, fill: &steelMid}, "pull": {line: soft, width: 0.2, fill: &cream},
	"pull against": {line: ink, width: 0.25, dash: dashed},
	"sold":         {line: soft, width: 0.15}, "dot": {line: ink, width: 0.25, fill: &cream}, "dot asked": {line: ink,
		width: 0.25, fill: &paper},
	"reach": {line: soft, width: 0.4}, "read": {line: steel, width: 0.3, fill: &steel}, "read later": {line: steel,
		width: 0.3, fill: &paper},
	"beat out": {line: soft, width: 0.15}, "beat even": {fill: &steel}, "beat odd": {line: ink, width: 0.2,
		fill: &paper},
	"crown": {fill: &ink}, "small-watch": {line: ink, width: 0.2, fill: &paper},
	"part": {line: ink, width: 0.2, fill: &paper}, "part fine": {line: ink, width: 0.1}, "part tint": {line: ink,
		width: 0.2, fill: &creamPale},
	"part lume": {line: ink, width: 0.12, fill: &cream}, "hour": {line: ink, width: 0.6}, "hidden": {line: ink,
		width: 0.15, dash: dashed},
	"lead": {line: soft, width: 0.15}, "spot": {fill: &ink},
	"fits": {line: steel, width: 0.25, fill: &steel}, "probably-replaced": {line: ink, width: 0.25, fill: &cream},
	"probably-original": {line: steel, width: 0.25, fill: &paper}, "surface-redone": {line: ink, width: 0.25,
		fill: &cream},
	"not-examined":    {line: soft, width: 0.25, fill: &paper, dash: dashed},
	"not-judged":      {line: soft, width: 0.25, fill: &paper, dash: dashed},
	"does-not-belong": {line: ink, width: 0.25, fill: &ink}, "cannot-tell": {line: ink, width: 0.25, fill: &paper},
	"missing": {line: ink, width: 0.25, fill: &paper, dash: dashed},
}

// chartFaces are the styles of texts on charts.
var chartFaces = map[string]face{
	"": faceSub, "strong": faceSub.as(sansBold).in(ink), "name": faceSub.in(ink), "small": {sans, 6, soft},
	"number fits": {sansBold, 6.2, paper}, "number does-not-belong": {sansBold, 6.2, paper},
	"number probably-replaced": {sansBold, 6.2, ink}, "number probably-original": {sansBold, 6.2, ink},
	"number surface-redone": {sansBold, 6.2, ink}, "number not-examined": {sansBold, 6.2, ink},
	"number not-judged": {sansBold, 6.2, ink}, "number cannot-tell": {sansBold, 6.2,
		ink}, "number missing": {sansBold, 6.2, ink},
}

// style takes a pen and gives the letters by which the PDF library knows what to draw.
func (s *sheet) style(name string) string {
	p := pens[name]
	how := ""
	if p.fill != nil {
		s.fill(*p.fill)
		how = "F"
	}
	if p.width > 0 {
		s.stroke(p.line, p.width)
		how += "D"
	}
	s.pdf.SetDashPattern(p.dash, 0)
	return how
}

// marks draws the marks of a chart, k mm a unit, its upper left corner at x, y.
func (s *sheet) marks(marks []chart.Mark, x, y, k float64) {
	at := func(p chart.Point) (float64, float64) { return x + k*p.X, y + k*p.Y }
	for _, m := range marks {
		switch m := m.(type) {
		case chart.Line:
			s.style(m.Style)
			x1, y1 := at(m.From)
			x2, y2 := at(m.To)
			s.pdf.Line(x1, y1, x2, y2)
		case chart.Rect:
			x, y := at(m.At)
			s.pdf.Rect(x, y, k*m.Wide, k*m.High, s.style(m.Style))
		case chart.Circle:
			x, y := at(m.At)
			s.pdf.Circle(x, y, k*m.R, s.style(m.Style))
		case chart.Outline:
			how := s.style(m.Style)
			for _, shape := range m.Shapes {
				s.shape(shape, at, how)
			}
		case chart.Dots:
			s.dots(m, at, k)
		case chart.Text:
			s.chartText(m, at)
		case chart.Link:
			s.marks(m.Marks, x, y, k)
		}
	}
	s.pdf.SetDashPattern(nil, 0)
}

func (s *sheet) shape(shape chart.Shape, at func(chart.Point) (float64, float64), how string) {
	points := make([]fpdf.PointType, len(shape.Points))
	for i, p := range shape.Points {
		points[i].X, points[i].Y = at(p)
	}
	if shape.Curved {
		s.pdf.Beziergon(points, how)
		return
	}
	s.pdf.Polygon(points, how)
}

func (s *sheet) dots(m chart.Dots, at func(chart.Point) (float64, float64), k float64) {
	how, r := s.style(m.Style), k*m.R
	for _, p := range m.At {
		x, y := at(p)
		switch m.Form {
		case chart.Cross:
			s.pdf.Line(x-r, y-r, x+r, y+r)
			s.pdf.Line(x-r, y+r, x+r, y-r)
		case chart.Square:
			s.pdf.Rect(x-r, y-r, 2*r, 2*r, how)
		default:
			s.pdf.Circle(x, y, r, how)
		}
	}
}

// chartText sets a text, which may be as wide as it comes.
func (s *sheet) chartText(m chart.Text, at func(chart.Point) (float64, float64)) {
	const wide = 2 * pageW
	f := chartFaces[m.Style]
	x, y := at(m.At)
	if strings.HasPrefix(m.Style, "number") {
		y = y + 0.1 // the figures of the font stand a little high
	}
	switch m.Anchor {
	case chart.Middle:
		s.label(x-wide/2, y, wide, f, m.Text, centre)
	case chart.End:
		s.label(x-wide, y, wide, f, m.Text, right)
	default:
		s.label(x, y, wide, f, m.Text, left)
	}
}

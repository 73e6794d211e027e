package document

import (
	"fmt"
	"math"
	"sort"

	"codeberg.org/go-pdf/fpdf"

	"midcase/evidence"
	"midcase/opinion"
)

// The drawing, in mm from its top left.
const (
	drawH    = 96.0
	frontCX  = 47.0
	frontCY  = 45.0
	caseR    = 19.0
	bezelR   = 17.6
	crystalR = 15.2
	dialR    = 14.6
	sideCX   = 96.0
)

// callout columns: x of the numbers, and on which side of the line they stand.
const (
	leftCol  = 3.0
	midCol   = 73.5
	rightCol = 108.5
)

// place is where a slot is on the drawing and in which column its number stands.
type place struct {
	x, y, column float64
}

var places = map[evidence.Slot]place{
	evidence.Bracelet:  {frontCX - 6, 8.5, leftCol},
	evidence.Hands:     {frontCX - 5.4, frontCY - 3.4, leftCol},
	evidence.Dial:      {frontCX - 7.5, frontCY + 5, leftCol},
	evidence.Case:      {frontCX - 18.2, frontCY + 16.5, leftCol},
	evidence.EndPieces: {frontCX + 6, frontCY - 21.4, midCol},
	evidence.Bezel:     {frontCX + 11.6, frontCY - 11.6, midCol},
	evidence.Pushers:   {frontCX + 19.6, frontCY - 9.6, midCol},
	evidence.Crown:     {frontCX + 22.5, frontCY, midCol},
	evidence.Clasp:     {frontCX + 7, 91.5, midCol},
	evidence.Crystal:   {sideCX + 5.6, frontCY - 6, rightCol},
	evidence.Movement:  {sideCX - 0.4, frontCY + 5, rightCol},
	evidence.CaseBack:  {sideCX - 4.4, frontCY + 13, rightCol},
	evidence.Box:       {sideCX + 1, 80, rightCol},
	evidence.Papers:    {sideCX + 3, 91, rightCol},
}

// partsPicture draws a watch from the front and from the side and numbers the
// parts as in the table. It is our own drawing of no watch in particular.
func (s *sheet) partsPicture(p partsPicture) {
	s.room(drawH + 4)
	has := map[evidence.Slot]bool{}
	for _, part := range p.parts {
		has[part.Slot] = true
	}
	s.pdf.SetLineJoinStyle("round")
	y := s.y
	s.drawBracelet(leftX, y, has)
	s.drawFront(leftX, y, has)
	s.drawSide(leftX, y)
	s.drawPapers(leftX, y, has)
	for _, col := range []float64{leftCol, midCol, rightCol} {
		s.callouts(leftX, y, col, p.parts)
	}
	s.y = y + drawH + 4
}

func (s *sheet) callouts(x0, y0, col float64, parts []opinion.Part) {
	type call struct {
		part   opinion.Part
		number int
		at     place
		y      float64
	}
	var calls []call
	seen := map[evidence.Slot]bool{}
	for i, p := range parts {
		if at, ok := places[p.Slot]; ok && at.column == col && !seen[p.Slot] {
			seen[p.Slot] = true
			calls = append(calls, call{p, i + 1, at, at.y})
		}
	}
	sort.SliceStable(calls, func(i, j int) bool { return calls[i].at.y < calls[j].at.y })
	const apart = 9.0
	for i := range calls {
		if i > 0 {
			calls[i].y = math.Max(calls[i].y, calls[i-1].y+apart)
		}
	}
	for i := len(calls) - 1; i >= 0; i-- {
		limit := drawH - 4
		if i < len(calls)-1 {
			limit = calls[i+1].y - apart
		}
		calls[i].y = math.Min(calls[i].y, limit)
	}
	for _, c := range calls {
		ax, ay := x0+c.at.x, y0+c.at.y
		cx, cy := x0+col, y0+c.y
		s.stroke(soft, 0.15)
		from := cx - 2.4
		if col < frontCX-20 {
			from = cx + 16
		}
		s.pdf.Line(ax, ay, from, cy)
		s.fill(ink)
		s.pdf.Circle(ax, ay, 0.45, "F")
		s.callout(cx, cy, 2.2, c.number, c.part.Verdict)
		w := 16.5
		if col == rightCol {
			w = 20
		}
		tx := cx + 3.2
		if col == leftCol {
			tx, w = cx+3.2, 13.5
		}
		s.label(tx, cy-0.1, w+4, faceSub.in(ink), c.part.Slot.Name(), left)
		s.label(tx, cy+2.6, w+6, face{sans, 6, soft}, c.part.Verdict, left)
	}
}

// callout draws the number of a part; its form says the verdict before its
// colour does: full circle, diamond, square, open circle, dashed
// circle.
func (s *sheet) callout(x, y, r float64, number int, verdict string) {
	s.stroke(ink, 0.25)
	f := face{sansBold, 6.2, ink}
	switch verdict {
	case opinion.Fits:
		s.stroke(steel, 0.25)
		s.fill(steel)
		s.pdf.Circle(x, y, r, "FD")
		f = f.in(paper)
	case opinion.ProbablyLater:
		s.fill(cream)
		d := r * 1.25
		s.pdf.Polygon([]fpdf.PointType{{X: x, Y: y - d}, {X: x + d, Y: y}, {X: x, Y: y + d}, {X: x - d, Y: y}}, "FD")
	case opinion.DoesNotFit:
		s.fill(ink)
		s.pdf.Rect(x-r*0.9, y-r*0.9, 2*r*0.9, 2*r*0.9, "FD")
		f = f.in(paper)
	case opinion.Missing:
		s.fill(paper)
		s.pdf.SetDashPattern([]float64{0.7, 0.5}, 0)
		s.pdf.Circle(x, y, r, "FD")
		s.pdf.SetDashPattern(nil, 0)
	default:
		s.fill(paper)
		s.pdf.Circle(x, y, r, "FD")
	}
	s.label(x-4, y+0.8, 8, f, fmt.Sprint(number), centre)
}

func (s *sheet) drawBracelet(x0, y0 float64, has map[evidence.Slot]bool) {
	cx, cy := x0+frontCX, y0+frontCY
	s.stroke(ink, 0.2)
	for _, dir := range []float64{-1, 1} {
		w := 9.6
		y := cy + dir*24.5
		for k := 0; k < 4; k++ {
			h := 4.6
			top := y
			if dir < 0 {
				top = y - h
			}
			s.fill(paper)
			s.pdf.RoundedRect(cx-w, top, 2*w, h, 0.8, "1234", "FD")
			s.pdf.Line(cx-w*0.45, top, cx-w*0.45, top+h)
			s.pdf.Line(cx+w*0.45, top, cx+w*0.45, top+h)
			y += dir * h
			w -= 0.22
		}
	}
	// end pieces
	s.fill(creamPale)
	for _, dir := range []float64{-1, 1} {
		s.pdf.Polygon([]fpdf.PointType{{X: cx - 9.6, Y: cy + dir*18}, {X: cx + 9.6, Y: cy + dir*18}, {X: cx + 9.6, Y: cy + dir*24.5}, {X: cx - 9.6, Y: cy + dir*24.5}}, "FD")
	}
	// clasp
	s.fill(paper)
	s.pdf.RoundedRect(cx-9.2, y0+88.6, 18.4, 7, 1, "1234", "FD")
	s.pdf.Line(cx-9.2, y0+90.6, cx+9.2, y0+90.6)
	s.pdf.Line(cx-3, y0+93.2, cx+3, y0+93.2)
}

func (s *sheet) drawFront(x0, y0 float64, has map[evidence.Slot]bool) {
	cx, cy := x0+frontCX, y0+frontCY
	s.stroke(ink, 0.3)
	s.fill(paper)
	s.pdf.RoundedRect(cx+caseR-0.6, cy-2.6, 4.4, 5.2, 0.8, "23", "FD") // crown
	for k := -2.0; k <= 2; k++ {
		s.stroke(ink, 0.12)
		s.pdf.Line(cx+caseR+1, cy+k*0.8, cx+caseR+3.6, cy+k*0.8)
	}
	s.stroke(ink, 0.3)
	if has[evidence.Pushers] {
		for _, dir := range []float64{-1, 1} {
			y := cy + dir*9.6
			s.pdf.Rect(cx+15.5, y-1.1, 4.2, 2.2, "FD")
			s.pdf.RoundedRect(cx+18.6, y-1.7, 2.4, 3.4, 0.5, "1234", "FD")
		}
	}
	for _, dx := range []float64{-1, 1} {
		for _, dy := range []float64{-1, 1} {
			s.pdf.Beziergon([]fpdf.PointType{
				{X: cx + dx*19, Y: cy}, {X: cx + dx*19.6, Y: cy + dy*10}, {X: cx + dx*17.5, Y: cy + dy*20}, {X: cx + dx*14, Y: cy + dy*26},
				{X: cx + dx*12.5, Y: cy + dy*26.8}, {X: cx + dx*10.8, Y: cy + dy*26.4}, {X: cx + dx*10, Y: cy + dy*25},
				{X: cx + dx*9.7, Y: cy + dy*22}, {X: cx + dx*9.6, Y: cy + dy*19}, {X: cx + dx*9.6, Y: cy + dy*15},
				{X: cx + dx*9.6, Y: cy + dy*10}, {X: cx + dx*9.6, Y: cy + dy*5}, {X: cx + dx*9.6, Y: cy},
			}, "FD")
		}
	}
	s.pdf.Circle(cx, cy, caseR, "FD")
	s.fill(creamPale)
	s.pdf.Circle(cx, cy, bezelR, "FD")
	s.stroke(ink, 0.2)
	s.fill(paper)
	s.pdf.Circle(cx, cy, crystalR, "FD")
	s.stroke(ink, 0.12)
	s.pdf.Circle(cx, cy, dialR, "D")
	s.drawDial(cx, cy)
}

func (s *sheet) drawDial(cx, cy float64) {
	turn := func(deg, r float64) (float64, float64) {
		a := (deg - 90) * math.Pi / 180
		return cx + r*math.Cos(a), cy + r*math.Sin(a)
	}
	for m := 0; m < 60; m++ {
		s.stroke(ink, 0.1)
		in := 13.9
		if m%5 == 0 {
			in = 13.4
		}
		x1, y1 := turn(float64(m)*6, 14.3)
		x2, y2 := turn(float64(m)*6, in)
		s.pdf.Line(x1, y1, x2, y2)
	}
	s.stroke(ink, 0.15)
	for h := 0; h < 12; h++ {
		s.fill(cream)
		x, y := turn(float64(h)*30, 11.6)
		if h%3 == 0 {
			x2, y2 := turn(float64(h)*30, 9.6)
			x1, y1 := turn(float64(h)*30, 12.8)
			s.stroke(ink, 0.9)
			s.pdf.Line(x1, y1, x2, y2)
			s.stroke(cream, 0.6)
			s.pdf.Line(x1, y1, x2, y2)
			s.stroke(ink, 0.15)
			continue
		}
		s.pdf.Circle(x, y, 0.75, "FD")
	}
	hand := func(deg, length, wide float64) {
		tx, ty := turn(deg, length)
		ax, ay := turn(deg-90, wide)
		bx, by := turn(deg+90, wide)
		ex, ey := turn(deg+180, 2)
		s.pdf.Polygon([]fpdf.PointType{{X: ex, Y: ey}, {X: ax, Y: ay}, {X: tx, Y: ty}, {X: bx, Y: by}}, "FD")
	}
	s.stroke(ink, 0.2)
	s.fill(paper)
	hand(304, 8, 0.75)
	hand(54, 12.4, 0.6)
	s.stroke(ink, 0.15)
	x1, y1 := turn(216, 12.8)
	x2, y2 := turn(36, 3.4)
	s.pdf.Line(x1, y1, x2, y2)
	s.fill(ink)
	s.pdf.Circle(cx, cy, 0.55, "F")
}

// drawSide is the case from its side: back to the left, crystal to the right.
func (s *sheet) drawSide(x0, y0 float64) {
	cx, cy := x0+sideCX, y0+frontCY
	pt := func(x, y float64) fpdf.PointType { return fpdf.PointType{X: cx + x, Y: cy + y} }
	s.stroke(ink, 0.25)
	s.fill(paper)
	// crystal
	s.pdf.Beziergon([]fpdf.PointType{pt(4.2, -14.6), pt(5, -14), pt(6, -8), pt(6, 0), pt(6, 8), pt(5, 14), pt(4.2, 14.6), pt(4.2, 10), pt(4.2, -10), pt(4.2, -14.6)}, "FD")
	s.fill(creamPale)
	s.pdf.Polygon([]fpdf.PointType{pt(2.2, -17.6), pt(4.4, -15.2), pt(4.4, 15.2), pt(2.2, 17.6)}, "FD") // bezel
	s.fill(paper)
	// mid-case with the lugs bent towards the wrist
	s.pdf.Beziergon([]fpdf.PointType{
		pt(2.2, -19), pt(2, -21), pt(-1, -26), pt(-5, -27.5), pt(-6, -27.4), pt(-6, -26), pt(-5.4, -25), pt(-3.6, -23), pt(-3, -21), pt(-3, -19),
		pt(-3, -6), pt(-3, 6), pt(-3, 19), pt(-3, 21), pt(-3.6, 23), pt(-5.4, 25), pt(-6, 26), pt(-6, 27.4), pt(-5, 27.5), pt(-1, 26), pt(2, 21), pt(2.2, 19),
		pt(2.2, 6), pt(2.2, -6), pt(2.2, -19),
	}, "FD")
	s.pdf.Polygon([]fpdf.PointType{pt(-3, -16.5), pt(-5.2, -14.5), pt(-5.2, 14.5), pt(-3, 16.5)}, "FD") // case back
	s.pdf.Circle(cx-0.4, cy, 2.1, "FD")                                                                 // crown, end on
	s.pdf.Circle(cx-0.4, cy, 1.4, "D")
	s.stroke(ink, 0.15)
	s.pdf.SetDashPattern([]float64{0.7, 0.6}, 0)
	s.pdf.Rect(cx-2.4, cy-13, 4, 26, "D") // movement
	s.pdf.SetDashPattern(nil, 0)
}

func (s *sheet) drawPapers(x0, y0 float64, has map[evidence.Slot]bool) {
	s.stroke(ink, 0.2)
	s.fill(paper)
	x := x0 + sideCX
	if has[evidence.Box] {
		s.pdf.Rect(x-8, y0+77, 10, 6, "FD")
		s.pdf.Polygon([]fpdf.PointType{{X: x - 8, Y: y0 + 77}, {X: x - 5.5, Y: y0 + 75}, {X: x + 4.5, Y: y0 + 75}, {X: x + 2, Y: y0 + 77}}, "FD")
		s.pdf.Polygon([]fpdf.PointType{{X: x + 2, Y: y0 + 77}, {X: x + 4.5, Y: y0 + 75}, {X: x + 4.5, Y: y0 + 81}, {X: x + 2, Y: y0 + 83}}, "FD")
	}
	if has[evidence.Papers] {
		s.pdf.Rect(x-5, y0+86.5, 8, 9, "FD")
		s.stroke(ink, 0.12)
		for k := 0; k < 4; k++ {
			s.pdf.Line(x-3.8, y0+88.5+float64(k)*1.7, x+1.8, y0+88.5+float64(k)*1.7)
		}
	}
}

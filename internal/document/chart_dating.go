package document

import (
	"fmt"
	"math"

	"codeberg.org/go-pdf/fpdf"

	"midcase/edtf"
	"midcase/opinion"
)

const (
	curveLabelW = 42.0
	curveJointH = 30.0
	curveRowH   = 9.0
	curveRows   = 18       // rows that one page holds; the table has them all
	curveSpan   = 12 * 120 // the longest axis, in months
)

// axis maps figures to places along a page.
type axis struct{ from, to, x, w float64 }

func (a axis) at(v float64) float64 {
	if a.to <= a.from {
		return a.x
	}
	return a.x + a.w*math.Max(0, math.Min(1, (v-a.from)/(a.to-a.from)))
}

// dateCurve draws the joint curve, and under it what each item pulls towards by
// itself, over the band that holds 90 % of the joint curve.
func (s *sheet) dateCurve(c dateCurve) {
	rows := c.rows[:min(len(c.rows), curveRows)]
	s.room(c.height())
	a := dateAxis(c)
	y0 := s.y + 6
	base := y0 + curveJointH
	end := base + float64(len(rows))*curveRowH
	s.years(a, y0, end)
	d := c.dating
	if d.Known {
		x1, x2 := a.at(float64(d.Interval90[0])), a.at(float64(d.Interval90[1])+1)
		s.fill(steelPale)
		s.pdf.Rect(x1, y0, x2-x1, end-y0, "F")
		w := 70.0
		s.label(math.Min(math.Max((x1+x2)/2-w/2, a.x-8), rightX-w), y0-1.5, w, faceNote, "90"+nbsp+"% "+monthRange(d.Interval90), centre)
	}
	s.ridge(a, base, curveJointH-2, d.Months, steelMid, steel, false)
	s.label(leftX, base-curveJointH/2, curveLabelW-3, faceStrong, "All evidence together", left)
	if d.Known {
		s.stroke(steel, 0.4)
		x := a.at(float64(d.Median) + 0.5)
		s.pdf.Line(x, base, x, base-curveJointH+1)
		s.label(leftX, base-curveJointH/2+3.5, curveLabelW-3, faceSub, "middle "+monthWords(d.Median), left)
	}
	s.rule(base, ink, 0.2, leftX+bodyW)
	for i, r := range rows {
		y := base + curveRowH*float64(i+1)
		s.curveRow(a, y, r)
	}
	s.y = end + 9
	if n := len(c.rows) - len(rows); n > 0 {
		s.text(faceSmall, 1.4, bodyW, counted(n, "more row")+" in the table below.", "")
	}
	s.y += 1
}

func (c dateCurve) height() float64 {
	return 6 + curveJointH + float64(min(len(c.rows), curveRows))*curveRowH + 9
}

func (s *sheet) curveRow(a axis, y float64, r curveRow) {
	lead := faceSub.leading(1.2)
	ls := wrap(curveLabelW-3, setIn(faceSub.in(ink), r.label)...)
	if len(ls) > 2 {
		ls = ls[:2]
		ls[1].add(spanOf{"…", faceSub.in(ink)}, 1)
	}
	s.lines(leftX, y-curveRowH+(curveRowH-lead*float64(len(ls)))/2, curveLabelW-3, ls, lead, left)
	s.ridge(a, y, curveRowH-1.8, r.months, cream, soft, r.disagrees)
	if len(r.months) == 0 {
		s.label(a.x, y-curveRowH/2+1, a.w, faceSub, "no curve of its own", left)
	}
	s.rule(y, hair, 0.12, leftX+bodyW)
	cites := r.cites
	ls = noteLines(cites)
	if r.disagrees {
		ls = append(wrap(noteW, setIn(faceNote.as(sansBold).in(ink), "disagrees")...), ls...)
	}
	s.lines(noteX, y-curveRowH+1.2, noteW, ls[:min(len(ls), 3)], lead, left)
}

// ridge draws one curve, its top at height h; a curve that disagrees is hollow.
func (s *sheet) ridge(a axis, base, h float64, months []opinion.MonthChance, fill, outline colour, hollow bool) {
	top := 0.0
	for _, m := range months {
		if finite(m.P) {
			top = math.Max(top, m.P)
		}
	}
	if top <= 0 {
		return
	}
	var pts []fpdf.PointType
	for _, m := range months {
		v := float64(m.Month) + 0.5
		if v < a.from || v > a.to || !finite(m.P) {
			continue
		}
		pts = append(pts, fpdf.PointType{X: a.at(v), Y: base - h*math.Max(0, m.P)/top})
	}
	if len(pts) == 0 {
		return
	}
	if len(pts) == 1 {
		pts = []fpdf.PointType{{X: pts[0].X - 0.3, Y: pts[0].Y}, {X: pts[0].X + 0.3, Y: pts[0].Y}}
	}
	closed := append([]fpdf.PointType{{X: pts[0].X, Y: base}}, pts...)
	closed = append(closed, fpdf.PointType{X: pts[len(pts)-1].X, Y: base})
	s.stroke(outline, 0.25)
	s.fill(fill)
	if hollow {
		s.pdf.SetDashPattern([]float64{0.8, 0.6}, 0)
		s.pdf.Polygon(closed, "D")
		s.pdf.SetDashPattern(nil, 0)
		return
	}
	s.pdf.Polygon(closed, "FD")
}

// dateAxis is whole years over the months where any curve has weight.
func dateAxis(c dateCurve) axis {
	lo, hi := edtf.Month(math.MaxInt32), edtf.Month(math.MinInt32)
	grow := func(months []opinion.MonthChance, share float64) {
		top := 0.0
		for _, m := range months {
			if finite(m.P) {
				top = math.Max(top, m.P)
			}
		}
		for _, m := range months {
			if m.P > share*top {
				lo, hi = min(lo, m.Month), max(hi, m.Month)
			}
		}
	}
	grow(c.dating.Months, 0.005)
	jointLo, jointHi := lo, hi
	for _, r := range c.rows {
		grow(r.months, 0.08)
	}
	if hi-lo > curveSpan {
		lo, hi = jointLo, jointHi
	}
	if hi < lo {
		lo, hi = 0, 11
	}
	hi = min(hi, lo+curveSpan)
	from, to := lo.Year()*12, (hi.Year()+1)*12
	if to-from < 36 {
		from, to = from-12, to+12
	}
	return axis{float64(from), float64(to), leftX + curveLabelW, bodyW - curveLabelW}
}

// years draws the axis under the chart, with lines up into it.
func (s *sheet) years(a axis, top, base float64) {
	first, last := int(a.from)/12, int(a.to)/12
	step := 1
	for _, k := range []int{1, 2, 5, 10, 20, 50} {
		step = k
		if float64(last-first)/float64(k) <= a.w/9 {
			break
		}
	}
	for y := first; y <= last; y++ {
		if y%step != 0 {
			continue
		}
		x := a.at(float64(y * 12))
		s.stroke(hair, 0.12)
		s.pdf.Line(x, top, x, base+1)
		s.label(x-6, base+4, 12, faceHead, fmt.Sprint(y), centre)
	}
	s.label(leftX, base+4, curveLabelW-8, faceHead, "Start of the year", left)
}

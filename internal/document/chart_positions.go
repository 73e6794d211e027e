package document

import (
	"math"
	"strconv"
	"strings"

	"midcase/opinion"
)

// ratePicture is the chart of the rate over positions.
type ratePicture struct {
	positions []opinion.PositionRate
	mean      *float64
}

const (
	rateRowH    = 8.0
	rateGlyphW  = 10.0
	rateLabelW  = 38.0
	rateAmpW    = 18.0
	rateMostRow = 16
)

func (p ratePicture) rows() []opinion.PositionRate {
	return p.positions[:min(len(p.positions), rateMostRow)]
}

func (p ratePicture) height() float64 { return 6 + float64(len(p.rows()))*rateRowH + 14 }

// ratePicture draws a row for each reading: the watch as it lay, its rate on a
// common scale, the amplitude beside it. A reading a day after winding is open.
func (s *sheet) ratePicture(p ratePicture) {
	rows := p.rows()
	s.room(p.height())
	lo, hi := 0.0, 0.0
	for _, r := range rows {
		if finite(r.SecPerDay) {
			lo, hi = math.Min(lo, r.SecPerDay), math.Max(hi, r.SecPerDay)
		}
	}
	room := math.Max(0.08*(hi-lo), 1)
	x := leftX + rateGlyphW + rateLabelW
	a := axis{lo - room, hi + room, x, leftX + bodyW - rateAmpW - x}
	top := s.y + 6
	end := top + float64(len(rows))*rateRowH
	s.label(x, s.y+3, a.w, faceHead, "Rate, s/d", left)
	s.label(a.x+a.w, s.y+3, rateAmpW, faceHead, "Amplitude", right)
	for _, v := range ticks(a.from, a.to, 7) {
		s.stroke(hair, 0.12)
		s.pdf.Line(a.at(v), top, a.at(v), end+1)
		s.label(a.at(v)-8, end+4, 16, faceHead, signed(v, 0), centre)
	}
	s.stroke(soft, 0.2)
	s.pdf.Line(a.at(0), top, a.at(0), end)
	if p.mean != nil && finite(*p.mean) {
		s.stroke(steel, 0.3)
		s.pdf.SetDashPattern([]float64{1, 0.8}, 0)
		s.pdf.Line(a.at(*p.mean), top, a.at(*p.mean), end)
		s.pdf.SetDashPattern(nil, 0)
	}
	for i, r := range rows {
		y := top + rateRowH*(float64(i)+0.5)
		s.watchAsItLay(leftX+rateGlyphW/2-1, y, r.Position)
		s.label(leftX+rateGlyphW, y+0.9, rateLabelW-2, faceSub.in(ink), opening0(positionWords(r.Position)), left)
		s.rateDot(a, y, r)
	}
	s.y = end + 7
	s.text(faceSmall, 1.4, bodyW, "A full dot is a reading in the first hours after winding, an open one a later reading; the broken line is the mean over positions.", "")
	s.y += 2
}

func (s *sheet) rateDot(a axis, y float64, r opinion.PositionRate) {
	if !finite(r.SecPerDay) {
		return
	}
	s.stroke(steel, 0.3)
	s.pdf.Line(a.at(0), y, a.at(r.SecPerDay), y)
	s.fill(steel)
	if r.HoursSinceWind >= 18 {
		s.fill(paper)
	}
	s.pdf.Circle(a.at(r.SecPerDay), y, 1.1, "FD")
	amp := "–"
	if r.AmplitudeDeg > 0 {
		amp = rounded(r.AmplitudeDeg, 0) + nbsp + "°"
	}
	s.label(a.x+a.w, y+0.9, rateAmpW, faceSub.in(ink), amp, right)
}

// watchAsItLay is a small watch: face up with hands, face down with its back, or
// standing with the crown where it points when the named hour is uppermost.
func (s *sheet) watchAsItLay(x, y float64, position string) {
	const r = 2.7
	s.stroke(ink, 0.2)
	s.fill(paper)
	crown := 90.0 // degrees clockwise from the top
	hour, standing := uppermost(position)
	if standing {
		crown = 90 - 30*hour
	}
	turn := func(deg, at float64) (float64, float64) {
		q := deg * math.Pi / 180
		return x + at*math.Sin(q), y - at*math.Cos(q)
	}
	if position == "FH" {
		crown = -90
	}
	cx, cy := turn(crown, r+0.5)
	s.fill(ink)
	s.pdf.Circle(cx, cy, 0.55, "F")
	s.fill(paper)
	s.pdf.Circle(x, y, r, "FD")
	switch {
	case position == "FH":
		s.pdf.Circle(x, y, r*0.7, "D")
	case standing:
		tx, ty := turn(-30*hour, r*0.75) // twelve
		ex, ey := turn(-30*hour, r*0.3)
		s.pdf.Line(ex, ey, tx, ty)
		s.pdf.Line(x-r-1, y+r+0.4, x+r+1, y+r+0.4) // what it stands on
	default:
		for _, h := range []float64{-56, 54} {
			hx, hy := turn(h, r*0.7)
			s.pdf.Line(x, y, hx, hy)
		}
	}
}

// uppermost is the hour that stands uppermost: 3 for 3H, 1.5 for 1H30.
func uppermost(position string) (hour float64, ok bool) {
	h, m, ok := strings.Cut(position, "H")
	if !ok {
		return 0, false
	}
	hour, err := strconv.ParseFloat(h, 64)
	if err != nil {
		return 0, false
	}
	if minutes, err := strconv.ParseFloat(m, 64); err == nil {
		hour += minutes / 60
	}
	return hour, true
}

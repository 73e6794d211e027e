package document

import (
	"math"

	"codeberg.org/go-pdf/fpdf"
)

const (
	traceLabelW = 16.0
	traceH      = 46.0
)

func (t beatTrace) height() float64 { return 6 + traceH + 9 + 8 }

// beatTrace draws one beat after another: time along, lateness against the nominal
// beat across. Even beats are full squares, odd beats open circles, so that two lines
// apart are a beat error; a beat that was left out is a cross at the edge or in its place.
func (s *sheet) beatTrace(t beatTrace) {
	s.room(t.height())
	lo, hi := t.span()
	along := axis{0, math.Max(t.seconds, 1), leftX + traceLabelW, bodyW - traceLabelW}
	top := s.y + 6
	across := func(late float64) float64 {
		return top + traceH*(hi-math.Max(lo, math.Min(hi, late)))/(hi-lo)
	}
	s.label(leftX, s.y+3, bodyW, faceHead, "Lateness against the nominal beat, ms", left)
	s.traceGrid(along, across, lo, hi, top)
	for _, b := range t.beats {
		if !finite(b.LateMS) || !finite(b.AtS) {
			continue
		}
		x, y := along.at(b.AtS), across(b.LateMS)
		const r = 0.62
		switch {
		case !b.Used:
			s.stroke(soft, 0.15)
			s.pdf.Line(x-r, y-r, x+r, y+r)
			s.pdf.Line(x-r, y+r, x+r, y-r)
		case b.Odd:
			s.stroke(ink, 0.2)
			s.fill(paper)
			s.pdf.Circle(x, y, r, "FD")
		default:
			s.fill(steel)
			s.pdf.Polygon([]fpdf.PointType{{X: x - r, Y: y - r}, {X: x + r, Y: y - r}, {X: x + r, Y: y + r}, {X: x - r, Y: y + r}}, "F")
		}
	}
	s.y = top + traceH + 8
	s.text(faceSmall, 1.4, bodyW, "Full squares are even beats, open circles odd ones; a cross is a beat that was left out. A line that falls is a watch that gains; two lines apart are a beat error, twice its size.", "")
	s.y += 2
}

// traceGrid draws both axes with round figures.
func (s *sheet) traceGrid(along axis, across func(float64) float64, lo, hi, top float64) {
	for _, v := range ticks(lo, hi, 5) {
		y := across(v)
		s.stroke(hair, 0.12)
		s.pdf.Line(along.x, y, along.x+along.w, y)
		places := 0
		if hi-lo < 5 {
			places = 1
		}
		s.label(leftX, y+0.9, traceLabelW-2, faceHead, signed(v, places), right)
	}
	base := top + traceH
	for _, v := range ticks(along.from, along.to, 8) {
		x := along.at(v)
		s.stroke(hair, 0.12)
		s.pdf.Line(x, base, x, base+1)
		s.label(x-8, base+4, 16, faceHead, rounded(v, 0)+nbsp+"s", centre)
	}
	s.stroke(ink, 0.2)
	s.pdf.Line(along.x, base, along.x+along.w, base)
}

// ticks are round figures from lo to hi, about n of them.
func ticks(lo, hi float64, n int) []float64 {
	if !(hi > lo) || !finite(lo) || !finite(hi) {
		return nil
	}
	step := math.Pow(10, math.Floor(math.Log10((hi-lo)/float64(n))))
	for _, k := range []float64{1, 2, 5, 10} {
		if (hi-lo)/(step*k) <= float64(n) {
			step *= k
			break
		}
	}
	var out []float64
	for v := math.Ceil(lo/step) * step; v <= hi+step*1e-9; v += step {
		out = append(out, v)
	}
	return out
}

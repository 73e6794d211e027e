package document

import (
	"fmt"
	"math"

	"midcase/opinion"
)

const (
	priceLabelW = 34.0
	priceRowH   = 4.4
)

// pricePicture draws the comparables as dots at their adjusted prices over the
// range of the opinion; a tick is the price as sold, an open dot a price asked.
func (s *sheet) pricePicture(p pricePicture) {
	s.room(p.height())
	a, ok := priceAxis(p)
	if !ok {
		return
	}
	top := s.y + 8
	end := top + float64(p.rows())*priceRowH
	s.priceBands(p, a, top, end)
	s.priceTicks(a, top, end, orElse(string(p.value.Currency), "price"))
	most := 0.0
	for _, d := range p.dots {
		most = math.Max(most, d.weight)
	}
	for i, d := range p.dots {
		y := top + priceRowH*(float64(i)+0.5)
		s.label(leftX, y+0.9, 9, faceNote, d.cites, left)
		s.label(leftX+9, y+0.9, priceLabelW-11, faceSub, d.label, left)
		s.dot(a, y, d, most)
	}
	if len(p.rest) > 0 {
		y := top + priceRowH*(float64(len(p.dots))+0.5)
		s.label(leftX, y+0.9, priceLabelW-2, faceSub, fmt.Sprintf("%d more", len(p.rest)), left)
		s.stroke(soft, 0.25)
		for _, d := range p.rest {
			if finite(d.adjusted) && d.adjusted > 0 {
				s.pdf.Line(a.at(d.adjusted), y-1.2, a.at(d.adjusted), y+1.2)
			}
		}
	}
	s.y = end + 9
	s.text(faceSmall, 1.4, bodyW, "A dot is a comparable at its adjusted price, larger with its weight, open where the price was only asked; the tick at the end of its line is the price as sold. Bands: 50, 80 and 90"+nbsp+"% of the opinion; line: its middle.", "")
	s.y += 2
}

// headline is the range that a value is spoken of by: the one of 80 %, which the
// opinion's sentence gives, else the widest there is.
func headline(v opinion.Value) (level string, i [2]float64) {
	for _, level := range []string{"80", "90", "50"} {
		if i, ok := v.Interval[level]; ok && stated(i) {
			return level, i
		}
	}
	return "", [2]float64{}
}

func (p pricePicture) rows() int {
	if len(p.rest) > 0 {
		return len(p.dots) + 1
	}
	return len(p.dots)
}

func (p pricePicture) height() float64 { return 8 + float64(p.rows())*priceRowH + 10 }

func (s *sheet) dot(a axis, y float64, d priceDot, most float64) {
	if !finite(d.adjusted) || d.adjusted <= 0 {
		return
	}
	x := a.at(d.adjusted)
	if finite(d.price) && d.price > 0 {
		px := a.at(d.price)
		s.stroke(soft, 0.15)
		s.pdf.Line(px, y, x, y)
		s.pdf.Line(px, y-0.9, px, y+0.9)
	}
	r := 0.8
	if most > 0 && finite(d.weight) {
		r = 0.6 + 0.8*math.Sqrt(math.Max(0, d.weight)/most)
	}
	s.stroke(ink, 0.25)
	s.fill(cream)
	if d.asking {
		s.fill(paper)
	}
	s.pdf.Circle(x, y, r, "FD")
}

func (s *sheet) priceBands(p pricePicture, a axis, top, end float64) {
	for _, b := range []struct {
		level string
		c     colour
	}{{"90", steelPale}, {"80", colour{193, 207, 228}}, {"50", colour{168, 187, 216}}} {
		i, ok := p.value.Interval[b.level]
		if !ok || !stated(i) {
			continue
		}
		s.fill(b.c)
		s.pdf.Rect(a.at(i[0]), top, a.at(i[1])-a.at(i[0]), end-top, "F")
	}
	if level, i := headline(p.value); level != "" {
		x := (a.at(i[0]) + a.at(i[1])) / 2
		const w = 60
		s.label(math.Max(a.x, math.Min(x-w/2, leftX+bodyW-w)), top-1.6, w, faceNote, level+nbsp+"% "+priceRange(i, p.value.Currency), centre)
	}
	if m := p.value.Median; m != nil && finite(*m) {
		s.stroke(steel, 0.4)
		s.pdf.Line(a.at(*m), top, a.at(*m), end)
	}
}

func (s *sheet) priceTicks(a axis, top, end float64, unit string) {
	step := niceStep((a.to - a.from) / 6)
	for v := math.Ceil(a.from/step) * step; v <= a.to+step/1e6; v += step {
		x := a.at(v)
		s.stroke(hair, 0.12)
		s.pdf.Line(x, end, x, end+1)
		s.label(x-12, end+4, 24, faceHead, rounded(v, 0), centre)
	}
	s.rule(end, ink, 0.2, leftX+bodyW)
	s.label(leftX, end+4, priceLabelW-10, faceHead, unit, left)
}

// niceStep is 1, 2 or 5 times a power of ten, not under x.
func niceStep(x float64) float64 {
	if !(x > 0) || !finite(x) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(x)))
	for _, k := range []float64{1, 2, 5} {
		if k*p >= x {
			return k * p
		}
	}
	return 10 * p
}

func priceAxis(p pricePicture) (axis, bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	grow := func(v float64) {
		if finite(v) && v > 0 && v < 1e12 {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	for _, d := range append(append([]priceDot(nil), p.dots...), p.rest...) {
		grow(d.adjusted)
		grow(d.price)
	}
	for _, i := range p.value.Interval {
		grow(i[0])
		grow(i[1])
	}
	if hi < lo {
		return axis{}, false
	}
	pad := math.Max((hi-lo)*0.05, hi*0.01)
	return axis{math.Max(0, lo-pad), hi + pad, leftX + priceLabelW, bodyW - priceLabelW - 3}, true
}

package draw

import (
	"image"
	"math"
)

// braceletLength is one side of the bracelet with its half of the clasp, in mm.
func (w Watch) braceletLength() float64 {
	return (w.Band.PitchMM + w.Band.StretchMM) * float64(w.Band.LengthLinks)
}

// Bracelet draws one side of the bracelet laid flat, end piece at the left.
func Bracelet(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	if w.Band.Kind == "strap" || w.Band.Kind == "none" {
		w.Band.Kind = "solid"
	}
	w.bandAlone = true
	s.RollDeg += 90
	mid := w.MidCaseMM/2 + w.braceletLength()/2 + 5
	mm := s.fit(w.braceletLength()+32, w.LugWidthMM*1.9)
	s.ShiftPx[0] += -mid / mm
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mm))
	c.ground(s, "linen", w.Seed+4)
	far := w.MidCaseMM/2 + w.braceletLength()
	c.linksTo(w, -1, far)
	h := w.Band.TaperMM / 2
	blade := orient(roundRect(-h, -far-16, h, -far+4, 1.2))
	c.soft(0, blade.move(pt{0.8, -1.2}), nil, 1, rgb{}, 0.5)
	c.fill(0, blade, func(x, y float64) (rgb, float32) {
		u := x / h
		n := vec{0.25*u*u*u + 0.02, 0, 1}
		return alloyOf(w.Metal).brushed(x, y, n.norm(), pt{0, 1}, w.Seed+71), 1
	})
	c.fill(0, orient(rect(-h, -far+3.4, h, -far+4)), thin(rgb{}, 0.35))
	return c.finish(s, w.Seed+4)
}

// linksTo paints the links of one side up to a distance from the middle.
func (c *canvas) linksTo(w Watch, side, far float64) { c.links(w, side, far-w.Band.PitchMM*1.6) }

// DroopTruth says how a bracelet hangs that is held out level by the case side.
type DroopTruth struct {
	MMPerPx  float64
	Held     Point   // where the free part begins
	FreeEnd  Point   // middle of the last link
	LengthMM float64 // free length along the links
	DroopMM  float64 // how far the free end lies below the level through Held
	Level    [2]Point
}

// droopLine gives the joints of the hanging bracelet, in mm: a bending that
// grows from the free end to the held end, so that the slope at a way t of the
// length is proportional to 1-(1-t)³, scaled to the droop that was asked for.
func (w Watch) droopLine() []pt {
	n := w.Band.LengthLinks
	p := w.Band.PitchMM + w.Band.StretchMM
	lay := func(k float64) []pt {
		at := pt{}
		out := []pt{at}
		for i := range n {
			t := (float64(i) + 0.5) / float64(n)
			a := math.Min(k*(1-math.Pow(1-t, 3)), 1.5)
			at = at.add(pt{p * math.Cos(a), p * math.Sin(a)})
			out = append(out, at)
		}
		return out
	}
	want := w.Band.DroopMM
	if want <= 0 {
		want = 2 + 40*w.Band.StretchMM
	}
	lo, hi := 0.0, 1.5
	for range 60 {
		k := (lo + hi) / 2
		if l := lay(k); l[n].Y < want {
			lo = k
		} else {
			hi = k
		}
	}
	return lay(lo)
}

const droopLeft = 30.0 // mm of case and fingers shown left of the held end

func (w Watch) droopView(s Shot) (Shot, float64) {
	l := w.braceletLength()
	mm := s.fit(l+droopLeft+16, math.Max(40, l*0.62))
	s.ShiftPx[0] -= (l/2 - droopLeft/2 + 4) / mm
	s.ShiftPx[1] -= 0.17 * float64(s.HeightPx)
	return s, mm
}

// BraceletDroop draws the bracelet held out level by the case side, edge-on,
// with a level thread behind it.
func BraceletDroop(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	s, mm := w.droopView(s)
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mm))
	c.ground(s, "paper", w.Seed+5)
	far := reach(s, mm) * 2
	c.fill(0, rect(-far, -0.12, far, 0.12), flat(hex(0xb03a2e)))
	for x := 0.0; x < w.braceletLength()+10; x += 10 {
		c.fill(0, rect(x-0.08, -0.9, x+0.08, 0.9), flat(hex(0xb03a2e)))
	}
	line := w.droopLine()
	a := alloyOf(w.Metal)
	shade := orient(stroke(line, 2.6)).move(pt{1.4, 2.0})
	c.soft(0, shade, nil, 1.2, rgb{}, 0.35)
	thick := map[string]float64{"solid": 1.45, "folded": 1.25, "riveted": 1.15, "hollow": 1.15}[w.Band.Kind]
	if thick == 0 {
		thick = 1.3
	}
	c.droopCase(w, a)
	for i := 1; i < len(line); i++ {
		p, q := line[i-1], line[i]
		dir := q.sub(p)
		ang := math.Atan2(dir.Y, dir.X)
		half := w.Band.PitchMM/2 - 0.1
		body := roundRect(-half, -thick, half, thick, 0.7)
		mid := lerp(p, q, 0.5)
		place := func(b path) path { return b.turn(ang).move(mid) }
		c.fill(0, place(body), a.rod(mid, dir, thick, 0.92, 0.35))
		if w.Band.Kind == "riveted" {
			for _, k := range []float64{-0.55, 0.55} {
				o := pt{k * half * math.Cos(ang), k * half * math.Sin(ang)}.add(mid)
				c.fill(0, circle(o, 0.62), a.domed(o, 0, 0.62, 0, 1.1, 0.2))
			}
		} else {
			c.fill(0, place(rect(-half+0.5, -0.09, half-0.5, 0.09)), thin(rgb{}, 0.5))
		}
		c.fill(0, circle(p, 0.38), flat(rgb{0.07, 0.07, 0.07}))
	}
	return c.finish(s, w.Seed+5)
}

// droopCase is the case in profile, held at the left.
func (c *canvas) droopCase(w Watch, a alloy) {
	T := w.ThicknessMM
	body := roundRect(-60, -T*0.30, -2.6, T*0.34, T*0.2)
	c.fill(0, body, a.rod(pt{}, pt{1, 0}, T*0.36, 0.9, 0.35))
	lug := path{cubic(pt{-9, -T * 0.28}, pt{-3, -T * 0.26}, pt{0.4, -T * 0.1}, pt{1.2, 1.6}, 20)}
	lug[0] = append(lug[0], pt{0.3, 1.9}, pt{-7, T * 0.2})
	c.fill(0, orient(lug), a.rod(pt{}, pt{1, 0.2}, T*0.4, 0.9, 0.3))
	c.fill(0, orient(rect(-60, -T*0.62, -12, -T*0.30)), a.rod(pt{0, -T * 0.46}, pt{1, 0}, T*0.2, 0.9, 0.25))
}

// TruthOfDroop is the truth of BraceletDroop.
func TruthOfDroop(w Watch, s Shot) DroopTruth {
	w, s = w.complete(), s.complete()
	s, mm := w.droopView(s)
	h := newCamera(s, mm).plane(0)
	at := func(p pt) Point { x, y := h.Apply(p.X, p.Y); return Point{x, y} }
	line := w.droopLine()
	end := line[len(line)-1]
	return DroopTruth{MMPerPx: mm, Held: at(pt{}), FreeEnd: at(end), LengthMM: w.braceletLength(), DroopMM: end.Y,
		Level: [2]Point{at(pt{0, 0}), at(pt{w.braceletLength(), 0})}}
}

// Clasp draws the opened clasp with its stamps: w.Band.Stamps, one a line.
func Clasp(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	h := math.Max(w.Band.TaperMM/2, 5)
	mm := s.fit(48, h*4.6)
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mm))
	c.ground(s, "linen", w.Seed+6)
	a := alloyOf(w.Metal)
	dark := rgb{0.10, 0.09, 0.08}
	blade := func(p path, seed uint64) {
		c.soft(0, p.move(pt{0.9, 1.3}), nil, 1.0, rgb{}, 0.5)
		c.fill(0, p, func(x, y float64) (rgb, float32) {
			v := y / h
			return a.brushed(x, y, vec{0.0, 0.30 * v * v * v, 1}.norm(), pt{1, 0}, w.Seed+seed), 1
		})
	}
	blade(roundRect(-21, -h*0.78, 21, h*0.78, 1.6), 80)
	blade(roundRect(-21.5, -h, 3, h, 1.8), 81)
	c.fill(0, rect(2.2, -h*0.98, 2.6, h*0.98), thin(dark, 0.4))
	for _, x := range []float64{-19.3, 0.6} {
		c.fill(0, circle(pt{x, 0}, 0.7), a.domed(pt{x, 0}, 0, 0.7, 0, 1, 0.2))
	}
	c.fill(0, roundRect(15.5, -h*0.30, 18.5, h*0.30, 0.8), flat(dark))
	for i, line := range w.Band.Stamps {
		y := (float64(i) - float64(len(w.Band.Stamps)-1)/2) * h * 0.46
		c.engrave(0, text(sans, line, h*0.24, 0.14).move(pt{-9.5, y}), 0.05, dark)
	}
	c.scratches(0, roundRect(-21.5, -h, 21, h, 1.6), 22, 0.2+w.Scratches, w.Seed+82)
	return c.finish(s, w.Seed+6)
}

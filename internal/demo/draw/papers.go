package draw

import (
	"image"
	"math"
)

// PapersSheet draws the certificate that came with the watch.
func PapersSheet(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	const W, H = 118.0, 84.0
	mm := s.fit(W*1.16, H*1.2)
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mm))
	c.ground(s, "walnut", w.Seed+9)
	sheet := rect(-W/2, -H/2, W/2, H/2)
	c.soft(0, sheet.move(pt{1.2, 1.8}), nil, 1.6, rgb{}, 0.55)
	worn := w.Papers.Worn
	base := hex(0xf1ead9).mix(hex(0xd9c493), float32(0.7*worn))
	c.fill(0, sheet, func(x, y float64) (rgb, float32) {
		edge := math.Min(W/2-math.Abs(x), H/2-math.Abs(y))
		tone := 0.012*cloud(x/9, y/9, w.Seed) + 0.008*smoothNoise(x*6, y*6, w.Seed+1) - 0.07*worn*smoothstep(9, 0, edge)
		fold := worn * (0.10*math.Exp(-x*x/0.12) - 0.05*math.Exp(-(x-0.5)*(x-0.5)/0.8))
		return base.add(float32(tone - fold)), 1
	})
	ink, fine := flat(hex(0x27324a)), thin(hex(0x2d5a52), 0.75)
	c.guilloche(W/2-4.5, H/2-4.5, fine)
	title := w.Papers.Title
	orText(&title, "Certificate of origin")
	c.fill(0, text(serif, w.Print.Maker, 5.2, 0.12).move(pt{0, -H/2 + 15}), ink)
	c.fill(0, text(serifItalic, title, 3.3, 0.06).move(pt{0, -H/2 + 23.5}), ink)
	c.fill(0, rect(-22, -H/2+27.6, 22, -H/2+27.8), ink)
	c.papersFields(w, H)
	c.shopStamp(w, pt{W/2 - 25, H/2 - 22})
	return c.finish(s, w.Seed+9)
}

// guilloche is a border of interlacing waves.
func (c *canvas) guilloche(hx, hy float64, sh shader) {
	for k := range 4 {
		ph := float64(k) * math.Pi / 2
		for _, f := range []float64{-1, 1} {
			var h, v []pt
			for i := 0; i <= 400; i++ {
				t := float64(i)/200 - 1
				h = append(h, pt{t * hx, f*hy + 1.1*math.Sin(t*hx*0.9+ph)})
				v = append(v, pt{f*hx + 1.1*math.Sin(t*hy*0.9+ph), t * hy})
			}
			c.fill(0, stroke(h, 0.14), sh)
			c.fill(0, stroke(v, 0.14), sh)
		}
	}
	in := rect(-hx+2.4, -hy+2.4, hx-2.4, hy-2.4)
	c.fill(0, append(in, []pt{{-hx + 2.6, -hy + 2.6}, {-hx + 2.6, hy - 2.6}, {hx - 2.6, hy - 2.6},
		{hx - 2.6, -hy + 2.6}}), sh)
}

func (c *canvas) papersFields(w Watch, H float64) {
	ink, pen := flat(hex(0x27324a)), thin(hex(0x1c2c7a), 0.85)
	for i, f := range w.Papers.Fields {
		y := -H/2 + 36 + float64(i)*7.4
		label := text(sans, f[0], 1.7, 0.06)
		x0, _, _, _ := bounds(label)
		c.fill(0, label.move(pt{-46 - x0, y}), ink)
		c.fill(0, rect(-20, y+1.5, 28, y+1.62), ink)
		hand := text(serifBoldItalic, f[1], 2.7, 0.03).each(func(q pt) pt {
			return pt{q.X - 0.16*q.Y + 0.10*smoothNoise(q.X*0.7, float64(i), w.Seed),
				q.Y + 0.16*smoothNoise(q.X*0.35, float64(i)+9, w.Seed)}
		})
		x0, _, _, _ = bounds(hand)
		c.fill(0, hand.move(pt{-18 - x0, y - 0.4}), pen)
	}
}

func (c *canvas) shopStamp(w Watch, at pt) {
	if len(w.Papers.Stamp) == 0 {
		return
	}
	blot := func(x, y float64) (rgb, float32) {
		return hex(0x6a2f6e), float32(0.30 + 0.45*smoothstep(-0.6, 0.4, smoothNoise(x*1.3, y*1.3, w.Seed+5)))
	}
	place := func(p path) path { return p.turn(-0.22).move(at) }
	c.fill(0, place(annulus(pt{}, 11.6, 12.2)), blot)
	c.fill(0, place(annulus(pt{}, 7.4, 7.7)), blot)
	c.fill(0, place(textArc(sansBold, w.Papers.Stamp[0], 1.9, 0.16, pt{}, 9.6, 0, false)), blot)
	for i, line := range w.Papers.Stamp[1:] {
		c.fill(0, place(text(sansBold, line, 1.7,
			0.05).move(pt{0, (float64(i) - float64(len(w.Papers.Stamp)-2)/2) * 3.2})), blot)
	}
}

// Draw draws the view that s.View names; an unknown name draws the front.
func Draw(w Watch, s Shot) *image.RGBA {
	switch s.View {
	case "dial":
		return Dial(w, s)
	case "back":
		return CaseBack(w, s)
	case "crown_side":
		return CrownSide(w, s)
	case "bracelet":
		return Bracelet(w, s)
	case "bracelet_droop":
		return BraceletDroop(w, s)
	case "movement":
		return Movement(w, s)
	case "clasp":
		return Clasp(w, s)
	case "papers":
		return PapersSheet(w, s)
	}
	return Front(w, s)
}

// Encode draws the view that s.View names as a JPEG of s.JPEGQuality.
func Encode(w Watch, s Shot) []byte { return JPEG(Draw(w, s), s.complete().JPEGQuality) }

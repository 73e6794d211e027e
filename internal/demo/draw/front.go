package draw

import (
	"image"
	"math"
)

// Front draws the whole watch from above.
func Front(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	return scene(w, s, w.frontScale(s))
}

// Dial draws the same, close up on the dial.
func Dial(w Watch, s Shot) *image.RGBA {
	w, s = w.complete(), s.complete()
	return scene(w, s, w.dialScale(s))
}

func (w Watch) frontScale(s Shot) float64 {
	f := math.Max(w.LugToLugMM*1.16, w.MidCaseMM+2*w.CrownMM)
	if s.TargetMM > 0 {
		f = math.Max(f, s.TargetMM*1.32)
	}
	return s.fit(f, f)
}

func (w Watch) dialScale(s Shot) float64 {
	f := math.Max(w.DialMM*1.13, math.Min(w.BezelMM, w.DialMM*1.2))
	return s.fit(f, f)
}

// reach is how far from the middle the picture sees, in mm.
func reach(s Shot, mmPerPx float64) float64 {
	d := math.Hypot(float64(s.WidthPx), float64(s.HeightPx))/2 + math.Hypot(s.ShiftPx[0], s.ShiftPx[1])
	return d * mmPerPx / math.Max(0.5, math.Cos(s.TiltDeg*math.Pi/180)-0.1)
}

func scene(w Watch, s Shot, mmPerPx float64) *image.RGBA {
	c := newCanvas(s.WidthPx, s.HeightPx, newCamera(s, mmPerPx))
	c.ground(s, "slate", w.Seed+1)
	if s.TargetMM > 0 {
		c.target(s.TargetMM, w.Seed)
	}
	far := math.Min(reach(s, mmPerPx), 110)
	if s.TargetMM > 0 {
		far = math.Min(far, w.LugToLugMM/2+s.TargetMM*0.25)
	}
	c.shadow(w)
	c.band(w, far)
	c.flank(w)
	if w.Guards {
		c.guards(w)
	}
	c.crown(w)
	c.lugs(w)
	c.midCase(w)
	c.dial(w, s)
	c.bezel(w)
	c.hands(w, s)
	c.crystal(w, s)
	c.scratches(w.zMidCase(), w.silhouette(), w.LugToLugMM/2, w.Scratches, w.Seed)
	return c.finish(s, w.Seed)
}

// crystal lays the reflections of the crystal over the dial.
func (c *canvas) crystal(w Watch, s Shot) {
	z := w.zCrystal()
	r := w.DialMM/2 + 0.35
	if s.Gloss > 0 {
		disc := circle(pt{}, r)
		glare := circle(pt{-0.9 * r, -1.05 * r}, 1.05*r)
		c.soft(z, glare, disc, 0.10*r, rgb{1, 1, 1}, float32(0.16*s.Gloss))
		arc := sector(pt{}, r*0.93, r*0.965, -1.15, -0.25)
		c.soft(z, arc, disc, 0.02*r, rgb{1, 1, 0.98}, float32(0.6*s.Gloss))
	}
	if w.Crystal == "acrylic" {
		c.soft(z, annulus(pt{}, r-0.25, r), circle(pt{}, r), 0.12, rgb{1, 1, 1}, 0.14)
		if s.Gloss > 0 {
			c.scratches(z, circle(pt{}, r), r, 0.4*w.Scratches, w.Seed+90)
		}
	}
}

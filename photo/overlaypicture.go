package photo

import (
	"image"
	"image/color"
	"image/draw"
	"math"
)

// View is how an overlay is shown.
type View string

// The views.
const (
	ViewAll        View = "all"        // subject, reference and difference beside each other
	ViewSide       View = "side"       // subject and reference beside each other
	ViewSubject    View = "subject"    // the subject, laid where the reference lies
	ViewReference  View = "reference"  // with ViewSubject a pair to blink
	ViewDifference View = "difference" // pale where they agree
)

// Views are all views.
var Views = []View{ViewAll, ViewSide, ViewSubject, ViewReference, ViewDifference}

// Picture draws a view; both dials stand upright and fill the frame.
func (o Overlaid) Picture(v View) *image.RGBA {
	var panels []*image.RGBA
	switch v {
	case ViewSide:
		panels = []*image.RGBA{o.panel(o.subject, o.fromSubject), o.panel(o.reference, o.fromRef)}
	case ViewSubject:
		panels = []*image.RGBA{o.panel(o.subject, o.fromSubject)}
	case ViewReference:
		panels = []*image.RGBA{o.panel(o.reference, o.fromRef)}
	case ViewDifference:
		panels = []*image.RGBA{o.differencePanel()}
	default:
		panels = []*image.RGBA{o.panel(o.subject, o.fromSubject), o.panel(o.reference, o.fromRef), o.differencePanel()}
	}
	const gap = 12
	out := image.NewRGBA(image.Rect(0, 0, len(panels)*(o.side+gap)-gap, o.side))
	draw.Draw(out, out.Bounds(), image.White, image.Point{}, draw.Src)
	for i, p := range panels {
		draw.Draw(out, p.Bounds().Add(image.Pt(i*(o.side+gap), 0)), p, image.Point{}, draw.Src)
	}
	return out
}

// panel is a dial seen through a map from unit coordinates.
func (o Overlaid) panel(l light, toPx Homography) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, o.side, o.side))
	for j := range o.side {
		for i := range o.side {
			x, y := o.strength.unit(i, j)
			c := l.linearAt(toPx.Apply(Point{x, y}))
			out.SetRGBA(i, j, color.RGBA{R: eightBit(c[0]), G: eightBit(c[1]), B: eightBit(c[2]), A: 255})
		}
	}
	return out
}

func eightBit(v float64) uint8 { return uint8(math.Round(255 * min(max(EncodeSRGB(v), 0), 1))) }

// differencePanel is white where the dials agree and dark where they do not; each
// listed difference has a ring.
func (o Overlaid) differencePanel() *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, o.side, o.side))
	for j := range o.side {
		for i := range o.side {
			v := uint8(255 * (1 - min(1, 3*float64(o.strength.v[j*o.side+i]))))
			out.SetRGBA(i, j, color.RGBA{R: v, G: v, B: v, A: 255})
		}
	}
	ink := color.RGBA{R: 0xa0, G: 0x30, B: 0x20, A: 255}
	back := o.fromSubject.Inverse()
	for _, d := range o.Differences {
		c := back.Apply(d.At)
		r := distance(back.Apply(d.At.add(Point{d.RadiusPx, 0})), c) + 8/float64(o.side)
		for k := range 360 {
			s, cs := math.Sincos(rad(float64(k)))
			x := int((c[0] + r*cs + 1) / 2 * float64(o.side))
			y := int((c[1] + r*s + 1) / 2 * float64(o.side))
			if image.Pt(x, y).In(out.Bounds()) {
				out.SetRGBA(x, y, ink)
			}
		}
	}
	return out
}

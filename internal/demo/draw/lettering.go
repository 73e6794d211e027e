package draw

import (
	"math"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifbolditalic"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// face is one of the open fonts that the pictures are lettered with.
type face int

const (
	sans face = iota
	sansBold
	serif
	serifItalic
	serifBoldItalic
)

var loadFaces = sync.OnceValue(func() map[face]*sfnt.Font {
	out := map[face]*sfnt.Font{}
	for f, data := range map[face][]byte{
		sans: liberationsansregular.TTF, sansBold: liberationsansbold.TTF, serif: liberationserifregular.TTF,
		serifItalic: liberationserifitalic.TTF, serifBoldItalic: liberationserifbolditalic.TTF,
	} {
		font, err := sfnt.Parse(data)
		if err != nil {
			continue // the fonts are compiled in and parse; letters would only be missing
		}
		out[f] = font
	}
	return out
})

type glyph struct {
	outline path
	advance float64
}

const em = 1000

// glyphs sets a string: outlines of size 1 em at the origin, baseline y = 0.
func glyphs(f face, s string) []glyph {
	ft := loadFaces()[f]
	if ft == nil {
		return nil
	}
	var buf sfnt.Buffer
	var out []glyph
	for _, r := range s {
		idx, err := ft.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		segs, err := ft.LoadGlyph(&buf, idx, fixed.I(em), nil)
		if err != nil {
			continue
		}
		outline := outlineOf(segs)
		adv, err := ft.GlyphAdvance(&buf, idx, fixed.I(em), font.HintingNone)
		if err != nil {
			continue
		}
		out = append(out, glyph{outline, float64(adv) / 64 / em})
	}
	return out
}

func outlineOf(segs sfnt.Segments) path {
	at := func(p fixed.Point26_6) pt { return pt{float64(p.X) / 64 / em, float64(p.Y) / 64 / em} }
	var out path
	var pen pt
	for _, s := range segs {
		n := len(out) - 1
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			pen = at(s.Args[0])
			out = append(out, []pt{pen})
		case sfnt.SegmentOpLineTo:
			pen = at(s.Args[0])
			out[n] = append(out[n], pen)
		case sfnt.SegmentOpQuadTo:
			a, b := at(s.Args[0]), at(s.Args[1])
			out[n] = append(out[n], cubic(pen, lerp(pen, a, 2.0/3), lerp(b, a, 2.0/3), b, 6)[1:]...)
			pen = b
		case sfnt.SegmentOpCubeTo:
			a, b, d := at(s.Args[0]), at(s.Args[1]), at(s.Args[2])
			out[n] = append(out[n], cubic(pen, a, b, d, 8)[1:]...)
			pen = d
		}
	}
	return out
}

// text sets a line centred on the origin, middle of the capitals at y = 0.
// capMM is the height of capitals in mm, spacing is extra space in capital heights.
func text(f face, s string, capMM, spacing float64) path {
	k := capMM / 0.66 // Liberation capitals are about 0.66 em high
	gs := glyphs(f, s)
	width := -spacing * capMM
	for _, g := range gs {
		width += g.advance*k + spacing*capMM
	}
	x := -width / 2
	var out path
	for _, g := range gs {
		out = append(out, g.outline.scale(k).move(pt{x, capMM / 2})...)
		x += g.advance*k + spacing*capMM
	}
	return out
}

// textArc sets a line along a circle about c, its middle at a clock angle.
// Letters stand outwards, or with feet outwards where inward is set.
func textArc(f face, s string, capMM, spacing float64, c pt, r, clock float64, inward bool) path {
	k := capMM / 0.66
	gs := glyphs(f, s)
	width := -spacing * capMM
	for _, g := range gs {
		width += g.advance*k + spacing*capMM
	}
	sense := 1.0
	if inward {
		sense = -1
	}
	at := -width / 2
	var out path
	for _, g := range gs {
		a := clock + sense*(at+g.advance*k/2)/r
		o := g.outline.scale(k).move(pt{-g.advance * k / 2, capMM / 2})
		if inward {
			o = o.turn(a + math.Pi)
		} else {
			o = o.turn(a)
		}
		out = append(out, o.move(c.add(polar(r, a)))...)
		at += g.advance*k + spacing*capMM
	}
	return out
}

// textArcWithin is textArc, made smaller where it would run over more than an
// angle in radians.
func textArcWithin(angle float64, f face, s string, capMM, spacing float64, r, clock float64, inward bool) path {
	width := 0.0
	for _, g := range glyphs(f, s) {
		width += g.advance*capMM/0.66 + spacing*capMM
	}
	if k := angle * r / width; k < 1 {
		capMM *= k
	}
	return textArc(f, s, capMM, spacing, pt{}, r, clock, inward)
}

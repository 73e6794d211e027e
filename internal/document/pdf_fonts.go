package document

import (
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifbold"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// typeface is one font file: a serif for sentences, a sans with figures of one
// width for tables, and a wide one for letters that neither has.
type typeface int

const (
	serif typeface = iota
	serifItalic
	serifBold
	sans
	sansBold
	wide
)

// faceFiles are TrueType fonts, the only outlines that the PDF library embeds.
var faceFiles = []struct {
	family string
	ttf    []byte
}{
	serif:       {"serif", liberationserifregular.TTF},
	serifItalic: {"serifitalic", liberationserifitalic.TTF},
	serifBold:   {"serifbold", liberationserifbold.TTF},
	sans:        {"sans", liberationsansregular.TTF},
	sansBold:    {"sansbold", liberationsansbold.TTF},
	wide:        {"wide", dejavusans.TTF},
}

// metrics holds the advance widths of one font in ems; it is filled as runes are
// met and safe for several documents at once.
type metrics struct {
	once     sync.Once
	mu       sync.Mutex
	font     *sfnt.Font
	advances map[rune]float64 // below zero where the font has no such letter
}

var faceMetrics [wide + 1]metrics

// advance is the width of r in ems, and whether the font has it.
func (t typeface) advance(r rune) (float64, bool) {
	m := &faceMetrics[t]
	m.once.Do(func() {
		m.font, _ = sfnt.Parse(faceFiles[t].ttf) // TestFontsParse checks that each parses
		m.advances = map[rune]float64{}
	})
	m.mu.Lock()
	defer m.mu.Unlock()
	if a, ok := m.advances[r]; ok {
		return a, a >= 0
	}
	a := -1.0
	if i, err := m.font.GlyphIndex(nil, r); err == nil && i != 0 && r <= 0xFFFF {
		upem := m.font.UnitsPerEm()
		if w, err := m.font.GlyphAdvance(nil, i, fixed.I(int(upem)), font.HintingNone); err == nil {
			a = float64(w) / 64 / float64(upem)
		}
	}
	m.advances[r] = a
	return a, a >= 0
}

// setFont makes the font current, and gives it to the document at its first use;
// only the letters used are embedded.
func setFont(pdf *fpdf.Fpdf, t typeface, size float64) {
	pdf.AddUTF8FontFromBytes(faceFiles[t].family, "", faceFiles[t].ttf) // nothing where it is there already
	pdf.SetFont(faceFiles[t].family, "", size)
}

// face is a typeface at a size in points, in a colour.
type face struct {
	typeface
	size float64
	ink  colour
}

// spanOf is a run of text in one face.
type spanOf struct {
	text string
	face face
}

// missingLetter stands for a letter that no font of the document has.
const missingLetter = '□'

// setIn splits s into runs, each in a face that has all its letters. Text is
// composed (NFC), control characters become spaces, and what no font has becomes
// an open box: the Markdown form keeps it.
func setIn(f face, s string) []spanOf {
	var out []spanOf
	var b strings.Builder
	current := f
	flush := func() {
		if b.Len() > 0 {
			out = append(out, spanOf{b.String(), current})
			b.Reset()
		}
	}
	for _, r := range shaped(norm.NFC.String(strings.ToValidUTF8(s, "\uFFFD"))) {
		if unicode.IsControl(r) {
			r = ' '
		}
		if unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r) {
			continue
		}
		want := f
		if _, ok := f.advance(r); !ok {
			want.typeface = wide
			if _, ok := wide.advance(r); !ok {
				r = missingLetter
			}
		}
		if want != current {
			flush()
			current = want
		}
		b.WriteRune(r)
	}
	flush()
	return out
}

const mmPerPoint = 25.4 / 72

// width is the length of s in mm.
func (f face) width(s string) float64 {
	w := 0.0
	for _, r := range s {
		if a, ok := f.advance(r); ok {
			w += a
		} else {
			w += 0.5
		}
	}
	return w * f.size * mmPerPoint
}

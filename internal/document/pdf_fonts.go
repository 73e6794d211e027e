package document

import (
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/stix/stix2textitalic"
	"codeberg.org/go-fonts/stix/stix2textregular"
	"codeberg.org/go-fonts/stix/stix2textsemibold"
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

var faceFiles = []struct {
	family string
	file   func() ([]byte, error) // with TrueType outlines
}{
	serif: {"serif", sync.OnceValues(func() ([]byte, error) { return trueType(stix2textregular.TTF) })}, serifItalic: {"serifitalic", sync.OnceValues(func() ([]byte, error) { return trueType(stix2textitalic.TTF) })},
	serifBold: {"serifbold", sync.OnceValues(func() ([]byte, error) { return trueType(stix2textsemibold.TTF) })},
	sans:      {"sans", as(liberationsansregular.TTF)}, sansBold: {"sansbold", as(liberationsansbold.TTF)}, wide: {"wide", as(dejavusans.TTF)},
}

// as gives a font that already has TrueType outlines.
func as(ttf []byte) func() ([]byte, error) { return func() ([]byte, error) { return ttf, nil } }

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
		b, _ := faceFiles[t].file() // the fonts are ours; TestFontsParse checks them
		m.font, _ = sfnt.Parse(b)
		m.advances = map[rune]float64{}
	})
	m.mu.Lock()
	defer m.mu.Unlock()
	if a, ok := m.advances[r]; ok {
		return a, a >= 0
	}
	a := -1.0
	if i, err := m.font.GlyphIndex(nil, r); err == nil && i != 0 && r <= 0xFFFF && (t >= sans || inSerif(r)) {
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
	ttf, err := faceFiles[t].file()
	if err != nil {
		pdf.SetError(err)
		return
	}
	pdf.AddUTF8FontFromBytes(faceFiles[t].family, "", ttf) // nothing where it is there already
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
	for _, r := range norm.NFC.String(strings.ToValidUTF8(s, "\uFFFD")) {
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

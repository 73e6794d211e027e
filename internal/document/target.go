package document

import (
	"fmt"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"midcase/photo"
)

// WriteTargetPDF writes the printed square for measuring pictures as one A4 page in
// true size. The same target gives the same bytes.
func WriteTargetPDF(w io.Writer, t photo.Target) error {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetTitle("Target for measuring pictures", true)
	pdf.SetCreationDate(targetDay)
	pdf.SetModificationDate(targetDay)
	pdf.AddPage()
	d := targetPage{pdf: pdf, x: 105, y: 40 + 0.62*t.SideMM}
	d.square(t)
	d.ruler(t.Ruler)
	d.words(t)
	if err := pdf.Output(w); err != nil {
		return fmt.Errorf("target: %w", err)
	}
	return nil
}

// targetPage draws in mm from the middle of the square.
type targetPage struct {
	pdf  *fpdf.Fpdf
	x, y float64
}

func (d targetPage) fill(x0, y0, x1, y1 float64) { d.pdf.Rect(d.x+x0, d.y+y0, x1-x0, y1-y0, "F") }

func (d targetPage) line(t photo.Tick, width float64) {
	d.pdf.SetLineWidth(width)
	d.pdf.Line(d.x+t.From[0], d.y+t.From[1], d.x+t.To[0], d.y+t.To[1])
}

func (d targetPage) square(t photo.Target) {
	h, f, c := t.SideMM/2, t.FrameMM, t.CornerMM
	d.pdf.SetDrawColor(0, 0, 0)
	d.pdf.SetFillColor(0, 0, 0)
	d.pdf.SetLineCapStyle("butt")
	d.fill(-h, -h, h, -h+f)
	d.fill(-h, h-f, h, h)
	d.fill(-h, -h, -h+f, h)
	d.fill(h-f, -h, h, h)
	for _, x := range []float64{-h, h - c} {
		for _, y := range []float64{-h, h - c} {
			d.fill(x, y, x+c, y+c)
		}
	}
	for _, k := range t.Ticks {
		d.line(k, 0.2)
	}
	for _, p := range t.Patches {
		g := int(math.Round(255 * photo.EncodeSRGB(photo.Lab{p.L, 0, 0}.Linear()[1])))
		d.pdf.SetFillColor(g, g, g)
		d.fill(p.Middle[0]-p.HalfMM, p.Middle[1]-p.HalfMM, p.Middle[0]+p.HalfMM, p.Middle[1]+p.HalfMM)
	}
}

// ruler is a line of known length with a mark every 10 mm.
func (d targetPage) ruler(r photo.Tick) {
	d.line(r, 0.2)
	for x := r.From[0]; x <= r.To[0]+0.001; x += 10 {
		long := 2.0
		if x == r.From[0] || x > r.To[0]-1 {
			long = 4
		}
		d.line(photo.Tick{From: photo.Point{x, r.From[1] - long}, To: photo.Point{x, r.From[1]}}, 0.2)
	}
}

func (d targetPage) words(t photo.Target) {
	setFont(d.pdf, sansBold, 10)
	d.pdf.SetTextColor(0, 0, 0)
	d.pdf.Text(d.x-t.SideMM/2, d.y-t.SideMM/2-4, fmt.Sprintf("%g mm", t.SideMM))
	setFont(d.pdf, sans, 9)
	y := t.Ruler.From[1] + 7
	for _, l := range []string{
		"Print in true size (100 %, no fitting to the page) on matt paper. Then lay a steel rule on the line above:",
		"from end mark to end mark it must measure 100.0 mm. If it measures otherwise, enter the side of the square",
		fmt.Sprintf("as measured instead of %g mm.", t.SideMM),
		"",
		"Lay the watch in the middle of the square and take the picture from above, the square filling the frame,",
		"from 30 cm or more. Pick the four outer corners of the frame, clockwise from the upper left.",
		"",
		"The patches help to set the exposure. A printer does not print greys exactly: where colour matters,",
		"lay a bought grey card beside the watch and pick that.",
	} {
		d.pdf.Text(d.x-86, d.y+y, l)
		y += 4.6
	}
}

// targetDay dates every target alike, so that its bytes do not depend on the clock.
var targetDay = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

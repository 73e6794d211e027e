package document

import (
	"bytes"
	"testing"

	"midcase/photo"
)

func TestTargetPDF(t *testing.T) {
	for _, side := range []float64{30, 60, 100, 150} {
		target, err := photo.NewTarget(side)
		if err != nil {
			t.Fatal(err)
		}
		var a, b bytes.Buffer
		if err := WriteTargetPDF(&a, target); err != nil {
			t.Fatal(err)
		}
		if err := WriteTargetPDF(&b, target); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) || !bytes.HasPrefix(a.Bytes(), []byte("%PDF-")) {
			t.Errorf("side %g: %d and %d bytes differ or are no PDF", side, a.Len(), b.Len())
		}
		// everything lies on the page of 210 × 297 mm
		y := 40 + 0.62*side
		if bottom := y + target.Ruler.From[1] + 7 + 8*4.6; bottom > 290 || 105-side*0.5-2 < 5 || y-side/2-4 < 10 {
			t.Errorf("side %g: runs off the page (bottom at %.0f mm)", side, bottom)
		}
	}
	for _, side := range []float64{0, -5, 151} {
		if _, err := photo.NewTarget(side); err == nil {
			t.Errorf("side %g is accepted", side)
		}
	}
}

package document

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/jpeg"
	"regexp"
	"strings"
	"testing"

	"midcase/evidence"
)

// marked is a grey picture with a red patch about a place.
func marked(w, h int, x, y float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for j := range h {
		for i := range w {
			c := color.RGBA{150, 150, 150, 255}
			if dx, dy := float64(i)-x, float64(j)-y; dx*dx+dy*dy < 12*12 {
				c = color.RGBA{200, 30, 30, 255}
			}
			img.SetRGBA(i, j, c)
		}
	}
	return img
}

func withPlaced(t *testing.T) Report {
	t.Helper()
	r := rich(t)
	const photo evidence.ID = "ev_placed"
	r.Photos = append(r.Photos, Photo{Evidence: photo, View: "lugs", Data: jpegOf(t, marked(800, 600, 610, 90))})
	r.Items = append(r.Items, evidence.Item{ID: photo, At: day(19), By: "A. Ferrand",
		Data: &evidence.Photo{Blob: "p", View: "lugs"}},
		evidence.Item{ID: "ev_dent", At: day(20), By: "A. Ferrand", Data: &evidence.Finding{Slot: evidence.Case,
			Term: "dents", Severity: 3, Where: "upper right lug", Photo: photo, At: [2]float64{610, 90}, RadiusPx: 20}},
		evidence.Item{ID: "ev_far", At: day(20), By: "A. Ferrand", Data: &evidence.Finding{Slot: evidence.Case,
			Term: "scratches", Severity: 1, Photo: "ev_of_another", At: [2]float64{5, 5}, RadiusPx: 9}})
	return r
}

func TestPlacedFindingsGoIntoTheReport(t *testing.T) {
	r := withPlaced(t)
	got := flat(text(t, pdfOf(t, r)))
	if !strings.Contains(got, "Detail 1, from plate") || !strings.Contains(got, "upper right lug") {
		t.Error("the PDF has no detail")
	}
	if strings.Contains(got, "Detail 2") {
		t.Error("a finding on a photo that is not in the report has a detail")
	}
	var b bytes.Buffer
	if err := WriteMarkdown(&b, r); err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`!\[Detail 1[^\]]*\]\(data:image/jpeg;base64,([^)]*)\)`).FindStringSubmatch(strings.ReplaceAll(b.String(), "\u00a0", " "))
	if m == nil {
		t.Fatal("the Markdown has no detail")
	}
	raw, err := base64.StdEncoding.DecodeString(m[1])
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds().Dx() != detailInText {
		t.Errorf("%v", img.Bounds())
	}
	red := func(x, y int) bool { r, g, _, _ := img.At(x, y).RGBA(); return r > 2*g }
	if !red(detailInText/2, detailInText/2) || red(20, 20) {
		t.Error("the detail does not show the place")
	}
}

// A place near a corner or larger than the picture still gives a detail inside it.
func TestDetailStaysInside(t *testing.T) {
	img := marked(300, 200, 5, 5)
	for _, c := range []struct {
		at     [2]float64
		radius float64
	}{{[2]float64{2, 2}, 10}, {[2]float64{299, 199}, 30}, {[2]float64{150, 100}, 4000}, {[2]float64{0, 0}, 1}} {
		if p := detail(img, c.at, c.radius, 100); !p.problem.IsZero() || p.w != 100 || p.h != 100 {
			t.Errorf("%v %g: %+v", c.at, c.radius, p.problem)
		}
	}
}

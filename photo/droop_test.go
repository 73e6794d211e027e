package photo_test

import (
	"image"
	"image/color"
	"math"
	"testing"

	"midcase/photo"
)

// Gaps of known width between bright links are measured from picks that miss by a px.
func TestLinkGaps(t *testing.T) {
	const pxPerMM = 40.0
	img := image.NewRGBA(image.Rect(0, 0, 1200, 400))
	widths := []float64{0.3, 0.5, 0.8}
	for y := range 400 {
		for x := range 1200 {
			v := uint8(215)
			for i, w := range widths {
				if math.Abs(float64(x)+0.5-300*float64(i+1)) < w*pxPerMM/2 {
					v = 35
				}
			}
			img.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	level := [2]photo.Point{{50, 200}, {1150, 200}}
	p := photo.Picks{Scale: &photo.ScalePick{Kind: "points", A: &photo.Point{100, 50}, B: &photo.Point{1100, 50},
		MM: 1000 / pxPerMM},
		Droop: &photo.DroopPick{Held: level[0], FreeEnd: photo.Point{1150, 210}, Level: &level}}
	for i, w := range widths {
		x := 300 * float64(i+1)
		p.Droop.Gaps = append(p.Droop.Gaps, [2]photo.Point{{x - w*pxPerMM/2 - 1, 200}, {x + w*pxPerMM/2 + 0.7, 201}})
	}
	m, err := photo.Measure(img, p)
	if err != nil {
		t.Fatal(err)
	}
	for i, g := range m.Droop.Gaps {
		if math.Abs(g.MM-widths[i]) > 2.6*g.SE || g.SE > 0.05 {
			t.Errorf("gap %d: %.3f ± %.3f mm, want %.1f", i, g.MM, g.SE, widths[i])
		}
	}
	p.Droop.Gaps = [][2]photo.Point{{{300, 200}, {300, 200.2}}}
	if _, err := photo.Measure(img, p); err == nil {
		t.Error("a gap between two points at one place was measured")
	}
}

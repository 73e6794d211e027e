package photo_test

import (
	"image"
	"math"
	"strings"
	"testing"

	"midcase/internal/demo/draw"
	"midcase/photo"
	"midcase/say"
)

func squareScene() (draw.Watch, draw.Shot) {
	return draw.Watch{Kind: "time_only", MidCaseMM: 36.5, Seed: 3, Band: draw.Band{Kind: "none"}},
		draw.Shot{WidthPx: 1400, HeightPx: 1100, TargetMM: 60, TiltDeg: 6, TiltAxisDeg: 30, NoiseSD: 1, BlurPx: 0.7}
}

func midCaseOn(t *testing.T, img image.Image, tr draw.Truth, scale *photo.ScalePick) (photo.CircleFigure, string) {
	t.Helper()
	var rim []photo.Point
	for _, deg := range []float64{30, 150, 165, 180, 195, 210, 335} {
		sn, c := math.Sincos(deg * math.Pi / 180)
		x, y := tr.MidCasePlane.Apply(tr.Watch.MidCaseMM/2*c, tr.Watch.MidCaseMM/2*sn)
		rim = append(rim, photo.Point{x, y})
	}
	m, err := photo.Measure(img, photo.Picks{Scale: scale, Circles: []photo.CirclePick{{Name: "mid-case",
		Through: rim}}})
	if err != nil {
		t.Fatal(err)
	}
	return m.Circles[0], strings.Join(say.Strings(m.Notes), "\n")
}

// A corner picked 30 px off in any direction is set right by the sides, and said; it once
// read 36.87 ± 0.014 mm for 36.50 in silence.
func TestCornerPickedBeside(t *testing.T) {
	w, s := squareScene()
	img, tr := taken(draw.Front(w, s), 90), draw.TruthOf(w, s)
	for corner := range 4 {
		for _, by := range []photo.Point{{30, 0}, {0, -30}, {21, 21}, {-21, 21}} {
			scale := square(tr)
			scale.Corners[corner][0] += by[0]
			scale.Corners[corner][1] += by[1]
			f, notes := midCaseOn(t, img, tr, scale)
			if d := math.Abs(f.DiameterMM - w.MidCaseMM); d > 2*f.SE {
				t.Errorf("corner %d off by %v: %.3f ± %.3f mm, want %.2f", corner+1, by, f.DiameterMM, f.SE, w.MidCaseMM)
			}
			if want := "Corner " + string(rune('1'+corner)); !strings.Contains(notes, want) {
				t.Errorf("corner %d off by %v: notes %q do not name it", corner+1, by, notes)
			}
		}
	}
	if _, notes := midCaseOn(t, img, tr, square(tr)); strings.Contains(notes, "orner") {
		t.Errorf("well picked corners are doubted: %q", notes)
	}
}

// A wrong size, and a rectangle for a square, are said and widen the range until it holds.
func TestScaleOfAnotherSize(t *testing.T) {
	w, s := squareScene()
	img, tr := taken(draw.Front(w, s), 90), draw.TruthOf(w, s)
	wrong := square(tr)
	wrong.MM = 50
	f, notes := midCaseOn(t, img, tr, wrong)
	if !strings.Contains(notes, "side is 60 mm, not 50") || f.Interval90[1] < w.MidCaseMM {
		t.Errorf("%.2f mm in %v: %q", f.DiameterMM, f.Interval90, notes)
	}
	sheet := &photo.ScalePick{Kind: "square", MM: 60}
	for _, p := range [][2]float64{{-30, -22}, {30, -22}, {30, 22}, {-30, 22}} {
		x, y := tr.Table.Apply(p[0], p[1])
		sheet.Corners = append(sheet.Corners, photo.Point{x, y})
	}
	if f, notes := midCaseOn(t, img, tr, sheet); !strings.Contains(notes, "not a square") && f.SE < 1 {
		t.Errorf("a rectangle passes: %.2f ± %.2f mm, %q", f.DiameterMM, f.SE, notes)
	}
}

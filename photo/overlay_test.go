package photo_test

import (
	"math"
	"testing"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// Two pictures of one dial with other tilt, light and time: the print comes together to
// a third of a pixel, and a line printed otherwise is found.
func TestOverlay(t *testing.T) {
	w := draw.Watch{Kind: "time_only", Seed: 3, Print: draw.Print{Maker: "Aldermoor", Model: "Tidewater"}}
	v := w
	v.Hands.Hour, v.Print.Model = 4.6, "Foreland"
	s := draw.Shot{WidthPx: 700, TiltDeg: 9, TiltAxisDeg: 70, RollDeg: -6, LightFalloff: 0.2, NoiseSD: 1.5}
	r := draw.Shot{WidthPx: 640, TiltDeg: 3, NoiseSD: 1}
	a, b := draw.TruthOfDial(v, s), draw.TruthOfDial(w, r)
	pa, pb := dialPicks(a), dialPicks(b)
	o, err := photo.Overlay(draw.Dial(v, s), draw.Dial(w, r), photo.Picks{Subject: &pa, Reference: &pb})
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for _, p := range [][2]float64{{0, 0}, {9, 0}, {-9, 3}, {2, 9}, {0, -10}} {
		ax, ay := a.DialPlane.Apply(p[0], p[1])
		bx, by := b.DialPlane.Apply(p[0], p[1])
		q := o.Transform.Apply(photo.Point{ax, ay})
		worst = max(worst, math.Hypot(q[0]-bx, q[1]-by))
	}
	if !o.Refined || worst > 0.5 || o.ResidualPx > 0.5 {
		t.Errorf("off by up to %.2f px, stated %.2f, refined %v", worst, o.ResidualPx, o.Refined)
	}
	x, y := a.DialPlane.Apply(0, -0.36*a.Watch.DialMM/2)
	found := false
	for _, d := range o.Differences {
		found = found || math.Hypot(d.At[0]-x, d.At[1]-y) < 0.25*a.Dial.A
	}
	if !found {
		t.Errorf("the changed line at (%.0f, %.0f) is not among %d differences", x, y, len(o.Differences))
	}
	for _, view := range photo.Views {
		if p := o.Picture(view); p.Bounds().Dy() < 256 {
			t.Errorf("view %s is %v", view, p.Bounds())
		}
	}
}

// A picture laid on itself is itself.
func TestOverlayOnItself(t *testing.T) {
	w, s := draw.Watch{Kind: "diver", Seed: 3}, draw.Shot{WidthPx: 420}
	img := draw.Dial(w, s)
	o, err := photo.Overlay(img, img, photo.Picks{DialPicks: dialPicks(draw.TruthOfDial(w, s))})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1} {
		tol := map[bool]float64{true: 0.02, false: 1e-4}[i == 2 || i == 5]
		if math.Abs(o.Transform[i]-want) > tol {
			t.Errorf("transform %v", o.Transform)
			break
		}
	}
	if len(o.Differences) != 0 || o.Agreement < 0.999 {
		t.Errorf("%d differences, agreement %.4f", len(o.Differences), o.Agreement)
	}
}

// Places are said by the hour, as on the face of a clock.
func TestDifferencePlaces(t *testing.T) {
	for _, c := range []struct {
		hour, from float64
		want       string
	}{{0, 0.05, "in the middle"}, {11.9, 0.9, "at 12, near the edge"}, {0.05, 0.3, "at 12, near the middle"},
		{4.1, 0.6, "at 4, half way out"},
		{11.5, 0.6, "between 11 and 12, half way out"}, {0.45, 0.9, "between 12 and 1, near the edge"},
		{3.55, 0.6, "between 3 and 4, half way out"}} {
		if got := (photo.Difference{ClockHour: c.hour, FromMiddle: c.from}).Place().String(); got != c.want {
			t.Errorf("%g, %g: %q, want %q", c.hour, c.from, got, c.want)
		}
	}
}

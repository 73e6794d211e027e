package photo_test

import (
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"midcase/internal/demo/draw"
	"midcase/photo"
	"midcase/say"
)

func square(tr draw.Truth) *photo.ScalePick {
	s := &photo.ScalePick{Kind: "square", MM: tr.TargetMM}
	for _, p := range tr.Target {
		s.Corners = append(s.Corners, photo.Point(p))
	}
	return s
}

// rimPicks are points of the mid-case where neither lugs nor crown cover it, each missed by
// sd px.
func rimPicks(tr draw.Truth, rng *rand.Rand, sd float64) []photo.Point {
	var out []photo.Point
	for _, deg := range []float64{30, 150, 165, 180, 195, 210, 335} {
		s, c := math.Sincos(deg * math.Pi / 180)
		x, y := tr.MidCasePlane.Apply(tr.Watch.MidCaseMM/2*c, tr.Watch.MidCaseMM/2*s)
		out = append(out, photo.Point{x + sd*rng.NormFloat64(), y + sd*rng.NormFloat64()})
	}
	return out
}

// A drawn watch on the printed square, tilted by 15°: the diameter of the mid-case
// comes out to a tenth of a millimetre and within what is stated. bench/photo does the
// same on many pictures of 12 MP.
func TestMidCaseOnSquare(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	inside, n := 0, 0
	for i, axis := range []float64{0, 50, 110, 250} {
		w := draw.Watch{Kind: "time_only", MidCaseMM: 34.5 + float64(i), Seed: uint64(i)}
		s := draw.Shot{WidthPx: 1600, HeightPx: 1200, TiltDeg: 15, TiltAxisDeg: axis, TargetMM: 60, NoiseSD: 1.5,
			BlurPx: 0.6}
		img, tr := taken(draw.Front(w, s), 90), draw.TruthOf(w, s)
		m, err := photo.Measure(img, photo.Picks{Scale: square(tr),
			Circles: []photo.CirclePick{{Name: "mid-case", Through: rimPicks(tr, rng, 1)}}})
		if err != nil {
			t.Fatal(err)
		}
		c := m.Circles[0]
		if d := math.Abs(c.DiameterMM - w.MidCaseMM); d > 0.1 {
			t.Errorf("axis %g: %.3f mm for %.3f", axis, c.DiameterMM, w.MidCaseMM)
		}
		if math.Abs(m.Scale.TiltDeg-15) > 1.5 {
			t.Errorf("axis %g: tilt %.1f°, want 15", axis, m.Scale.TiltDeg)
		}
		n++
		if c.Interval90[0]-2*c.SE <= w.MidCaseMM && w.MidCaseMM <= c.Interval90[1]+2*c.SE {
			inside++
		}
	}
	if inside < n {
		t.Errorf("only %d of %d within twice the stated range", inside, n)
	}
}

// The same watch raised above the square by its true height reads too large by
// camera/(camera − height), by elementary geometry; with height and distance given the
// diameter is right.
func TestRaisedPart(t *testing.T) {
	w := draw.Watch{Kind: "time_only", MidCaseMM: 36, ThicknessMM: 11, Seed: 5}
	s := draw.Shot{WidthPx: 1400, HeightPx: 1100, TargetMM: 60, Relief: 1, DistanceMM: 300}
	img, tr := draw.Front(w, s), draw.TruthOf(w, s)
	height := 0.45 * 11
	rng := rand.New(rand.NewPCG(3, 4))
	picks := photo.Picks{Scale: square(tr), Camera: &photo.CameraPick{DistanceMM: 300, DistancePct: 3},
		Circles: []photo.CirclePick{
			{Name: "as flat", Through: rimPicks(tr, rng, 0.5)},
			{Name: "raised", Through: rimPicks(tr, rng, 0.5), HeightMM: height, HeightPlusMM: 0.4}}}
	m, err := photo.Measure(img, picks)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := m.Circles[0].DiameterMM, 36*300/(300-height); math.Abs(got-want) > 0.15 {
		t.Errorf("as flat %.3f mm, want %.3f", got, want)
	}
	if got := m.Circles[1].DiameterMM; math.Abs(got-36) > 0.15 {
		t.Errorf("raised %.3f mm, want 36", got)
	}
	if m.Circles[1].SE <= m.Circles[0].SE*0.9 {
		t.Errorf("the unsure height adds nothing to the error: %.4f, flat %.4f", m.Circles[1].SE, m.Circles[0].SE)
	}
	if !strings.Contains(strings.Join(say.Strings(m.Notes), " "), "plane of the scale") {
		t.Errorf("notes do not say what was taken to be flat: %q", m.Notes)
	}
}

// Without the square: two points of known distance, and a coin of known diameter.
func TestOtherScales(t *testing.T) {
	w := draw.Watch{Kind: "time_only", MidCaseMM: 36, Seed: 6, Band: draw.Band{Kind: "none"}}
	s := draw.Shot{WidthPx: 1200, HeightPx: 1000, TiltDeg: 12, TiltAxisDeg: 30, TargetMM: 60}
	img, tr := draw.Front(w, s), draw.TruthOf(w, s)
	rng := rand.New(rand.NewPCG(5, 6))
	a, b := photo.Point(tr.Target[0]), photo.Point(tr.Target[1])
	rim := rimPicks(tr, rng, 0.5)
	for _, c := range []struct {
		scale photo.ScalePick
		tol   float64
	}{
		{photo.ScalePick{Kind: "points", A: &a, B: &b, MM: 60}, 1.2}, // the far side of the square: perspective
		{photo.ScalePick{Kind: "circle", Through: rim, MM: 36}, 0.02},
	} {
		m, err := photo.Measure(img, photo.Picks{Scale: &c.scale,
			Circles: []photo.CirclePick{{Name: "mid-case", Through: rim}}})
		if err != nil {
			t.Fatal(err)
		}
		f := m.Circles[0]
		if d := math.Abs(f.DiameterMM - 36); d > c.tol || d > 3*f.SE {
			t.Errorf("%s: %.3f ± %.3f mm, want 36", c.scale.Kind, f.DiameterMM, f.SE)
		}
	}
}

func TestDroop(t *testing.T) {
	w := draw.Watch{Band: draw.Band{Kind: "riveted", DroopMM: 24}}
	s := draw.Shot{WidthPx: 900, HeightPx: 600}
	img, tr := draw.BraceletDroop(w, s), draw.TruthOfDroop(w, s)
	a, b := photo.Point(tr.Level[0]), photo.Point(tr.Level[1])
	level := [2]photo.Point{a, b}
	mm := math.Hypot(b[0]-a[0], b[1]-a[1]) * tr.MMPerPx
	m, err := photo.Measure(img, photo.Picks{Scale: &photo.ScalePick{Kind: "points", A: &a, B: &b, MM: mm},
		Droop: &photo.DroopPick{Held: photo.Point(tr.Held), FreeEnd: photo.Point(tr.FreeEnd), Level: &level,
			Links: 12}})
	if err != nil {
		t.Fatal(err)
	}
	d := m.Droop
	if math.Abs(d.DroopMM-24) > 0.5 {
		t.Errorf("droop %.2f mm, want 24", d.DroopMM)
	}
	if math.Abs(d.FreeLengthMM/tr.LengthMM-1) > 0.03 {
		t.Errorf("free length %.1f mm, want %.1f", d.FreeLengthMM, tr.LengthMM)
	}
	if want := 24 / tr.LengthMM; want < d.Interval90[0]-d.SE || want > d.Interval90[1]+d.SE {
		t.Errorf("ratio %.4f in %v, want %.4f", d.Ratio, d.Interval90, want)
	}
	// 84/81.6 − 1, by hand
	if pct, se := photo.Elongation(84, 0.5, 12, 6.8, 0.02); math.Abs(pct-2.941) > 0.001 || !(se > 0.6 && se < 0.8) {
		t.Errorf("elongation %.3f ± %.3f %%", pct, se)
	}
}

func grey(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = 128
	}
	return img
}

func TestRefusedPicks(t *testing.T) {
	img := grey(400, 300)
	good := func() photo.Picks {
		return photo.Picks{Scale: &photo.ScalePick{Kind: "points", A: &photo.Point{10, 10}, B: &photo.Point{200, 10},
			MM: 50}}
	}
	ring := []photo.Point{{100, 50}, {150, 100}, {100, 150}, {50, 100}}
	for _, c := range []struct {
		name, field string
		change      func(*photo.Picks)
	}{
		{"no scale", "scale", func(p *photo.Picks) { p.Scale = nil }},
		{"a scale of zero", "scale.mm", func(p *photo.Picks) { p.Scale.MM = 0 }},
		{"not a number", "scale.mm", func(p *photo.Picks) { p.Scale.MM = math.NaN() }},
		{"unknown kind", "scale.kind", func(p *photo.Picks) { p.Scale.Kind = "coin" }},
		{"points together", "scale.b", func(p *photo.Picks) { p.Scale.B = &photo.Point{12, 10} }},
		{"outside", "scale.b", func(p *photo.Picks) { p.Scale.B = &photo.Point{1200, 10} }},
		{"not finite", "scale.b", func(p *photo.Picks) { p.Scale.B = &photo.Point{math.Inf(1), 10} }},
		{"square crossed", "scale.corners", func(p *photo.Picks) {
			p.Scale = &photo.ScalePick{Kind: "square", MM: 50,
				Corners: []photo.Point{{10, 10}, {100, 100}, {100, 10}, {10, 100}}}
		}},
		{"square on a line", "scale.corners", func(p *photo.Picks) {
			p.Scale = &photo.ScalePick{Kind: "square", MM: 50,
				Corners: []photo.Point{{10, 10}, {100, 10}, {200, 10}, {10, 100}}}
		}},
		{"three on a line", "circles[0].through", func(p *photo.Picks) {
			p.Circles = []photo.CirclePick{{Name: "mid-case", Through: []photo.Point{{10, 10}, {50, 50}, {90, 90}}}}
		}},
		{"one place thrice", "circles[0].through", func(p *photo.Picks) {
			p.Circles = []photo.CirclePick{{Name: "mid-case", Through: []photo.Point{{10, 10}, {10, 10}, {10, 10}}}}
		}},
		{"circle outside", "circles[0].through", func(p *photo.Picks) {
			p.Circles = []photo.CirclePick{{Name: "mid-case", Through: []photo.Point{{-100, 50}, {50, 100}, {0, 150}}}}
		}},
		{"height beyond the lens", "circles[0].height_mm", func(p *photo.Picks) {
			p.Circles = []photo.CirclePick{{Name: "mid-case", Through: ring, HeightMM: 400}}
		}},
		{"length of nothing", "lengths[0].b", func(p *photo.Picks) {
			p.Lengths = []photo.LengthPick{{Name: "lug width", A: photo.Point{50, 50}, B: photo.Point{50, 50}}}
		}},
		{"length without a name", "lengths[0].name", func(p *photo.Picks) { p.Lengths = []photo.LengthPick{{}} }},
		{"droop without a level", "droop", func(p *photo.Picks) {
			p.Droop = &photo.DroopPick{Held: photo.Point{1, 1},
				FreeEnd: photo.Point{90, 9}}
		}},
	} {
		p := good()
		c.change(&p)
		_, err := photo.Measure(img, p)
		var pe *photo.PickError
		if !errors.As(err, &pe) || pe.Field != c.field {
			t.Errorf("%s: %v; want a fault in %s", c.name, err, c.field)
		}
	}
	if _, err := photo.Measure(nil, good()); !errors.Is(err, photo.ErrNoPicture) {
		t.Errorf("no picture: %v", err)
	}
}

// A featureless picture gives figures that rest on the picks alone and says so.
func TestNothingToBeSeen(t *testing.T) {
	p := photo.Picks{Scale: &photo.ScalePick{Kind: "points", A: &photo.Point{10, 10}, B: &photo.Point{210, 10}, MM: 50},
		Circles: []photo.CirclePick{{Name: "mid-case", Through: []photo.Point{{200, 50}, {300, 150}, {200, 250},
			{100, 150}}}}}
	m, err := photo.Measure(grey(400, 300), p)
	if err != nil {
		t.Fatal(err)
	}
	if c := m.Circles[0]; math.Abs(c.DiameterMM-50) > 0.01 || c.Share != 0 || !(c.SE > 0.1) {
		t.Errorf("%.3f ± %.3f mm, edge share %.2f; want 50 from the picks alone", c.DiameterMM, c.SE, c.Share)
	}
	if !strings.Contains(strings.Join(say.Strings(m.Notes), " "), "No clear edge") {
		t.Errorf("notes %q", m.Notes)
	}
}

func TestMeasureKeepsItsArguments(t *testing.T) {
	through := []photo.Point{{200, 50}, {300, 150}, {200, 250}, {100, 150}}
	p := photo.Picks{Scale: &photo.ScalePick{Kind: "circle", Through: through, MM: 20},
		Circles: []photo.CirclePick{{Name: "c", Through: through}}}
	before := append([]photo.Point(nil), through...)
	if _, err := photo.Measure(grey(400, 300), p); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(before, through) {
		t.Errorf("picks changed to %v", through)
	}
}

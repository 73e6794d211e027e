package photo_test

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"midcase/internal/demo/draw"
	"midcase/photo"
	"midcase/say"
)

func far(p photo.Point, x, y float64) float64 { return math.Hypot(p[0]-x, p[1]-y) }

// Watches of several kinds on the printed square: square, dial, twelve, plots and mid-case
// are found, and what is measured by them is what picks give. bench/photo does the same
// on many.
func TestFindOnSquare(t *testing.T) {
	for i, w := range []draw.Watch{
		{Kind: "time_only", MidCaseMM: 36, Seed: 1},
		{Kind: "diver", BezelMM: 38, MidCaseMM: 39, Seed: 2, Band: draw.Band{Kind: "riveted"}},
		{Kind: "chronograph", Registers: 2, DialColour: "silver", MidCaseMM: 37, Seed: 3},
	} {
		s := draw.Shot{WidthPx: 1300, HeightPx: 1100, TargetMM: 60, TiltDeg: 6, TiltAxisDeg: 70 * float64(i),
			RollDeg: 5 * float64(i-1), NoiseSD: 1.5, BlurPx: 0.7}
		img, tr := taken(draw.Front(w, s), 90), draw.TruthOf(w, s)
		f, err := photo.Find(img, photo.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		if f.Square == nil || f.Dial == nil || f.Twelve == nil || len(f.Circles) != 1 {
			t.Errorf("%s: square %v, dial %v, twelve %v, circles %v, notes %q", w.Kind, f.Square, f.Dial, f.Twelve, f.Circles,
				say.Strings(f.Notes))
			continue
		}
		for k, c := range f.Square.Corners {
			if d := far(c, tr.Target[k][0], tr.Target[k][1]); d > 1 {
				t.Errorf("%s: corner %d is %.1f px off", w.Kind, k+1, d)
			}
		}
		if f.Square.MM != 60 || !f.Square.Ticks {
			t.Errorf("%s: square of %g mm, want 60 by the ticks", w.Kind, f.Square.MM)
		}
		if d := far(f.Twelve.At, tr.Twelve[0], tr.Twelve[1]); d > 0.12*tr.Dial.A {
			t.Errorf("%s: twelve is %.0f px off", w.Kind, d)
		}
		if len(f.Plots) != len(tr.Plots) {
			t.Errorf("%s: %d plots, want %d", w.Kind, len(f.Plots), len(tr.Plots))
		}
		m, err := photo.MeasureFound(img, photo.Ask{}, photo.Picks{})
		if err != nil {
			t.Fatal(err)
		}
		picked, err := photo.Measure(img, photo.Picks{Scale: square(tr), Circles: []photo.CirclePick{{Name: "mid-case",
			Through: rimPicks(tr, rand.New(rand.NewPCG(1, 1)), 0.5)}}})
		if err != nil {
			t.Fatal(err)
		}
		a, b := m.Circles[0], picked.Circles[0]
		if !m.Found || !(a.Sure > 0) || math.Abs(a.DiameterMM-b.DiameterMM) > 0.05 {
			t.Errorf("%s: found %.3f mm (sure %.2f), picked %.3f", w.Kind, a.DiameterMM, a.Sure, b.DiameterMM)
		}
	}
}

// A dial close up, without a square: the plots read as they do with picks.
func TestFindDial(t *testing.T) {
	w := plotted("diver", "round", func(h int, c *draw.Lab) {
		if h == 4 {
			c[0], c[2] = c[0]+4, c[2]-6
		}
	})
	s := draw.Shot{WidthPx: 900, NoiseSD: 1, TiltDeg: 7, RollDeg: 6}
	tr := draw.TruthOfDial(w, s)
	img := taken(draw.Dial(w, s), 90)
	r, err := photo.PlotsFound(img, photo.Ask{}, photo.Picks{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := photo.Plots(img, photo.Picks{DialPicks: dialPicks(tr)})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Found || r.Pattern != want.Pattern || len(r.Plots) != len(want.Plots) {
		t.Fatalf("found %v, pattern %q of %d plots, want %q of %d", r.Found, r.Pattern, len(r.Plots), want.Pattern,
			len(want.Plots))
	}
	for i, p := range r.Plots {
		if d := photo.CIEDE2000(p.Lab, want.Plots[i].Lab); p.Hour != want.Plots[i].Hour || d > 1 || !(p.Sure > 0) {
			t.Errorf("hour %d: ΔE00 %.2f from what picks give, sure %.2f", p.Hour, d, p.Sure)
		}
	}
}

// Nothing is invented: a grey field, noise, stripes, a bare disc, a portrait's shapes.
func TestFindNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	paint := func(f func(x, y float64) float64) image.Image {
		img := image.NewGray(image.Rect(0, 0, 500, 400))
		for y := range 400 {
			for x := range 500 {
				img.SetGray(x, y, color.Gray{uint8(255 * min(max(f(float64(x), float64(y)), 0), 1))})
			}
		}
		return img
	}
	for name, img := range map[string]image.Image{
		"grey":    paint(func(x, y float64) float64 { return 0.5 }),
		"noise":   paint(func(x, y float64) float64 { return rng.Float64() }),
		"stripes": paint(func(x, y float64) float64 { return math.Round(math.Mod(x/40, 1)) }),
		"tiny":    image.NewGray(image.Rect(0, 0, 8, 8)),
		"disc": paint(func(x, y float64) float64 {
			return 0.2 + 0.6*math.Round(min(math.Hypot(x-250, y-200)/300, 1))
		}),
		"face": paint(func(x, y float64) float64 {
			v := 0.8
			if math.Hypot((x-250)/110, (y-200)/150) < 1 {
				v = 0.6
			}
			if math.Hypot(math.Abs(x-250)-40, y-160) < 14 || math.Hypot((x-250)/50, (y-270)/10) < 1 {
				v = 0.2
			}
			return v
		}),
	} {
		f, err := photo.Find(img, photo.Ask{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if f.Square != nil || f.Dial != nil || len(f.Plots)+len(f.Circles) > 0 || len(f.Notes) == 0 {
			t.Errorf("%s: %+v", name, f)
		}
		if m, err := photo.MeasureFound(img, photo.Ask{}, photo.Picks{}); err != nil || m.Found || len(m.Notes) == 0 {
			t.Errorf("%s: measured %+v, %v", name, m, err)
		}
		r, err := photo.PlotsFound(img, photo.Ask{}, photo.Picks{})
		if err != nil || r.Found || r.Pattern != photo.NoPlots {
			t.Errorf("%s: judged %+v, %v", name, r, err)
		}
	}
}

// Lugs and hands on watches that lie raised on the printed square: the true lengths are in the ranges of 90 %, which
// are of some use, and both hands point where they do. bench/photo does the same on many.
func TestFindLugsAndHands(t *testing.T) {
	held := 0
	for i, w := range []draw.Watch{
		{Kind: "time_only", MidCaseMM: 36, LugWidthMM: 19, Seed: 1, Hands: draw.Hands{Hour: 1.3}},
		{Kind: "chronograph", Registers: 2, DialColour: "black", Metal: "gold18", MidCaseMM: 37, LugWidthMM: 18,
			Seed: 3, Band: draw.Band{Kind: "riveted"}, Hands: draw.Hands{Hour: 3.4}},
	} {
		s := draw.Shot{WidthPx: 1600, HeightPx: 1200, TargetMM: 60, TiltDeg: 3, TiltAxisDeg: 70 * float64(i),
			RollDeg: 5 * float64(i), NoiseSD: 1, BlurPx: 0.5, Relief: 1, DistanceMM: 350}
		img, tr := taken(draw.Front(w, s), 90), draw.TruthOf(w, s)
		m, err := photo.MeasureFound(img, photo.Ask{}, photo.Picks{})
		if err != nil {
			t.Fatal(err)
		}
		is := map[string]float64{"lug width": tr.Watch.LugWidthMM, "lug to lug": tr.Watch.LugToLugMM}
		for _, l := range m.Lengths {
			held++
			if l.Interval90[0] > is[l.Name] || l.Interval90[1] < is[l.Name] || l.Interval90[1]-l.Interval90[0] > 1.2 ||
				!(l.Sure > 0) {
				t.Errorf("%s: %s %.2f to %.2f mm, sure %.2f; is %.2f", w.Kind, l.Name, l.Interval90[0], l.Interval90[1], l.Sure,
					is[l.Name])
			}
		}
		f, err := photo.Find(img, photo.Ask{})
		if err != nil || len(f.Hands) != 2 {
			t.Errorf("%s: hands %v, %v", w.Kind, f.Hands, err)
		}
		for _, h := range f.Hands {
			if tip := tr.Hands[h.Name][1]; far(h.Tip, tip[0], tip[1]) > 0.1*tr.Dial.A {
				t.Errorf("%s: the tip of the %s hand is %.0f px off", w.Kind, h.Name, far(h.Tip, tip[0], tip[1]))
			}
		}
	}
	if held < 3 {
		t.Errorf("%d lengths were found; want three of four at least", held)
	}
}

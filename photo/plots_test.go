package photo_test

import (
	"errors"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"testing"

	made "midcase/internal/demo/draw"
	"midcase/photo"
	"midcase/say"
)

func plotted(kind, style string, change func(hour int, c *made.Lab)) made.Watch {
	w := made.Watch{Kind: kind, PlotStyle: style, Seed: 11}
	for i := range w.Plots {
		c := made.Lab{74 + 0.3*float64(i%3), 4, 24 - 0.2*float64(i%4)}
		change(i, &c)
		w.Plots[i] = made.Plot{Lab: c, Marker: i%3 != 0}
	}
	return w
}

func plotsOf(t *testing.T, w made.Watch, s made.Shot) (photo.PlotReport, made.Truth) {
	t.Helper()
	tr := made.TruthOfDial(w, s)
	r, err := photo.Plots(taken(made.Dial(w, s), 85), photo.Picks{DialPicks: dialPicks(tr)})
	if err != nil {
		t.Fatal(err)
	}
	return r, tr
}

// Plots of three styles are found where they were drawn and have their true colours.
func TestPlotsFoundAndRead(t *testing.T) {
	for _, c := range []struct{ kind, style string }{{"diver", "round"}, {"time_only", "square"},
		{"time_only", "bar"}} {
		w := plotted(c.kind, c.style, func(int, *made.Lab) {})
		r, tr := plotsOf(t, w, made.Shot{WidthPx: 900, TiltDeg: 8, TiltAxisDeg: 40, RollDeg: 5, NoiseSD: 1.5})
		truth := map[int]made.PlotTruth{}
		for _, p := range tr.Plots {
			truth[p.Hour] = p
		}
		if len(r.Plots) != len(truth) {
			t.Errorf("%s: %d plots found, want %d", c.style, len(r.Plots), len(truth))
		}
		for _, p := range r.Plots {
			if e := photo.CIEDE2000(p.Lab, photo.Lab(truth[p.Hour].Lab)); e > 1.5 {
				t.Errorf("%s at %d: %v, want %v (ΔE00 %.2f)", c.style, p.Hour, p.Lab, truth[p.Hour].Lab, e)
			}
		}
		if r.Pattern != photo.EvenAgeing {
			t.Errorf("%s: pattern %q, want even ageing: %q", c.style, r.Pattern, r.Reasons)
		}
	}
}

func TestRepairedPlot(t *testing.T) {
	w := plotted("diver", "round", func(h int, c *made.Lab) {
		if h == 4 {
			c[0], c[2] = c[0]+4, c[2]-6
		}
	})
	r, _ := plotsOf(t, w, made.Shot{WidthPx: 800, NoiseSD: 1, LightFalloff: 0.2})
	if r.Pattern != photo.OnePlotUnlike {
		t.Errorf("pattern %q", r.Pattern)
	}
	for _, p := range r.Plots {
		if (p.OddP < 0.05) != (p.Hour == 4) {
			t.Errorf("hour %d: chance %.3f", p.Hour, p.OddP)
		}
	}
	if !strings.Contains(strings.Join(say.Strings(r.Reasons), "\n"), "plot at 4") {
		t.Errorf("reasons %q", r.Reasons)
	}
}

// The common pattern is named as such and accuses no single plot. Common practice, no
// published source.
func TestUnmarkedPlotsWorse(t *testing.T) {
	w := plotted("time_only", "square", func(h int, c *made.Lab) {
		if h == 3 || h == 6 || h == 9 {
			c[0], c[2] = c[0]-8, c[2]+5
		}
	})
	r, _ := plotsOf(t, w, made.Shot{WidthPx: 800, NoiseSD: 1})
	if r.Pattern != photo.UnmarkedWorse {
		t.Errorf("pattern %q: %q", r.Pattern, r.Reasons)
	}
	for _, p := range r.Plots {
		if p.OddP < 0.05 {
			t.Errorf("hour %d accused: chance %.3f", p.Hour, p.OddP)
		}
	}
}

// A picture whose balance is off comes right by a grey patch of the printed target.
func TestGreyCard(t *testing.T) {
	w := plotted("diver", "round", func(int, *made.Lab) {})
	s := made.Shot{WidthPx: 1500, HeightPx: 1500, TargetMM: 60, Background: "paper"}
	src, tr := made.Front(w, s), made.TruthOf(w, s)
	cast := image.NewRGBA(src.Bounds())
	draw.Draw(cast, cast.Bounds(), src, image.Point{}, draw.Src)
	gain := [3]float64{0.95, 0.8, 0.6}
	for i := range cast.Pix {
		if i%4 < 3 {
			v := photo.DecodeSRGB(float64(cast.Pix[i])/255) * gain[i%4]
			cast.Pix[i] = uint8(photo.EncodeSRGB(v)*255 + 0.5)
		}
	}
	picks := photo.Picks{DialPicks: dialPicks(tr)}
	for _, p := range tr.Plots {
		picks.Plots = append(picks.Plots, photo.PlotPick{Hour: p.Hour, At: photo.Point(p.At), RadiusPx: p.RadiusPx})
	}
	g := tr.Grey[3]
	picks.Grey = &photo.GreyPick{At: photo.Point(g.At), RadiusPx: g.RadiusPx, Lab: photo.Lab(g.Lab)}
	r, err := photo.Plots(cast, picks)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range r.Plots {
		if e := photo.CIEDE2000(p.Lab, photo.Lab(tr.Plots[i].Lab)); e > 2 {
			t.Errorf("hour %d: ΔE00 %.2f from the truth", p.Hour, e)
		}
	}
}

func TestHandsUnlikePlots(t *testing.T) {
	w := plotted("diver", "round", func(int, *made.Lab) {})
	s := made.Shot{WidthPx: 700}
	tr := made.TruthOfDial(w, s)
	img := made.Dial(w, s)
	patch := func(at photo.Point, c color.RGBA) {
		for y := -6; y <= 6; y++ {
			for x := -6; x <= 6; x++ {
				img.SetRGBA(int(at[0])+x, int(at[1])+y, c)
			}
		}
	}
	at := photo.Point{tr.Centre[0] + 30, tr.Centre[1] + 60}
	patch(at, color.RGBA{235, 240, 225, 255})
	r, err := photo.Plots(img, photo.Picks{DialPicks: dialPicks(tr),
		Hands: []photo.SpotPick{{Name: "hour", At: at, RadiusPx: 6}}})
	if err != nil {
		t.Fatal(err)
	}
	if r.Pattern != photo.HandsUnlike || len(r.Hands) != 1 || r.Hands[0].OddP > 0.05 {
		t.Errorf("pattern %q, hands %+v", r.Pattern, r.Hands)
	}
}

func TestPlotsRefused(t *testing.T) {
	white := image.NewRGBA(image.Rect(0, 0, 400, 400))
	draw.Draw(white, white.Bounds(), image.White, image.Point{}, draw.Src)
	ring := &photo.DialPick{Through: []photo.Point{{200, 50}, {350, 200}, {200, 350}, {50, 200}}}
	twelve := photo.Point{200, 50}
	dial := photo.DialPicks{Dial: ring, Twelve: &twelve}
	for _, c := range []struct {
		name, field, says string
		img               image.Image
		picks             photo.Picks
	}{
		{"no dial picked", "dial", "none", white, photo.Picks{}},
		{"twelve in the middle", "twelve", "middle", white,
			photo.Picks{DialPicks: photo.DialPicks{Dial: ring, Twelve: &photo.Point{201, 200}}}},
		{"overexposed", "plots", "overexposed", white, photo.Picks{DialPicks: dial,
			Plots: []photo.PlotPick{{Hour: 1, At: photo.Point{260, 90}, RadiusPx: 9}}}},
		{"plot outside", "plots[0].at", "outside", white,
			photo.Picks{DialPicks: dial, Plots: []photo.PlotPick{{Hour: 1, At: photo.Point{460, 90}, RadiusPx: 9}}}},
		{"grey overexposed", "grey", "white end", white,
			photo.Picks{DialPicks: dial, Grey: &photo.GreyPick{At: photo.Point{9, 9}, RadiusPx: 5,
				Lab: photo.Lab{50, 0, 0}}}},
		{"hour thirteen", "plots[0].hour", "13", white, photo.Picks{DialPicks: dial,
			Plots: []photo.PlotPick{{Hour: 13, RadiusPx: 9}}}},
		{"coloured grey", "grey.lab", "a*", white, photo.Picks{DialPicks: dial,
			Grey: &photo.GreyPick{RadiusPx: 5, Lab: photo.Lab{50, 30, 0}}}},
	} {
		_, err := photo.Plots(c.img, c.picks)
		var pe *photo.PickError
		if !errors.As(err, &pe) || pe.Field != c.field || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; want a fault in %s that says %q", c.name, err, c.field, c.says)
		}
	}
}

// A dial without luminous plots says so, whether its plots are looked for or pointed at.
func TestDialWithoutPlots(t *testing.T) {
	for i, colour := range []string{"silver", "black", "blue"} {
		w := made.Watch{Kind: "dress", DialColour: colour, Seed: uint64(i + 1)}
		s := made.Shot{WidthPx: 800, NoiseSD: 1, TiltDeg: 5}
		img, tr := taken(made.Dial(w, s), 88), made.TruthOfDial(w, s)
		picks := photo.Picks{DialPicks: dialPicks(tr)}
		r, err := photo.Plots(img, picks)
		if err != nil || r.Pattern != photo.NoPlots || len(r.Plots) > 0 {
			t.Errorf("%s: %q of %d plots, %v", colour, r.Pattern, len(r.Plots), err)
		}
		for h := 1; h <= 12; h++ { // half way between the markers nothing stands
			sn, c := math.Sincos((float64(h) + 0.5) * math.Pi / 6)
			x, y := tr.DialPlane.Apply(0.39*tr.Watch.DialMM*sn, -0.39*tr.Watch.DialMM*c)
			picks.Plots = append(picks.Plots, photo.PlotPick{Hour: h, At: photo.Point{x, y}, RadiusPx: 12})
		}
		if r, err = photo.Plots(img, picks); err != nil || r.Pattern == photo.EvenAgeing {
			t.Errorf("%s: bare places are %q, %v", colour, r.Pattern, err)
		}
	}
}

package demo

import (
	"bytes"
	"encoding/json"
	"flag"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"testing"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

var updateViews = flag.Bool("update-views", false, "learn photo/views.json anew from the drawn watches")

// drawnViews are pictures of the watches from first to last of the invented shop, each view once, small and each taken
// another way.
func drawnViews(t *testing.T, first, last int, seed uint64) (looks []photo.Look, views []string) {
	t.Helper()
	s := rand.New(rand.NewPCG(seed, 7))
	for _, w := range NewWorld(1).Watches[first:last] {
		for _, view := range []string{"front", "dial", "back", "bracelet", "movement", "clasp", "papers",
			"crown_side"} {
			shot := draw.Shot{WidthPx: 240, HeightPx: []int{240, 180, 320}[s.IntN(3)], View: view,
				RollDeg: 60*s.Float64() - 30, TiltDeg: 8 * s.Float64(), TiltAxisDeg: 180 * s.Float64(),
				LightFalloff: 0.4 * s.Float64(), NoiseSD: 3, Gloss: s.Float64(), JPEGQuality: 70}
			if view == "front" || view == "bracelet" {
				shot.Background = []string{"slate", "linen", "walnut", "paper"}[s.IntN(4)]
			}
			img, err := jpeg.Decode(bytes.NewReader(draw.Encode(w.Photos[0].Watch, shot)))
			if err != nil {
				t.Fatal(err)
			}
			looks, views = append(looks, photo.LookOf(img)), append(views, view)
		}
	}
	return looks, views
}

// The model of views that is shipped is the one learned from the first forty watches of the invented shop, and tells
// the views of the other twenty. The pictures are drawn: real ones will be told less well, which is why a shop's own
// sorted pictures take its place.
func TestShippedViewsTellDrawnPictures(t *testing.T) {
	if *updateViews {
		v, ok := photo.LearnViews(drawnViews(t, 0, 40, 1))
		if !ok {
			t.Fatal("nothing was learned")
		}
		text, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile("../../photo/views.json", append(text, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Skip("photo/views.json is written; run again without -update-views")
	}
	looks, views := drawnViews(t, 40, 60, 2)
	right, sure := 0, 0.0
	for i, l := range looks {
		view, p := photo.DrawnViews().Of(l)
		if view == views[i] {
			right++
		}
		sure += p
	}
	n := float64(len(looks))
	t.Logf("%d of %.0f right, mean stated chance %.2f", right, n, sure/n)
	if float64(right) < 0.9*n {
		t.Errorf("%d of %.0f right", right, n)
	}
	if got := float64(right) / n; sure/n > got+0.05 {
		t.Errorf("stated chance %.2f on average, %.2f are right", sure/n, got)
	}
	if _, p := photo.DrawnViews().Of(photo.LookOf(image.NewGray(image.Rect(0, 0, 64, 64)))); p > 0.7 {
		t.Errorf("an empty picture is said to be a view of a watch with a chance of %.2f", p)
	}
}

package photo_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"testing"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// dialPicks points at the edge of the drawn dial and at twelve.
func dialPicks(tr draw.Truth) photo.DialPicks {
	p := photo.DialPicks{Dial: &photo.DialPick{MM: tr.Watch.DialMM}}
	e := tr.Dial
	sn, cs := math.Sincos(e.AngleDeg * math.Pi / 180)
	for i := range 8 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 8)
		p.Dial.Through = append(p.Dial.Through, photo.Point{e.X + e.A*c*cs - e.B*s*sn, e.Y + e.A*c*sn + e.B*s*cs})
	}
	t := photo.Point(tr.Twelve)
	p.Twelve = &t
	return p
}

func taken(img image.Image, quality int) image.Image {
	back, err := jpeg.Decode(bytes.NewReader(draw.JPEG(img, quality)))
	if err != nil {
		panic(err)
	}
	return back
}

// Judging the plots of a 12 MP picture, without reading the file; bench/photo times the
// whole.
func BenchmarkPlots12MP(b *testing.B) {
	w, s := draw.Watch{Kind: "diver", Seed: 1}, draw.Shot{WidthPx: 4000, HeightPx: 3000, NoiseSD: 1}
	img := taken(draw.Dial(w, s), 85)
	picks := photo.Picks{DialPicks: dialPicks(draw.TruthOfDial(w, s))}
	for b.Loop() {
		if _, err := photo.Plots(img, picks); err != nil {
			b.Fatal(err)
		}
	}
}

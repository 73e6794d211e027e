package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// dealer draws watches and shots at random and points as a hand does.
type dealer struct{ *rand.Rand }

func newDealer(seed uint64) dealer { return dealer{rand.New(rand.NewPCG(seed, 0x70686f74))} }

func (d dealer) between(a, b float64) float64 { return a + (b-a)*d.Float64() }

// watch of random kind and size.
func (d dealer) watch() draw.Watch {
	kind := []string{"diver", "time_only", "chronograph", "time_only"}[d.IntN(4)]
	w := draw.Watch{Kind: kind, MidCaseMM: d.between(33, 41), LugWidthMM: d.between(17, 21),
		Scratches: 0.3 * d.Float64(),
		Polish:    d.Float64(), Metal: []string{"steel", "steel", "gold18", "rose"}[d.IntN(4)], Seed: d.Uint64()}
	if kind == "diver" {
		w.BezelMM = w.MidCaseMM - 1 // a bezel that overhangs the case would hide the mid-case
	}
	return w
}

// shot on the printed square of 60 mm.
func (d dealer) shot(wide, tall int, tilt float64) draw.Shot {
	return draw.Shot{WidthPx: wide, HeightPx: tall, TiltDeg: tilt, TiltAxisDeg: d.between(0, 360),
		RollDeg: d.between(-8, 8), TargetMM: 60,
		LightFalloff: d.between(0, 0.3), NoiseSD: d.between(0.5, 3),
		BlurPx:     d.between(0.5, 1.2) * float64(wide) / 4000 * 2,
		DistanceMM: d.between(280, 480), JPEGQuality: 88, ShiftPx: [2]float64{d.between(-0.01, 0.01) * float64(wide),
			d.between(-0.01, 0.01) * float64(tall)}}
}

// by moves a point as a hand misses it.
func (d dealer) by(p draw.Point, sd float64) photo.Point {
	return photo.Point{p[0] + sd*d.NormFloat64(), p[1] + sd*d.NormFloat64()}
}

// round picks points on the visible part of the rim, away from lugs and crown, given in
// degrees from three o'clock clockwise.
func (d dealer) round(plane draw.Homography, r, sd float64, degs ...float64) []photo.Point {
	var out []photo.Point
	for _, a := range degs {
		s, c := math.Sincos((a + d.between(-3, 3)) * math.Pi / 180)
		x, y := plane.Apply(r*c, r*s)
		out = append(out, d.by(draw.Point{x, y}, sd))
	}
	return out
}

// cache is a folder for drawn pictures, as drawing 12 MP takes seconds; "" for none.
var cache string

// front draws the watch and gives it back as its JPEG file does.
func front(w draw.Watch, s draw.Shot) image.Image { return drawn("front", draw.Front, w, s) }

// dial draws the dial.
func dial(w draw.Watch, s draw.Shot) image.Image { return drawn("dial", draw.Dial, w, s) }

func drawn(view string, by func(draw.Watch, draw.Shot) *image.RGBA, w draw.Watch, s draw.Shot) image.Image {
	file := ""
	if cache != "" {
		sum := sha256.Sum256([]byte(fmt.Sprintf("%s %+v %+v", view, w, s)))
		file = filepath.Join(cache, fmt.Sprintf("%x.jpg", sum[:12]))
		if b, err := os.ReadFile(file); err == nil {
			if img, err := jpeg.Decode(bytes.NewReader(b)); err == nil {
				return img
			}
		}
	}
	img := by(w, s)
	if file != "" {
		_ = os.WriteFile(file, draw.JPEG(img, s.JPEGQuality), 0o600)
	}
	return taken(img, s.JPEGQuality)
}

// taken is the picture as a JPEG file gives it back.
func taken(img image.Image, quality int) image.Image {
	back, err := jpeg.Decode(bytes.NewReader(draw.JPEG(img, quality)))
	if err != nil {
		panic(err)
	}
	return back
}

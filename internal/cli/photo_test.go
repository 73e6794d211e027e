package cli

import (
	"bytes"
	"encoding/json"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// drawnPictures are the pictures and picks that the scripts of testdata/photo work on.
func drawnPictures() map[string][]byte {
	out := map[string][]byte{}
	picks := func(name string, p photo.Picks) {
		if b, err := json.Marshal(p); err == nil {
			out[name] = b
		}
	}
	w := draw.Watch{Kind: "diver", BezelMM: 38, MidCaseMM: 39, Seed: 2}
	front := draw.Shot{WidthPx: 800, HeightPx: 800, TargetMM: 60, TiltDeg: 8}
	out["front.jpg"] = draw.JPEG(draw.Front(w, front), 90)
	tr := draw.TruthOf(w, front)
	scale := &photo.ScalePick{Kind: "square", MM: 60}
	for _, p := range tr.Target {
		scale.Corners = append(scale.Corners, photo.Point(p))
	}
	var rim []photo.Point
	for _, deg := range []float64{30, 150, 180, 210, 330} {
		s, c := math.Sincos(deg * math.Pi / 180)
		x, y := tr.MidCasePlane.Apply(19.5*c, 19.5*s)
		rim = append(rim, photo.Point{x, y})
	}
	lug := tr.LugWidth[0]
	picks("measure.json", photo.Picks{Scale: scale, Circles: []photo.CirclePick{{Name: "mid-case", Through: rim}},
		Lengths: []photo.LengthPick{{Name: "lug width", A: photo.Point(lug[0]), B: photo.Point(lug[1])}}})

	for i := range w.Plots {
		w.Plots[i] = draw.Plot{Lab: draw.Lab{75, 4, 25}, Marker: true}
	}
	w.Plots[4].Lab = draw.Lab{80, 2, 16}
	close := draw.Shot{WidthPx: 600}
	out["dial.jpg"] = draw.JPEG(draw.Dial(w, close), 90)
	out["dial.png"] = asPNG(draw.Dial(w, close))
	dt := draw.TruthOfDial(w, close)
	twelve := photo.Point(dt.Twelve)
	dial := photo.DialPicks{Dial: &photo.DialPick{MM: dt.Watch.DialMM}, Twelve: &twelve}
	for i := range 8 {
		s, c := math.Sincos(math.Pi * float64(i) / 4)
		dial.Dial.Through = append(dial.Dial.Through, photo.Point{dt.Dial.X + dt.Dial.A*c, dt.Dial.Y + dt.Dial.A*s})
	}
	picks("dial.json", photo.Picks{DialPicks: dial})

	out["letter.jpg"] = []byte("Dear sir, the picture follows.")
	out["short.jpg"] = out["front.jpg"][:len(out["front.jpg"])/3]
	out["huge.png"] = hugePNG()
	out["blank.png"] = asPNG(image.NewUniform(color.Gray{128}))
	var b bytes.Buffer
	frame := image.NewPaletted(image.Rect(0, 0, 40, 40), color.Palette{color.Black, color.White})
	if err := gif.EncodeAll(&b, &gif.GIF{Image: []*image.Paletted{frame, frame}, Delay: []int{5, 5}}); err == nil {
		out["moving.gif"] = b.Bytes()
	}
	return out
}

// asPNG writes a picture with 16 bits a channel.
func asPNG(img image.Image) []byte {
	r := img.Bounds()
	if r.Dx() > 4000 {
		r = image.Rect(0, 0, 600, 600)
	}
	deep := image.NewRGBA64(r)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			deep.Set(x, y, img.At(x, y))
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, deep); err != nil {
		return nil
	}
	return b.Bytes()
}

// hugePNG claims 100,000 × 100,000 px.
func hugePNG() []byte {
	head := []byte("IHDR\x00\x01\x86\xa0\x00\x01\x86\xa0\x08\x02\x00\x00\x00")
	sum := crc32.ChecksumIEEE(head)
	out := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), head...)
	return append(out, byte(sum>>24), byte(sum>>16), byte(sum>>8), byte(sum))
}

func TestPhotoScripts(t *testing.T) {
	files := drawnPictures()
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/photo",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("MIDCASE_USER", "Ines")
			e.Setenv("MIDCASE_SHOP", filepath.Join(e.WorkDir, "shop"))
			e.Setenv("MIDCASE_STORE", "")
			for name, b := range files {
				if err := os.WriteFile(filepath.Join(e.WorkDir, name), b, 0o644); err != nil {
					return err
				}
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "swap": swap},
	})
}

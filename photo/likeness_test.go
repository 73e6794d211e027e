package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/draw"
)

// discs draws a picture of a few soft discs.
func discs(seed uint64, w, h int) image.Image {
	r := rand.New(rand.NewPCG(seed, 7))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	type disc struct{ x, y, radius, light float64 }
	var all []disc
	for range 12 {
		all = append(all, disc{r.Float64(), r.Float64(), 0.05 + 0.25*r.Float64(), 200 * r.Float64()})
	}
	for y := range h {
		for x := range w {
			light := 40.0
			for _, d := range all {
				dx, dy := float64(x)/float64(w)-d.x, float64(y)/float64(h)-d.y
				if dx*dx+dy*dy < d.radius*d.radius {
					light = d.light
				}
			}
			img.Set(x, y, color.Gray{uint8(light)})
		}
	}
	return img
}

// The same picture made smaller, saved at a low quality and brightened is alike; other pictures are not.
func TestLikeness(t *testing.T) {
	t.Parallel()
	var all []Likeness
	for seed := range uint64(40) {
		img := discs(seed, 640, 480)
		small := image.NewRGBA(image.Rect(0, 0, 213, 160))
		draw.BiLinear.Scale(small, small.Bounds(), img, img.Bounds(), draw.Src, nil)
		for i := range small.Pix {
			if i%4 != 3 {
				small.Pix[i] = uint8(min(255, 20+int(small.Pix[i])*9/10))
			}
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, small, &jpeg.Options{Quality: 35}); err != nil {
			t.Fatal(err)
		}
		back, err := jpeg.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		l := LikenessOf(img)
		if m := LikenessOf(back); !l.Alike(m) {
			t.Errorf("picture %d, made smaller: %d of 64 apart", seed, l.Apart(m))
		}
		all = append(all, l)
		if p, err := ParseLikeness(l.String()); err != nil || p != l {
			t.Errorf("%s read back as %s, %v", l, p, err)
		}
	}
	for i := range all {
		for j := range i {
			if all[i].Alike(all[j]) {
				t.Errorf("pictures %d and %d are taken for one", i, j)
			}
		}
	}
	if _, err := ParseLikeness("xyz"); err == nil {
		t.Error("what is no hash is read")
	}
}

package photo_test

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"midcase/photo"
)

// rasteriser draws flat shapes by the share of each pixel that they cover, blurs linear
// light with a Gaussian, encodes as sRGB and rounds to 8 bits. It shares no code with
// internal/demo/draw, so that a mistake common to maker and reader shows.
type rasteriser struct {
	side  int
	light []float64
}

func newRasteriser(side int, ground float64) *rasteriser {
	r := &rasteriser{side, make([]float64, side*side)}
	for i := range r.light {
		r.light[i] = ground
	}
	return r
}

// disc fills a disc; the cover of a pixel at the rim is the mean over 64 lines of the
// exact length of each that lies inside.
func (r *rasteriser) disc(x, y, radius, light float64) {
	const lines = 64
	for j := range r.side {
		for i := range r.side {
			d := math.Hypot(float64(i)+0.5-x, float64(j)+0.5-y)
			cover := 0.0
			switch {
			case d < radius-1:
				cover = 1
			case d < radius+1:
				for k := range lines {
					dy := float64(j) + (float64(k)+0.5)/lines - y
					if h := radius*radius - dy*dy; h > 0 {
						half := math.Sqrt(h)
						cover += max(0, min(float64(i)+1, x+half)-max(float64(i), x-half)) / lines
					}
				}
			}
			p := &r.light[j*r.side+i]
			*p += (light - *p) * cover
		}
	}
}

// box fills an upright rectangle with exact cover.
func (r *rasteriser) box(x0, y0, x1, y1, light float64) {
	part := func(a, b float64, i int) float64 { return max(0, min(float64(i)+1, b)-max(float64(i), a)) }
	for j := range r.side {
		for i := range r.side {
			if c := part(x0, x1, i) * part(y0, y1, j); c > 0 {
				p := &r.light[j*r.side+i]
				*p += (light - *p) * c
			}
		}
	}
}

// square is a printed frame of the given outer half side about a middle.
func (r *rasteriser) square(x, y, half, paper, ink float64) {
	r.box(x-half-60, y-half-60, x+half+60, y+half+60, paper)
	r.box(x-half, y-half, x+half, y+half, ink)
	w := 0.032 * half
	r.box(x-half+w, y-half+w, x+half-w, y+half-w, paper)
}

func (r *rasteriser) taken(sigma float64, noise float64) *image.RGBA {
	n := int(math.Ceil(4 * sigma))
	kernel, sum := make([]float64, 2*n+1), 0.0
	for i := range kernel {
		kernel[i] = math.Exp(-float64((i-n)*(i-n)) / (2 * sigma * sigma))
		sum += kernel[i]
	}
	src := r.light
	for pass := range 2 {
		out := make([]float64, len(src))
		for j := range r.side {
			for i := range r.side {
				for k, w := range kernel {
					x, y := i, j
					if pass == 0 {
						x = min(max(i+k-n, 0), r.side-1)
					} else {
						y = min(max(j+k-n, 0), r.side-1)
					}
					out[j*r.side+i] += w / sum * src[y*r.side+x]
				}
			}
		}
		src = out
	}
	rng := rand.New(rand.NewPCG(7, 9))
	img := image.NewRGBA(image.Rect(0, 0, r.side, r.side))
	for j := range r.side {
		for i := range r.side {
			v := src[j*r.side+i]
			if v <= 0.0031308 {
				v *= 12.92
			} else {
				v = 1.055*math.Pow(v, 1/2.4) - 0.055
			}
			g := uint8(min(max(math.Round(255*v+noise*rng.NormFloat64()), 0), 255))
			img.SetRGBA(i, j, color.RGBA{g, g, g, 255})
		}
	}
	return img
}

// Discs and lengths of known size on a printed square, dark on light and light on dark, sharp and
// blurred: what is read is off by less than 0.006 mm, and every range holds. Before edges were
// sought in linear light, discs read 0.02 to 0.07 mm towards the dark side.
func TestEdgesInLinearLight(t *testing.T) {
	const side, mmPerPx = 1000, 0.06
	worst, held, n := 0.0, 0, 0
	for i, c := range []struct{ ground, disc float64 }{
		{0.85, 0.02}, {0.85, 0.30}, {0.20, 0.02}, {0.50, 0.10}, {0.02, 0.85}, {0.30, 0.85}, {0.02, 0.20}, {0.10, 0.50},
	} {
		for _, sigma := range []float64{0.8, 1.8} {
			x, y, radius := 497.3+float64(i)/7, 503.6-float64(i)/9, 300+0.37*float64(i)
			r := newRasteriser(side, 0.05)
			r.square(500.4, 499.7, 420, 0.86, 0.03)
			r.disc(x, y, 340, c.ground)
			r.disc(x, y, radius, c.disc)
			img := r.taken(sigma, 1)
			picks := photo.Picks{Scale: &photo.ScalePick{Kind: "square", MM: 840 * mmPerPx, Corners: []photo.Point{
				{81, 79}, {920, 80}, {921, 919}, {80, 920}}}}
			ring := photo.CirclePick{Name: "disc"}
			for k := range 7 {
				s, cs := math.Sincos(float64(k))
				ring.Through = append(ring.Through, photo.Point{x + (radius+1)*cs, y + (radius-1)*s})
			}
			picks.Circles = []photo.CirclePick{ring}
			picks.Lengths = []photo.LengthPick{{Name: "across", A: photo.Point{x - radius + 0.3, y}, B: photo.Point{x +
				radius + 0.2, y}}}
			m, err := photo.Measure(img, picks)
			if err != nil {
				t.Fatal(err)
			}
			want := 2 * radius * mmPerPx
			f, l := m.Circles[0], m.Lengths[0]
			t.Logf("%v σ %.1f: disc %+.4f ± %.4f, across %+.4f ± %.4f mm", c, sigma, f.DiameterMM-want, f.SE, l.MM-want,
				l.SE)
			worst = max(worst, math.Abs(f.DiameterMM-want))
			n++
			if f.Interval90[0] <= want && want <= f.Interval90[1] {
				held++
			}
			if math.Abs(l.MM-want) > 2*l.SE {
				t.Errorf("%v σ %.1f: across %.3f ± %.3f mm, want %.3f", c, sigma, l.MM, l.SE, want)
			}
		}
	}
	if held < n || worst > 0.006 {
		t.Errorf("%d of %d ranges hold, off by up to %.4f mm; want all, and under 0.006", held, n, worst)
	}
}

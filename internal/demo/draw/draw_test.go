package draw

import (
	"bytes"
	"crypto/sha256"
	"image"
	"image/jpeg"
	"math"
	"testing"
)

func grey(img *image.RGBA, x, y int) float64 {
	p := img.Pix[img.PixOffset(x, y):]
	return 0.299*float64(p[0]) + 0.587*float64(p[1]) + 0.114*float64(p[2])
}

// along samples the picture bilinearly; pixel middles lie at one half.
func along(img *image.RGBA, x, y float64) float64 {
	x, y = x-0.5, y-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	u, v := x-float64(i), y-float64(j)
	return (grey(img, i, j)*(1-u)+grey(img, i+1, j)*u)*(1-v) + (grey(img, i, j+1)*(1-u)+grey(img, i+1, j+1)*u)*v
}

// edgeNear finds the steepest place on a short way through a point, to a small
// fraction of a pixel: the middle of the weighed slope.
func edgeNear(img *image.RGBA, x, y, dx, dy, half float64) float64 {
	const step = 0.1
	n := int(half / step)
	sum, at := 0.0, 0.0
	for i := -n; i <= n; i++ {
		t := float64(i) * step
		g := along(img, x+dx*(t+0.5), y+dy*(t+0.5)) - along(img, x+dx*(t-0.5), y+dy*(t-0.5))
		g *= g
		sum += g
		at += t * g
	}
	return at / sum
}

// The edges in the picture must lie where the truth says. A black square and
// circle on white paper are the plainest test of projection and rasteriser.
func TestScaleOfTarget(t *testing.T) {
	for _, s := range []Shot{
		{WidthPx: 900, TargetMM: 60},
		{WidthPx: 900, TargetMM: 60, TiltDeg: 20, TiltAxisDeg: 35, RollDeg: 3},
	} {
		w := Watch{Seed: 4, Band: Band{Kind: "none"}}
		img, truth := Front(w, s), TruthOf(w, s)
		c := *truth.Target
		for i := range c {
			a, b := c[i], c[(i+1)%4]
			for _, k := range []float64{0.13, 0.87} {
				x, y := a[0]+(b[0]-a[0])*k, a[1]+(b[1]-a[1])*k
				l := math.Hypot(b[0]-a[0], b[1]-a[1])
				if d := edgeNear(img, x, y, (b[1]-a[1])/l, -(b[0]-a[0])/l, 3); math.Abs(d) > 0.3 {
					t.Errorf("tilt %v side %d at %v: edge %.2f px from the truth", s.TiltDeg, i, k, d)
				}
			}
		}
	}
}

// The plates of a homography and the true lengths: straight from above a circle of
// known diameter spans its diameter over mm per px.
func TestTruthOfSizes(t *testing.T) {
	w := Watch{Kind: "diver", MidCaseMM: 39.4, LugWidthMM: 20, LugToLugMM: 47.5}
	s := Shot{WidthPx: 1000, MMPerPx: 0.05}
	tr := TruthOf(w, s)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"mid-case", 2 * tr.MidCase.A * 0.05, 39.4},
		{"mid-case, short axis", 2 * tr.MidCase.B * 0.05, 39.4},
		{"lug width", dist(tr.LugWidth[0][0], tr.LugWidth[0][1]) * 0.05, 20},
		{"lug to lug", dist(tr.LugToLug[0][0], tr.LugToLug[0][1]) * 0.05, 47.5},
		{"crown", dist(tr.Crown[0], tr.Crown[1]) * 0.05, tr.Watch.CrownMM},
		{"dial", 2 * tr.Dial.A * 0.05, tr.Watch.DialMM},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s %.6f mm, want %.6f", c.name, c.got, c.want)
		}
	}
}

func dist(a, b Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// Tilted by an angle about its own axis, far away, a circle becomes an ellipse
// whose short axis is the long one times the cosine (elementary geometry).
func TestEllipseOfTiltedCircle(t *testing.T) {
	tr := TruthOf(Watch{}, Shot{WidthPx: 1000, TiltDeg: 20, TiltAxisDeg: 0, DistanceMM: 1e7})
	if got := tr.MidCase.B / tr.MidCase.A; math.Abs(got-math.Cos(20*math.Pi/180)) > 1e-5 {
		t.Errorf("axes in the ratio %.6f, want cos 20°", got)
	}
	if a := math.Mod(tr.MidCase.AngleDeg+90, 180) - 90; math.Abs(a) > 1e-3 {
		t.Errorf("long axis at %.4f°, want along the axis of tilt", a)
	}
}

// The rim of the mid-case in the picture, against the truth, at places where
// neither lug nor crown covers it.
func TestMidCaseEdgeInPicture(t *testing.T) {
	w := Watch{Kind: "time_only", BezelMM: 33, Seed: 2, Band: Band{Kind: "none"}}
	for _, tilt := range []float64{0, 15} {
		s := Shot{WidthPx: 1400, Background: "#f2f2f0", TiltDeg: tilt, TiltAxisDeg: 90}
		img, tr := Front(w, s), TruthOf(w, s)
		for _, deg := range []float64{255, 265, 270, 275, 285} {
			p := polar(w.complete().MidCaseMM/2, deg*math.Pi/180)
			x, y := tr.MidCasePlane.Apply(p.X, p.Y)
			n := pt{x - tr.MidCase.X, y - tr.MidCase.Y}.norm()
			if d := edgeNear(img, x, y, n.X, n.Y, 2.5); math.Abs(d) > 0.3 {
				t.Errorf("tilt %v at %v°: edge %.2f px from the truth", tilt, deg, d)
			}
		}
	}
}

func TestPlotColours(t *testing.T) {
	var w Watch
	w.Kind, w.Seed = "diver", 6
	for i := range w.Plots {
		w.Plots[i] = Plot{Lab: Lab{60 + 2*float64(i), float64(i) - 3, 8 + 2.5*float64(i)}, Marker: i%3 != 0}
	}
	s := Shot{WidthPx: 1200}
	img, tr := Dial(w, s), TruthOfDial(w, s)
	if len(tr.Plots) != 12 {
		t.Fatalf("%d plots to be seen, want 12", len(tr.Plots))
	}
	for _, p := range tr.Plots {
		var sum [3]float64
		n := 0.0
		for y := int(p.At[1] - p.RadiusPx); y <= int(p.At[1]+p.RadiusPx); y++ {
			for x := int(p.At[0] - p.RadiusPx); x <= int(p.At[0]+p.RadiusPx); x++ {
				if math.Hypot(float64(x)+0.5-p.At[0], float64(y)+0.5-p.At[1]) > p.RadiusPx {
					continue
				}
				px := img.Pix[img.PixOffset(x, y):]
				l := labOf(float64(px[0])/255, float64(px[1])/255, float64(px[2])/255)
				for k := range sum {
					sum[k] += l[k]
				}
				n++
			}
		}
		d := 0.0
		for k := range sum {
			d += (sum[k]/n - p.Lab[k]) * (sum[k]/n - p.Lab[k])
		}
		if math.Sqrt(d) > 1 {
			t.Errorf("hour %d: colour off by ΔE %.2f", p.Hour, math.Sqrt(d))
		}
	}
}

// labOf is the textbook way from sRGB to CIELAB under D65 (IEC 61966-2-1, CIE 15).
func labOf(r, g, b float64) Lab {
	lin := func(v float64) float64 {
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	r, g, b = lin(r), lin(g), lin(b)
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*b) / 0.95047)
	y := f(0.2126729*r + 0.7151522*g + 0.0721750*b)
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*b) / 1.08883)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// Published values of sRGB colours in CIELAB (checked in docs/methods too):
// (200,180,140) is 74.07, 1.09, 23.05; (255,0,0) is 53.24, 80.09, 67.20.
func TestLabToRGB(t *testing.T) {
	for _, c := range []struct {
		lab  Lab
		want [3]float64
	}{{Lab{74.07, 1.09, 23.05}, [3]float64{200, 180, 140}}, {Lab{53.24, 80.09, 67.20}, [3]float64{255, 0, 0}},
		{Lab{50.03, 0, 0}, [3]float64{119, 119, 119}}} {
		got := labToRGB(c.lab)
		for k := range got {
			if math.Abs(float64(got[k])*255-c.want[k]) > 0.6 {
				t.Errorf("%v gives %v, want %v", c.lab, got.scale(255), c.want)
				break
			}
		}
	}
}

func TestSameSeedSameBytes(t *testing.T) {
	w := Watch{Kind: "chronograph", Registers: 3, Ageing: Ageing{Spots: 5, Cracks: 0.5, Fade: 0.4},
		Scratches: 0.5, Seed: 11}
	for _, view := range []string{"front", "dial", "back", "crown_side", "bracelet", "bracelet_droop", "movement",
		"clasp", "papers"} {
		s := Shot{WidthPx: 240, HeightPx: 200, View: view, NoiseSD: 2, BlurPx: 0.6, JPEGQuality: 85}
		a, b := sha256.Sum256(Encode(w, s)), sha256.Sum256(Encode(w, s))
		if a != b {
			t.Errorf("%s: two drawings of the same watch differ", view)
		}
		other := w
		other.Seed = 12
		if a == sha256.Sum256(Encode(other, s)) {
			t.Errorf("%s: another seed gives the same bytes", view)
		}
		img, err := jpeg.Decode(bytes.NewReader(Encode(w, s)))
		if err != nil || img.Bounds().Dx() != 240 || img.Bounds().Dy() != 200 {
			t.Errorf("%s: not a JPEG of 240 × 200: %v", view, err)
		}
	}
}

func TestDroop(t *testing.T) {
	w := Watch{Band: Band{Kind: "folded", DroopMM: 22}}
	tr := TruthOfDroop(w, Shot{})
	if math.Abs(tr.DroopMM-22) > 1e-6 {
		t.Errorf("droop %.6f mm, want 22", tr.DroopMM)
	}
	if got := (tr.FreeEnd[1] - tr.Held[1]) * tr.MMPerPx; math.Abs(got-22) > 1e-6 {
		t.Errorf("droop in the picture %.6f mm, want 22", got)
	}
}

func TestHomographyInverse(t *testing.T) {
	h := newCamera(Shot{WidthPx: 100, HeightPx: 80, TiltDeg: 25, TiltAxisDeg: 40, RollDeg: 70, DistanceMM: 200,
		Relief: 1}, 0.1).plane(9)
	g := h.Inverse()
	for _, p := range []pt{{0, 0}, {10, -7}, {-20, 15}} {
		x, y := g.Apply(h.Apply(p.X, p.Y))
		if math.Hypot(x-p.X, y-p.Y) > 1e-9 {
			t.Errorf("%v comes back as %v, %v", p, x, y)
		}
	}
}

package photo

import (
	"errors"
	"image"
	"image/color"
	"math"
	"testing"
)

// lettered is a light disc on a dark ground with dark plots on a ring, and where they are.
func lettered(side int, radius, ring float64, degrees []float64) (*image.Gray, []Point) {
	img := image.NewGray(image.Rect(0, 0, side, side))
	c := float64(side) / 2
	var at []Point
	for _, deg := range degrees {
		s, cs := math.Sincos(rad(deg))
		at = append(at, Point{c + ring*s, c - ring*cs})
	}
	for y := range side {
		for x := range side {
			v := uint8(70)
			if math.Hypot(float64(x)+0.5-c, float64(y)+0.5-c) < radius {
				v = 180
			}
			for _, p := range at {
				if math.Hypot(float64(x)+0.5-p[0], float64(y)+0.5-p[1]) < radius*0.03 {
					v = 60
				}
			}
			img.SetGray(x, y, color.Gray{v})
		}
	}
	return img, at
}

// What is dark on an unrolled ring lies on the plots of the picture: the middles of dark fields lead back to them.
func TestRingsAreUnrolledWhereTheyLie(t *testing.T) {
	img, at := lettered(900, 400, 260, []float64{10, 70, 140, 215, 300})
	sheets, err := Lettering(img, nil)
	if err != nil || len(sheets) != 2 || !sheets[1].Round {
		t.Fatalf("%d sheets, %v", len(sheets), err)
	}
	hit := make([]bool, len(at))
	s := sheets[1]
	for y := range s.Image.Rect.Dy() {
		for x := range s.Image.Rect.Dx() {
			if s.Image.GrayAt(x, y).Y > 110 {
				continue
			}
			p := s.At(Point{float64(x) + 0.5, float64(y) + 0.5})
			near := false
			for i, q := range at {
				if math.Hypot(p[0]-q[0], p[1]-q[1]) < 400*0.03+5 {
					near, hit[i] = true, true
				}
			}
			// the rim itself is dark outside
			if !near && math.Abs(math.Hypot(p[0]-450, p[1]-450)-400) > 25 {
				t.Fatalf("dark at %v of the sheet, which is %v of the picture: nothing is there", Point{float64(x), float64(y)}, p)
			}
		}
	}
	for i, ok := range hit {
		if !ok {
			t.Errorf("the plot at %v is on no ring", at[i])
		}
	}
}

func TestLetteringAlongPoints(t *testing.T) {
	img, at := lettered(900, 400, 260, []float64{10, 70, 140, 215, 300})
	sheets, err := Lettering(img, at[:3])
	if err != nil || len(sheets) != 2 {
		t.Fatalf("%d sheets, %v", len(sheets), err)
	}
	if _, err := Lettering(img, []Point{{1, 1}, {2, 2}, {3, 3}}); err == nil {
		t.Error("points in one line were taken for a ring")
	}
	if _, err := Lettering(nil, nil); !errors.Is(err, ErrNoPicture) {
		t.Errorf("%v, want ErrNoPicture", err)
	}
	plain := image.NewGray(image.Rect(0, 0, 300, 200))
	if sheets, err := Lettering(plain, nil); err != nil || len(sheets) != 1 {
		t.Errorf("%d sheets of a plain picture, %v", len(sheets), err)
	}
}

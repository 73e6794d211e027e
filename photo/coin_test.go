package photo_test

import (
	"math"
	"strings"
	"testing"

	"midcase/photo"
	"midcase/say"
)

// An oval coin beside a round case is no tilt of 31°: its mean diameter gives the scale, and
// the range of the case holds. A round coin tilts as the case does.
func TestCoinOutOfRound(t *testing.T) {
	oval := func(x, y, a, b float64) []photo.Point {
		var out []photo.Point
		for k := range 9 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 9)
			out = append(out, photo.Point{x + a*c, y + b*s})
		}
		return out
	}
	img := grey(1200, 700)
	for _, c := range []struct {
		name             string
		coinA, coinB     float64
		caseA, caseB     float64
		tilt, want       float64
		said, withinOnly bool
	}{
		{"oval coin, straight", 108, 92.6, 300, 300, 0, 60, true, true},
		{"round coin, straight", 100, 100, 300, 300, 0, 60, false, false},
		{"round coin, tilted", 100, 95, 300, 285, 18.2, 60, false, false},
	} {
		m, err := photo.Measure(img, photo.Picks{
			Scale:   &photo.ScalePick{Kind: "circle", Through: oval(150, 350, c.coinA, c.coinB), MM: 20},
			Circles: []photo.CirclePick{{Name: "mid-case", Through: oval(750, 350, c.caseA, c.caseB)}}})
		if err != nil {
			t.Fatal(err)
		}
		f := m.Circles[0]
		said := strings.Contains(strings.Join(say.Strings(m.Notes), "\n"), "out of round")
		if said != c.said || !c.said && math.Abs(m.Scale.TiltDeg-c.tilt) > 1 || c.said && m.Scale.TiltDeg > 10 {
			t.Errorf("%s: tilt %.1f°, said %v", c.name, m.Scale.TiltDeg, said)
		}
		if f.Interval90[0] > c.want || c.want > f.Interval90[1] {
			t.Errorf("%s: %.2f mm in %v, want %.0f", c.name, f.DiameterMM, f.Interval90, c.want)
		}
	}
}

package photo

import (
	"testing"

	"pgregory.net/rapid"
)

func TestLettersOfALineAreOnePlace(t *testing.T) {
	var all []Difference
	for i := range 8 {
		all = append(all, Difference{At: Point{100 + 14*float64(i), 200}, RadiusPx: 6, Strength: float64(40 + i)})
	}
	all = append(all, Difference{At: Point{150, 230}, RadiusPx: 90, Strength: 80},
		Difference{At: Point{400, 400}, RadiusPx: 5, Strength: 30})
	got := together(all, 20)
	if len(got) != 3 {
		t.Fatalf("%d places, want the line, the large one and the lone one: %+v", len(got), got)
	}
	line := got[0]
	if line.Strength != 47 || distance(line.At, Point{149, 200}) > 1 || line.RadiusPx < 54 || line.RadiusPx > 56 {
		t.Errorf("the line is %+v", line)
	}
}

// What lay in a place lies in one still, and nothing becomes stronger.
func TestTogetherKeepsPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Difference
		for range rapid.IntRange(0, 20).Draw(t, "n") {
			all = append(all, Difference{At: Point{rapid.Float64Range(0, 200).Draw(t, "x"),
				rapid.Float64Range(0, 200).Draw(t, "y")},
				RadiusPx: rapid.Float64Range(1, 30).Draw(t, "r"), Strength: rapid.Float64Range(1, 99).Draw(t, "s")})
		}
		got := together(all, 15)
		if len(got) > len(all) {
			t.Fatalf("%d of %d", len(got), len(all))
		}
		for _, d := range all {
			inside := false
			for _, g := range got {
				inside = inside || distance(g.At, d.At)+d.RadiusPx <= g.RadiusPx+1e-9 && g.Strength >= d.Strength
			}
			if !inside {
				t.Fatalf("%+v is lost in %+v", d, got)
			}
		}
	})
}

package examples_test

import (
	"math"
	"testing"

	"midcase/evidence"
	"midcase/examples"
)

// Each watch counts once, and a version by its name or its id; the interval holds 90 % of a Beta density, which is
// integrated here by the midpoint rule.
func TestRarity(t *testing.T) {
	t.Parallel()
	b := book()
	m, ref, _ := b.Reference("lindgard", "L-9")
	var seen []examples.Example
	for i := range 10 {
		v := "wide"
		if i < 3 {
			v = "Narrow bezel" // by its name
		}
		seen = append(seen, examples.Example{ID: "x", Maker: "Lindgard", Reference: "L-9", Place: "fair",
			Metal: "steel", Parts: map[evidence.Slot]string{evidence.Bezel: v}})
	}
	seen = append(seen, seen[0])
	seen[0].Serial, seen[10].Serial = "214 459", "214459" // seen twice
	seen = append(seen, examples.Example{ID: "y", Maker: "Lindgard", Reference: "L-9", Place: "print",
		Parts: map[evidence.Slot]string{evidence.Bezel: evidence.Unknown}})
	r := examples.CountOf(m, ref, seen)
	if r.Examples != 11 || len(r.Versions) != 2 || r.Versions[1].What != "narrow" || r.Versions[1].N != 3 ||
		r.Versions[1].Of != 10 {
		t.Fatalf("counted %+v", r)
	}
	i := r.Versions[1].Interval90
	// Regularised incomplete beta of 3.5 and 7.5, by the midpoint rule.
	mass, norm := 0.0, 0.0
	const steps = 20000
	for k := range steps {
		x := (float64(k) + 0.5) / steps
		d := math.Pow(x, 2.5) * math.Pow(1-x, 6.5)
		norm += d
		if x > i[0] && x < i[1] {
			mass += d
		}
	}
	if got := mass / norm; math.Abs(got-0.9) > 0.001 {
		t.Errorf("%.4f–%.4f holds %.4f; want 0.9", i[0], i[1], got)
	}
	if steel := r.Metals[0]; steel.N != 10 || steel.Of != 10 || steel.Interval90[1] != 1 ||
		steel.Interval90[0] > 0.87 || steel.Interval90[0] < 0.8 {
		t.Errorf("all of steel: %+v", steel)
	}
	if len(r.Reach) != 2 || r.Reach[0].What != "fair" || r.Reach[0].N != 10 {
		t.Errorf("reached: %+v", r.Reach)
	}
}

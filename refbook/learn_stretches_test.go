package refbook_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// stretchWorld is how a slot was supplied: from each month on these variants, in these shares.
type stretchWorld struct {
	from     float64
	variants []string
}

// draw draws examples over ten years, of which a tenth show any variant.
func draw(r *rand.Rand, n int, world []stretchWorld, swapped float64) []refbook.Example {
	first := float64(edtf.MonthOf(1960, 1))
	var names []string
	for _, s := range world {
		for _, v := range s.variants {
			if !slices.Contains(names, v) {
				names = append(names, v)
			}
		}
	}
	var out []refbook.Example
	for i := range n {
		m := 120 * r.Float64()
		var v string
		for _, s := range world {
			if m >= s.from {
				v = s.variants[r.IntN(len(s.variants))]
			}
		}
		if r.Float64() < swapped {
			v = names[r.IntN(len(names))]
		}
		out = append(out, refbook.Example{ID: fmt.Sprint(i), Month: edtf.Month(first + m + 1.5*r.NormFloat64()),
			SDMonths: 1.5, Slot: evidence.Dial, Variant: v})
	}
	return out
}

// The stretches of worlds drawn here are found, with their changes: side by side, coming back, several at once.
func TestStretchesOfInventedWorlds(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		world []stretchWorld
		plain bool
		n     int
	}{
		{"a row of steps", []stretchWorld{{0, []string{"a"}}, {40, []string{"b"}}, {80, []string{"c"}}}, true, 80},
		{"side by side", []stretchWorld{{0, []string{"a", "b"}}, {60, []string{"c", "d"}}}, false, 80},
		{"one goes on", []stretchWorld{{0, []string{"a"}}, {40, []string{"a", "b"}}, {80, []string{"b"}}}, false, 160},
		{"one comes back", []stretchWorld{{0, []string{"a"}}, {45, []string{"b"}}, {85, []string{"a"}}}, false, 80},
	} {
		r := rand.New(rand.NewPCG(3, 8))
		const worlds = 60
		right, held, changes := 0, 0, 0
		var off []float64
		for range worlds {
			got, err := refbook.LearnStretches(draw(r, c.n, c.world, 0.1), refbook.LearnOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if !sameStretches(got.All, c.world) {
				continue
			}
			right++
			if got.Plain != c.plain {
				t.Errorf("%s: plain %v", c.name, got.Plain)
			}
			for k, x := range got.Transitions {
				truth := float64(edtf.MonthOf(1960, 1)) + c.world[k+1].from
				changes++
				off = append(off, math.Abs(float64(x.Month)-truth))
				if float64(x.MonthInterval[0])-1 <= truth && truth <= float64(x.MonthInterval[1])+1 {
					held++
				}
			}
		}
		slices.Sort(off)
		t.Logf("%s: %d of %d worlds right, median %.1f months off, held %d of %d", c.name, right, worlds,
			off[len(off)/2], held, changes)
		if right < worlds*85/100 {
			t.Errorf("%s: the stretches are right in %d of %d worlds", c.name, right, worlds)
		}
		if share := float64(held) / float64(changes); share < 0.82 || off[len(off)/2] > 4 {
			t.Errorf("%s: held %.2f, median %.1f months off", c.name, share, off[len(off)/2])
		}
	}
}

func sameStretches(got []refbook.Stretch, world []stretchWorld) bool {
	return slices.EqualFunc(got, world, func(g refbook.Stretch, w stretchWorld) bool {
		have := slices.Sorted(slices.Values(g.Variants))
		return slices.Equal(have, w.variants)
	})
}

// Swapped parts make no stretch of their own, order does not matter, and too many variants are refused.
func TestStretchesOfSwappedParts(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 5))
	seen := draw(r, 60, []stretchWorld{{0, []string{"a"}}, {60, []string{"b"}}}, 0)
	for i, at := range []int{4, 40} {
		seen[at].Month, seen[at].Variant, seen[at].ID = edtf.MonthOf(1968-7*i, 3), []string{"a", "b"}[i], "swapped"
	}
	got, err := refbook.LearnStretches(seen, refbook.LearnOptions{})
	if err != nil || len(got.All) != 2 || len(got.Misfits) != 2 || got.Misfits[0].Example.ID != "swapped" {
		t.Fatalf("%+v, misfits %+v, %v", got.All, got.Misfits, err)
	}
	slices.Reverse(seen)
	again, err := refbook.LearnStretches(seen, refbook.LearnOptions{})
	if err != nil || !slices.EqualFunc(got.Transitions, again.Transitions, func(a, b refbook.Transition) bool {
		return a.Month == b.Month && a.MonthInterval == b.MonthInterval
	}) {
		t.Errorf("in another order: %+v, %v", again.Transitions, err)
	}
	for i := range seen[:9] {
		seen[i].Variant = fmt.Sprint("v", i)
	}
	_, err = refbook.LearnStretches(seen, refbook.LearnOptions{})
	if err == nil || !strings.Contains(err.Error(), "at most 8") {
		t.Errorf("eleven variants: %v", err)
	}
}

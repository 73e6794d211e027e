package condition

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The reliability data of K. Krippendorff, “Computing Krippendorff's Alpha-Reliability” (University of Pennsylvania
// 2011), section C: four observers, twelve units, some not judged; his results are 0.743 (nominal), 0.815 (ordinal)
// and 0.849 (interval). Data and results from memory.
func TestAlphaOfItsAuthor(t *testing.T) {
	const missing = 0
	observers := [][]float64{
		{1, 2, 3, 3, 2, 1, 4, 1, 2, missing, missing, missing},
		{1, 2, 3, 3, 2, 2, 4, 1, 2, 5, missing, 3},
		{missing, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, missing},
		{1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, missing},
	}
	units := make([][]float64, 12)
	for _, o := range observers {
		for u, v := range o {
			if v != missing {
				units[u] = append(units[u], v)
			}
		}
	}
	for scale, want := range map[Scale]float64{Nominal: 0.743, Ordinal: 0.815, Interval: 0.849} {
		if got, err := Alpha(units, scale); err != nil || math.Abs(got-want) > 0.0005 {
			t.Errorf("scale %d: alpha %.4f, %v; want %.3f", scale, got, err, want)
		}
	}
	if _, err := Alpha([][]float64{{1}, {2}}, Nominal); err == nil {
		t.Error("agreement of one person with nobody")
	}
	if _, err := Alpha([][]float64{{1, 1}, {1, 1}}, Nominal); err == nil {
		t.Error("values that never differ tell of no agreement")
	}
}

// The next pair is one that was not compared; asked by it, a ranking is found with fewer comparisons than by chance.
func TestNextPairTellsMost(t *testing.T) {
	names := []string{"a", "b", "c", "d", "e", "f", "g", "h"}
	truth := []float64{2.1, 1.5, 0.9, 0.3, -0.3, -0.9, -1.5, -2.1}
	off := func(chosen bool) float64 {
		r := rand.New(rand.NewPCG(1, 1))
		sum := 0.0
		for range 30 {
			var all []Comparison
			for range 20 {
				rank, err := Rank(names, all)
				if err != nil {
					t.Fatal(err)
				}
				i := r.IntN(8)
				j := (i + 1 + r.IntN(7)) % 8
				if chosen {
					x, y, _ := rank.Next()
					i, j = int(x[0]-'a'), int(y[0]-'a')
				}
				result := 0.0
				if r.Float64() < 1/(1+math.Exp(truth[j]-truth[i])) {
					result = 1
				}
				all = append(all, Comparison{A: names[i], B: names[j], Result: result})
			}
			rank, _ := Rank(names, all)
			for i, n := range names {
				s, _ := rank.Of(n)
				sum += (s.Ability - truth[i]) * (s.Ability - truth[i])
			}
		}
		return sum
	}
	if by, chance := off(true), off(false); by >= chance {
		t.Errorf("squared error %.1f with pairs that tell most, %.1f by chance", by, chance)
	}
	first, err := Rank([]string{"a", "b", "c"}, []Comparison{{A: "a", B: "b", Result: 1}})
	if err != nil {
		t.Fatal(err)
	}
	if a, b, ok := first.Next(); !ok || a != "c" && b != "c" {
		t.Errorf("next are %s and %s; c was never compared", a, b)
	}
	if _, _, ok := (Ranking{}).Next(); ok {
		t.Error("a pair of nothing")
	}
}

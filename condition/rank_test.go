package condition

import (
	"encoding/csv"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func readTable(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../checks/04_paired_comparison/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 4 {
		t.Fatalf("%s has only %d rows", name, len(rows))
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func comparisonsOf(t *testing.T, name string) []Comparison {
	var out []Comparison
	for _, r := range readTable(t, name) {
		for i, result := range []float64{1, 0} {
			if w := number(t, r[2+i]); w > 0 {
				out = append(out, Comparison{A: r[0], B: r[1], Result: result, Weight: w})
			}
		}
	}
	return out
}

// Baseball (Agresti 2002, p. 438) and citations (Stigler 1994), fitted by the R
// package BradleyTerry2 1.1-2 without order effect; see checks/README.md.
func TestRankAgainstReference(t *testing.T) {
	for data, reference := range map[string]string{"baseball.csv": "baseball_ability_noorder.csv",
		"citations.csv": "citations_ability.csv"} {
		rows := readTable(t, reference)
		var examples []string
		for _, r := range rows {
			examples = append(examples, r[0])
		}
		ranking, err := RankWithPrior(examples, comparisonsOf(t, data), math.Inf(1))
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			s, ok := ranking.Of(r[0])
			if !ok || math.Abs(s.Ability-number(t, r[1])) > 1e-6 || math.Abs(s.SE-number(t, r[2])) > 1e-5 {
				t.Errorf("%s: %+v, want %s ± %s", data, s, r[1], r[2])
			}
		}
	}
}

// The same maximum by minorisation–maximisation (Hunter 2004), as worths that sum
// to 1.
func TestRankAgainstWorths(t *testing.T) {
	rows := readTable(t, "baseball_mm_worth.csv")
	var examples []string
	for _, r := range rows {
		examples = append(examples, r[0])
	}
	ranking, err := RankWithPrior(examples, comparisonsOf(t, "baseball.csv"), math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, s := range ranking.Standings {
		sum += math.Exp(s.Ability)
	}
	for _, r := range rows {
		s, _ := ranking.Of(r[0])
		if got := math.Exp(s.Ability) / sum; math.Abs(got-number(t, r[1])) > 1e-8 {
			t.Errorf("%s: %g, want %s", r[0], got, r[1])
		}
	}
}

// Worked example: A beats B 7 of 10, A beats C 8 of 10, B beats C 6 of 10.
func TestRankWorkedExample(t *testing.T) {
	ranking, err := RankWithPrior([]string{"A", "B", "C"}, []Comparison{{A: "A", B: "B", Result: 0.7, Weight: 10},
		{A: "A", B: "C", Result: 0.8, Weight: 10}, {A: "B", B: "C", Result: 0.6, Weight: 10}}, math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, s := range ranking.Standings {
		sum += math.Exp(s.Ability)
	}
	for i, want := range []float64{0.597, 0.245, 0.158} {
		if got := math.Exp(ranking.Standings[i].Ability) / sum; math.Abs(got-want) > 0.0006 {
			t.Errorf("%s: %.4f, want %.3f", ranking.Standings[i].Example, got, want)
		}
	}
}

// With a prior of standard deviation s the penalised likelihood is flat at the fit:
// for two examples and w wins each way the gradient can be written down.
func TestPriorByHand(t *testing.T) {
	r, err := RankWithPrior([]string{"A", "B"}, []Comparison{{A: "A", B: "B", Result: 1, Weight: 3}}, 2)
	if err != nil {
		t.Fatal(err)
	}
	a, b := r.Standings[0].Ability, r.Standings[1].Ability
	p := 1 / (1 + math.Exp(b-a))
	if math.Abs(a+b) > 1e-9 || math.Abs(3*(1-p)-a/4) > 1e-9 {
		t.Errorf("abilities %g and %g are not at the maximum", a, b)
	}
	// Information (1/4 + w)·I ± w off the diagonal, w = 3p(1−p); the variance of the
	// difference is 2/(1/4 + 2w).
	w := 3 * p * (1 - p)
	want := 0.5 * math.Erfc(-(a-b)/math.Sqrt(2/(0.25+2*w))/math.Sqrt2)
	if got, ok := r.PBetter("A", "B"); !ok || math.Abs(got-want) > 1e-9 {
		t.Errorf("P(A better) %g, want %g", got, want)
	}
	// Of two, being better than at least one is being better than the other; 500 draws.
	if got := r.Standings[0].P; math.Abs(got-want) > 4*math.Sqrt(want*(1-want)/placeDraws) {
		t.Errorf("P of the standing %g, want %g", got, want)
	}
	if got, _ := r.PBetter("B", "A"); math.Abs(got-(1-want)) > 1e-9 {
		t.Errorf("P(B better) %g, want %g", got, 1-want)
	}
}

func TestRankWithoutComparisons(t *testing.T) {
	r, err := Rank([]string{"A", "B"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range r.Standings {
		if s.Ability != 0 || math.Abs(s.SE-PriorSD) > 1e-12 || s.PlaceInterval != [2]float64{1, 2} ||
			s.Says().String() != "Not compared with the other one examined." {
			t.Errorf("%+v", s)
		}
	}
	if p, ok := r.PBetter("A", "B"); !ok || p != 0.5 {
		t.Errorf("P %g", p)
	}
	if r, err := Rank(nil, nil); err != nil || len(r.Standings) != 0 {
		t.Errorf("no examples: %+v, %v", r, err)
	}
	if r, err := Rank([]string{"A"}, nil); err != nil || r.Standings[0].Place != 1 {
		t.Errorf("one example: %+v, %v", r, err)
	}
}

func TestRankErrors(t *testing.T) {
	two := []string{"A", "B"}
	for found, c := range map[string]struct {
		examples    []string
		comparisons []Comparison
		prior       float64
	}{
		"example 2":           {[]string{"A", "A"}, nil, 1},
		"example 1":           {[]string{""}, nil, 1},
		`"C"`:                 {two, []Comparison{{A: "A", B: "C", Result: 1}}, 1},
		`"A" with "A"`:        {two, []Comparison{{A: "A", B: "A", Result: 1}}, 1},
		"result NaN":          {two, []Comparison{{A: "A", B: "B", Result: math.NaN()}}, 1},
		"result 2":            {two, []Comparison{{A: "A", B: "B", Result: 2}}, 1},
		"weight -1":           {two, []Comparison{{A: "A", B: "B", Result: 1, Weight: -1}}, 1},
		"prior sd 0":          {two, nil, 0},
		"never comes out":     {two, []Comparison{{A: "A", B: "B", Result: 1}}, math.Inf(1)},
		`"A" never comes out`: {two, []Comparison{{A: "A", B: "B", Result: 0}}, math.Inf(1)},
	} {
		if _, err := RankWithPrior(c.examples, c.comparisons, c.prior); !errors.Is(err, ErrInput) ||
			!strings.Contains(err.Error(), found) {
			t.Errorf("%s: %v", found, err)
		}
	}
}

func drawComparisons(t *rapid.T) ([]string, []Comparison) {
	examples := []string{"A", "B", "C", "D", "E"}
	var out []Comparison
	for range rapid.IntRange(0, 12).Draw(t, "comparisons") {
		pair := rapid.Permutation(examples).Draw(t, "pair")
		out = append(out, Comparison{A: pair[0], B: pair[1], Result: rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t,
			"result")})
	}
	return examples, out
}

// The last is not praised for being better than nobody, and equals share a place.
func TestLastAndTies(t *testing.T) {
	r, err := Rank([]string{"a", "b", "c", "d"}, []Comparison{{A: "a", B: "d", Result: 1}, {A: "b", B: "d", Result: 1},
		{A: "c", B: "d", Result: 1}, {A: "a", B: "b", Result: 0.5}, {A: "b", B: "c", Result: 0.5},
		{A: "a", B: "c", Result: 0.5}})
	if err != nil {
		t.Fatal(err)
	}
	last, _ := r.Of("d")
	if last.Better != 0 || last.P > 0.99 || last.Place != 4 ||
		!strings.HasPrefix(last.Says().String(), "None of the 3 others examined came out worse") {
		t.Errorf("%+v: %s", last, last.Says())
	}
	for _, e := range []string{"a", "b", "c"} {
		if s, _ := r.Of(e); s.Place != 1 || s.Better != 1 {
			t.Errorf("%+v", s)
		}
	}
}

func TestRankLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		examples, list := drawComparisons(t)
		kept, before := slices.Clone(examples), slices.Clone(list)
		r, err := Rank(examples, list)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(kept, examples) || !slices.Equal(before, list) {
			t.Fatal("the arguments were changed")
		}
		sum := 0.0
		for i, s := range r.Standings {
			sum += s.Ability
			if s.Place < 1 || s.Place > i+1 || s.PlaceInterval.Low() < 1 || s.PlaceInterval.High() > 5 ||
				s.PlaceInterval.Low() > s.PlaceInterval.High() || s.SE <= 0 || s.SE > PriorSD+1e-9 {
				t.Fatalf("%+v", s)
			}
			if s.SurelyBetter > s.Better || s.P < 0 || s.P > 1 {
				t.Fatalf("%+v", s)
			}
		}
		if math.Abs(sum) > 1e-8 {
			t.Fatalf("abilities sum to %g", sum)
		}
		// The mirror image of every comparison gives the mirror image of the abilities.
		mirrored := slices.Clone(list)
		for i := range mirrored {
			mirrored[i].Result = 1 - mirrored[i].Result
		}
		m, err := Rank(examples, mirrored)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range examples {
			a, _ := r.Of(e)
			b, _ := m.Of(e)
			if math.Abs(a.Ability+b.Ability) > 1e-8 {
				t.Fatalf("%s: %g and %g", e, a.Ability, b.Ability)
			}
		}
		// One more win never lowers.
		more, err := Rank(examples, append(slices.Clone(list), Comparison{A: "A", B: "B", Result: 1}))
		if err != nil {
			t.Fatal(err)
		}
		a, _ := r.Of("A")
		if b, _ := more.Of("A"); b.Ability < a.Ability-1e-9 {
			t.Fatalf("a win lowered A from %g to %g", a.Ability, b.Ability)
		}
	})
}

// On invented truth drawn from the prior, with ten examples and fifty comparisons,
// the 90 % ranges of ability and of place hold the truth about as often as they
// say. (Places are whole numbers, so their ranges hold it a little more often.)
func TestRankCoverage(t *testing.T) {
	const runs, n = 150, 10
	rng := rand.New(rand.NewPCG(1, 2))
	abilities, places := 0, 0
	for range runs {
		truth := make([]float64, n)
		examples := make([]string, n)
		for i := range truth {
			truth[i], examples[i] = PriorSD*rng.NormFloat64(), string(rune('A'+i))
		}
		var list []Comparison
		for range 50 {
			i, j := rng.IntN(n), rng.IntN(n)
			if i == j {
				continue
			}
			c := Comparison{A: examples[i], B: examples[j]}
			if rng.Float64() < 1/(1+math.Exp(truth[j]-truth[i])) {
				c.Result = 1
			}
			list = append(list, c)
		}
		r, err := Rank(examples, list)
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range examples {
			s, _ := r.Of(e)
			if math.Abs(s.Ability-truth[i]) <= 1.6449*s.SE {
				abilities++
			}
			place := 1
			for _, other := range truth {
				if other > truth[i] {
					place++
				}
			}
			if s.PlaceInterval.Contains(float64(place)) {
				places++
			}
		}
	}
	share := float64(abilities) / (runs * n)
	t.Logf("ability ranges hold the truth in %.3f of cases, place ranges in %.3f", share, float64(places)/(runs*n))
	if share < 0.86 || share > 0.94 {
		t.Errorf("ability ranges hold the truth in %.3f of cases, want about 0.90", share)
	}
	if share := float64(places) / (runs * n); share < 0.88 || share > 0.99 {
		t.Errorf("place ranges hold the truth in %.3f of cases, want 0.90 or a little more", share)
	}
}

func BenchmarkRank37(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	var examples []string
	for i := range 37 {
		examples = append(examples, strconv.Itoa(i))
	}
	var list []Comparison
	for range 200 {
		i, j := rng.IntN(37), rng.IntN(36)
		if j >= i {
			j++
		}
		list = append(list, Comparison{A: examples[i], B: examples[j], Result: float64(rng.IntN(2))})
	}
	for b.Loop() {
		if _, err := Rank(examples, list); err != nil {
			b.Fatal(err)
		}
	}
}

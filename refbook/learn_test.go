package refbook

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
)

// planted is a world with a known truth.
type planted struct {
	order      []string
	boundaries []float64 // months
	sd         []float64 // of the ogives
	odd        float64
}

func (w planted) draw(r *rand.Rand, n int, from, to edtf.Month, monthSD float64) []Example {
	var out []Example
	for i := range n {
		month := float64(from) + r.Float64()*float64(to-from)
		k := 0
		for j := range w.boundaries {
			if month > w.boundaries[j]+w.sd[j]*r.NormFloat64() {
				k = j + 1
			}
		}
		if r.Float64() < w.odd {
			k = r.IntN(len(w.order))
		}
		seen := month + monthSD*r.NormFloat64()
		out = append(out, Example{ID: fmt.Sprintf("x%d", i), Month: edtf.Month(math.Floor(seen)), SDMonths: monthSD,
			Slot: evidence.Dial, Variant: w.order[k]})
	}
	return out
}

// The intervals hold the planted truth about as often as they say, when the truth
// is drawn from the prior.
func TestLearnCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	from, to := edtf.MonthOf(1960, 1), edtf.MonthOf(1969, 12)
	span := edtf.MustParse("1960/1969")
	const worlds = 200
	held, transitions, overlaps := 0, 0, 0
	for range worlds {
		w := planted{order: []string{"a", "b", "c"}, odd: 1 - math.Pow(r.Float64(), 1.0/19)}
		x := float64(from) + r.Float64()*120
		y := float64(from) + r.Float64()*120
		w.boundaries = []float64{math.Min(x, y), math.Max(x, y)}
		w.sd = []float64{6 / overlapPerSD * r.ExpFloat64(), 6 / overlapPerSD * r.ExpFloat64()}
		got, err := Learn(w.draw(r, 40, from, to+1, 4), LearnOptions{Order: w.order, Span: span})
		if err != nil {
			t.Fatal(err)
		}
		for j, tr := range got.Transitions {
			if tr.CannotTell != "" {
				continue
			}
			transitions++
			if low, high := float64(tr.MonthInterval[0])-0.5,
				float64(tr.MonthInterval[1])+0.5; low <= w.boundaries[j] && w.boundaries[j] <= high {
				held++
			}
			if width := w.sd[j] * overlapPerSD; tr.OverlapInterval[0]*0.75 <= width &&
				width <= tr.OverlapInterval[1]*1.25 {
				overlaps++
			}
		}
	}
	rate := float64(held) / float64(transitions)
	t.Logf("90 %% intervals held %d of %d boundaries (%.3f), overlaps %.3f", held, transitions, rate,
		float64(overlaps)/float64(transitions))
	// About 390 draws at 0.9 scatter by 0.015; three of these each way.
	if rate < 0.85 || rate > 0.96 {
		t.Errorf("coverage %.3f, want about 0.90", rate)
	}
}

// With a clean cut, exact months and hardly any odd example, the boundary is
// equally likely anywhere between the last early and the first late example.
func TestLearnCleanCutIsFlatBetween(t *testing.T) {
	var ex []Example
	for i := range 40 {
		m, v := edtf.MonthOf(1960, 1)+edtf.Month(i), "early"
		if i >= 20 {
			m, v = m+10, "late"
		}
		ex = append(ex, Example{ID: fmt.Sprint(i), Month: m, Slot: evidence.Dial, Variant: v})
	}
	got, err := Learn(ex, LearnOptions{MeanOverlapMonths: 0.3, MeanOddShare: 0.001})
	if err != nil {
		t.Fatal(err)
	}
	tr := got.Transitions[0]
	last, first := ex[19].Month, ex[20].Month // 1961-08 and 1962-07
	inside, outside := 0.0, 0.0
	var low, high = 1.0, 0.0
	for _, b := range tr.Posterior {
		if b.Month > last+1 && b.Month < first {
			inside += b.P
			low, high = math.Min(low, b.P), math.Max(high, b.P)
		} else if b.Month < last || b.Month > first+1 {
			outside += b.P
		}
	}
	if inside < 0.7 || outside > 0.03 || high > 1.1*low {
		t.Errorf("inside %.3f (from %.4f to %.4f), outside %.3f", inside, low, high, outside)
	}
	if tr.Month <= last || tr.Month > first {
		t.Errorf("boundary %s, want between %s and %s", tr.Month, last, first)
	}
	if w := got.Variants[0].Window.Made.String(); !strings.HasPrefix(w, "../") {
		t.Errorf("window of the first variant without a span: %s", w)
	}
	if len(got.Misfits) != 0 {
		t.Errorf("misfits among clean examples: %v", got.Misfits)
	}
}

func TestLearnNamesTheMisfit(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	w := planted{order: []string{"gloss", "matt"}, boundaries: []float64{float64(edtf.MonthOf(1964, 1))},
		sd: []float64{1}}
	ex := w.draw(r, 60, edtf.MonthOf(1960, 1), edtf.MonthOf(1968, 1), 2)
	ex = append(ex, Example{ID: "odd", Month: edtf.MonthOf(1960, 6), SDMonths: 2, Slot: evidence.Dial, Variant: "matt"})
	before := append([]Example(nil), ex...)
	got, err := Learn(ex, LearnOptions{Span: edtf.MustParse("1960/1967")})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(ex, before) {
		t.Error("the examples were changed")
	}
	if len(got.Misfits) != 1 || got.Misfits[0].Example.ID != "odd" || got.Misfits[0].P < 0.8 {
		t.Errorf("misfits: %+v", got.Misfits)
	}
	tr := got.Transitions[0]
	if d := int(tr.Month - edtf.MonthOf(1964, 1)); d < -4 || d > 4 {
		t.Errorf("boundary %s", tr.Month)
	}
	want := fmt.Sprintf("1960-01/%s~", tr.Month-1)
	if got.Variants[0].Window.Made.String() != want {
		t.Errorf("window %s, want %s", got.Variants[0].Window.Made, want)
	}
}

// Shifting every example by some months shifts every answer by as many; the order
// of the examples does not matter.
func TestLearnLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	w := planted{order: []string{"a", "b", "c"}, boundaries: []float64{1963 * 12, 1966 * 12}, sd: []float64{2, 1},
		odd: 0.05}
	ex := w.draw(r, 25, 1960*12, 1969*12, 3)
	base, err := Learn(ex, LearnOptions{Order: w.order})
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		by := edtf.Month(rapid.IntRange(-240, 240).Draw(t, "months"))
		moved := append([]Example(nil), ex...)
		for i, j := range rapid.Permutation(seq(len(ex))).Draw(t, "order") {
			moved[i] = ex[j]
			moved[i].Month += by
		}
		got, err := Learn(moved, LearnOptions{Order: w.order})
		if err != nil {
			t.Fatal(err)
		}
		for k, tr := range got.Transitions {
			b := base.Transitions[k]
			if tr.Month != b.Month+by || tr.MonthInterval[0] != b.MonthInterval[0]+by ||
				tr.OverlapMonths != b.OverlapMonths {
				t.Fatalf("transition %d: %v, want %v moved by %d", k, tr.MonthInterval, b.MonthInterval, by)
			}
			sum := 0.0
			for _, p := range tr.Posterior {
				sum += p.P
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Fatalf("posterior sums to %g", sum)
			}
			if !(tr.MonthInterval[0] <= tr.Month && tr.Month <= tr.MonthInterval[1]) {
				t.Fatalf("median %s outside %v", tr.Month, tr.MonthInterval)
			}
		}
	})
}

func seq(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// The share in a month of uncertain examples is the ogive averaged over the month,
// checked against a numerical integral.
func TestLaterShareAgainstIntegral(t *testing.T) {
	e := Example{Month: 100, SDMonths: 5}
	const boundary, sd = 103.0, 2.0
	var sum, weight float64
	width := math.Sqrt(25 + 1.0/12)
	for x := -8.0; x <= 8; x += 0.001 {
		w := math.Exp(-x * x / 2)
		sum += w * normalCDF((100.5+width*x-boundary)/sd)
		weight += w
	}
	if got := laterShare(e, boundary, sd); math.Abs(got-sum/weight) > 1e-6 {
		t.Errorf("%g, want %g", got, sum/weight)
	}
}

func TestLearnRefuses(t *testing.T) {
	ok := Example{ID: "a", Month: 1965 * 12, Slot: evidence.Dial, Variant: "matt"}
	with := func(f func(*Example)) []Example {
		e := ok
		f(&e)
		return []Example{ok, e}
	}
	tests := []struct {
		name string
		ex   []Example
		o    LearnOptions
		want string
	}{
		{"none", nil, LearnOptions{}, "no examples"},
		{"slots", with(func(e *Example) { e.Slot = evidence.Hands }), LearnOptions{}, "one slot at a time"},
		{"sd", with(func(e *Example) { e.SDMonths = math.NaN() }), LearnOptions{}, "standard deviation"},
		{"variant", with(func(e *Example) { e.Variant = " " }), LearnOptions{}, "no variant"},
		{"month", with(func(e *Example) { e.Month = 3 }), LearnOptions{}, "such as 1968"},
		{"order", with(func(e *Example) { e.Variant = "mat" }), LearnOptions{Order: []string{"matt"}},
			"did you mean matt?"},
		{"order twice", []Example{ok}, LearnOptions{Order: []string{"matt", "Matt"}}, "twice"},
		{"level", []Example{ok}, LearnOptions{Level: 90}, "level 90"},
		{"odd share", []Example{ok}, LearnOptions{MeanOddShare: 0.7}, "odd share"},
		{"overlap", []Example{ok}, LearnOptions{MeanOverlapMonths: -1}, "overlap"},
	}
	for _, tt := range tests {
		if _, err := Learn(tt.ex, tt.o); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
}

func TestLearnSaysWhatItCannotTell(t *testing.T) {
	got, err := Learn([]Example{{ID: "a", Month: 1965 * 12, Slot: evidence.Dial, Variant: "matt"}},
		LearnOptions{Order: []string{"matt", "late"}})
	if err != nil {
		t.Fatal(err)
	}
	if tr := got.Transitions[0]; tr.CannotTell == "" || tr.Posterior != nil {
		t.Errorf("%+v", tr)
	}
	if !got.Variants[0].Window.Made.IsZero() || got.Variants[1].Examples != 0 {
		t.Errorf("%+v", got.Variants)
	}
}

func BenchmarkLearn(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 6))
	w := planted{order: []string{"a", "b", "c"}, boundaries: []float64{1963 * 12, 1966 * 12}, sd: []float64{2, 1},
		odd: 0.05}
	ex := w.draw(r, 200, 1960*12, 1969*12, 3)
	for b.Loop() {
		if _, err := Learn(ex, LearnOptions{Order: w.order}); err != nil {
			b.Fatal(err)
		}
	}
}

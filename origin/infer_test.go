package origin

import (
	"math"
	"math/rand/v2"
	"testing"

	"midcase/edtf"
)

func mustInfer(t *testing.T, s Subject) *Result {
	t.Helper()
	r, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestNoEvidenceGivesThePrior(t *testing.T) {
	r := mustInfer(t, Subject{Span: Span{First: edtf.MonthOf(1960, 1), Last: edtf.MonthOf(1969, 12)},
		Slots: []Slot{{Name: "dial", Replaced: 0.25, Variants: []Variant{{ID: "a"}}}}})
	for i, p := range r.P {
		near(t, "month", p, r.Prior[i], 1e-12)
		near(t, "level", p, 1.0/120, 1e-12)
	}
	if r.Median() != edtf.MonthOf(1964, 12) {
		t.Errorf("median %v", r.Median())
	}
	if x := r.Slots[0]; x.Known || math.Abs(x.POriginal-0.75) > 1e-12 || len(r.Items) != 0 {
		t.Errorf("%+v, items %v", x, r.Items)
	}
	near(t, "entropy", r.Entropy(), math.Log2(120), 1e-12)
	if in := r.Interval(1); in != [2]edtf.Month{r.First, edtf.MonthOf(1969, 12)} {
		t.Errorf("whole interval %v", in)
	}
}

// With hard edges, a lag of 0 and no errors the answer can be written down: the year
// of the record, months equally likely.
func TestStatedYearGivesThatYear(t *testing.T) {
	r := mustInfer(t, Subject{Span: Span{First: edtf.MonthOf(1960, 1), Last: edtf.MonthOf(1969, 12)},
		Stated: []Stated{{ID: "x", First: edtf.MonthOf(1966, 1), Last: edtf.MonthOf(1966, 12)}}})
	for i, p := range r.P {
		want := 0.0
		if m := r.First + edtf.Month(i); m.Year() == 1966 {
			want = 1.0 / 12
		}
		near(t, "month", p, want, 1e-5)
	}
	// 11 of 12 months hold 0.917, which is nearer to 0.9 than all 12.
	if in := r.Interval(0.9); in[1]-in[0] != 10 || math.Abs(r.Mass(in)-11.0/12) > 1e-5 {
		t.Errorf("interval %v holds %v", in, r.Mass(in))
	}
}

// By hand, one month only: r = 0.2, two variants of equal share, one service part.
// f(a) = 0.995/(2+0.0002), g(service) = 0.6·0.9, g(a) = 0.4·0.9/2.
func TestOriginalByHand(t *testing.T) {
	m := edtf.MonthOf(1960, 1)
	slot := Slot{Name: "dial", ID: "d", Replaced: 0.2,
		Variants: []Variant{{ID: "a"}, {ID: "b"}, {ID: "s", Service: true}}}
	for seen, want := range map[string]float64{
		"a":     0.8 * 0.995 / 2.0002 / (0.8*0.995/2.0002 + 0.2*0.18),
		"s":     0.8 * 0.995 * 0.0002 / 2.0002 / (0.8*0.995*0.0002/2.0002 + 0.2*0.54),
		Unknown: 0.8 * 0.005 / (0.8*0.005 + 0.2*0.1),
	} {
		slot.Seen = seen
		r := mustInfer(t, Subject{Span: Span{First: m, Last: m}, Slots: []Slot{slot}})
		near(t, seen, r.Slots[0].POriginal, want, 1e-12)
	}
}

// An old pattern was fitted until 1966 and, at one works, in one watch of six until
// 1970. On a watch of 1969 it is less common than the new pattern, not wrong.
func TestPartThatOutlivedItsTimeIsNotCalledWrong(t *testing.T) {
	m := edtf.MonthOf
	old := Variant{ID: "early", Windows: []Window{{Last: m(1966, 12), SoftMonths: 4}}}
	late := Window{First: m(1967, 1), Last: m(1970, 12), SoftMonths: 4, Share: 0.2}
	s := Subject{Span: Span{First: m(1962, 1), Last: m(1974, 12), SoftMonths: 6},
		Stated: []Stated{{ID: "extract", First: m(1969, 3), Last: m(1969, 5), OutlierShare: 0.02}},
		Slots: []Slot{{Name: "bracelet", ID: "b", Replaced: 0.2, Seen: "early", Variants: []Variant{old,
			{ID: "folded", Windows: []Window{{First: m(1967, 1), SoftMonths: 4}}}}}}}
	without := mustInfer(t, s).Slots[0]
	s.Slots[0].Variants[0].Windows = append(s.Slots[0].Variants[0].Windows, late)
	with := mustInfer(t, s).Slots[0]
	if without.POriginal > 0.15 || without.Surprise > 0.15 {
		t.Errorf("without the second window: %+v, want it called wrong", without)
	}
	if with.POriginal < 0.6 || with.Surprise < 0.15 {
		t.Errorf("with the second window: %+v, want it to pass", with)
	}
	near(t, "expected share", with.Expected[0].P, 0.2/1.2, 0.05)
}

// A clasp stamped far after the watch was finished says that the clasp was
// replaced; the date stays.
func TestStampOnReplacedPartDoesNotDateTheWatch(t *testing.T) {
	m := edtf.MonthOf
	s := subject(t)
	s.Stamps, s.Papers = nil, nil
	s.Slots = []Slot{{Name: "clasp", Replaced: 0.3}}
	before := mustInfer(t, s)
	s.Stamps = []Stamp{{ID: "clasp", First: m(1975, 1), Last: m(1975, 12), LagMonths: 4, OutlierShare: 0.02,
		Slot: "clasp"}}
	after := mustInfer(t, s)
	if d := after.Median() - before.Median(); d < -1 || d > 1 {
		t.Errorf("median moves from %v to %v", before.Median(), after.Median())
	}
	if p := after.Slots[0].POriginal; p > 0.15 || !after.Slots[0].Known {
		t.Errorf("clasp original with chance %v, want it called replaced", p)
	}
	// On a part of the right year the stamp narrows the date and speaks for the part.
	s.Stamps[0].First, s.Stamps[0].Last = m(1966, 1), m(1966, 3)
	right := mustInfer(t, s)
	if right.Entropy() >= before.Entropy() || right.Slots[0].POriginal < 0.8 {
		t.Errorf("stamp of the right quarter: entropy %v from %v, chance %v", right.Entropy(), before.Entropy(),
			right.Slots[0].POriginal)
	}
}

func TestContradictionIsNamedAndGivesNoNaN(t *testing.T) {
	m := edtf.MonthOf
	s := Subject{Span: Span{First: m(1950, 1), Last: m(1980, 12)}}
	for i := range 12 {
		y := 1951 + 2*i
		s.Stated = append(s.Stated, Stated{ID: "x", First: m(y, 1), Last: m(y, 12)})
	}
	for k := range 15 {
		a := m(1952+k, 1)
		s.Slots = append(s.Slots, Slot{Name: string(rune('a' + k)), ID: "s", Replaced: 0.01, Seen: "v",
			Variants: []Variant{
				{ID: "v", Windows: []Window{{First: a, Last: a + 6}}}, {ID: "w"}}})
	}
	s.Papers = []Papers{{ID: "p", First: m(1940, 1), Last: m(1940, 1)}}
	s.Serials = []Serial{{ID: "n", Number: 1, Curve: testCurve(t)},
		{ID: "n", Number: math.MaxInt64, Curve: testCurve(t)}}
	r := mustInfer(t, s)
	near(t, "sum", total(r.P), 1, 1e-9)
	for _, it := range r.Items {
		if math.IsNaN(it.Surprise) || math.Abs(total(it.WithoutP)-1) > 1e-9 {
			t.Errorf("%s: surprise %v, sum %v", it.ID, it.Surprise, total(it.WithoutP))
		}
	}
	p := r.Items[2+0] // papers follow the serials
	if p.Kind != KindPapers || p.Surprise > 1e-4 {
		t.Errorf("%s: surprise %v, want papers of 1940 to disagree", p.Kind, p.Surprise)
	}
}

// Far out, the number that disagrees with all else is the surprising one.
func TestSurpriseNamesTheItemThatDisagrees(t *testing.T) {
	m := edtf.MonthOf
	s := subject(t)
	s.Slots, s.Stamps = nil, nil
	s.Stated = append(s.Stated, Stated{ID: "second", First: m(1966, 5), Last: m(1966, 7), OutlierShare: 0.05})
	s.Serials[0].Number = 1_300_000 // 1960
	r := mustInfer(t, s)
	for _, it := range r.Items {
		if (it.Surprise < 0.06) != (it.Kind == KindSerial) {
			t.Errorf("%s: surprise %v", it.ID, it.Surprise)
		}
	}
}

// Where the model is true, the surprise of a number is even over 0–1: of 2,000
// drawn, 10 in 100 lie below 0.1 and 50 below 0.5 (standard errors 0.7 and 1.1).
func TestSurpriseOfNumberIsEvenUnderTruth(t *testing.T) {
	m := edtf.MonthOf
	curve, err := NewCurve([]Anchor{{1, m(1900, 1)}, {1_200_001, m(2000, 1)}}) // 1,000 a month
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(5, 7))
	low, mid := 0, 0
	const n = 2000
	for range n {
		made := float64(m(1960, 1)) + math.Floor(120*r.Float64())
		at := made + 12*r.NormFloat64()
		s := Subject{Span: Span{First: m(1960, 1), Last: m(1969, 12)},
			Stated: []Stated{{First: edtf.Month(made) - 3, Last: edtf.Month(made) + 3}},
			Serials: []Serial{{Number: int64((at-float64(m(1900, 1)))*1000) + 1, Curve: curve,
				ScatterMonths: 12, DegreesOfFreedom: 1e6}}}
		// The curve is known well: take the doubt about it away again.
		_, gap, inside := curve.At(s.Serials[0].Number)
		extra := scale(0, gap, inside)
		at = made + math.Hypot(12, extra)*r.NormFloat64()
		s.Serials[0].Number = int64((at-float64(m(1900, 1)))*1000) + 1
		p := mustInfer(t, s).Items[0].Surprise
		if p < 0.1 {
			low++
		}
		if p < 0.5 {
			mid++
		}
	}
	if f := float64(low) / n; f < 0.075 || f > 0.125 {
		t.Errorf("%v of surprises below 0.1", f)
	}
	if f := float64(mid) / n; f < 0.46 || f > 0.54 {
		t.Errorf("%v of surprises below 0.5", f)
	}
}

func TestIntervalComesNearestToItsLevel(t *testing.T) {
	for _, c := range []struct {
		p     []float64
		level float64
		want  [2]edtf.Month
	}{
		{[]float64{1}, 0.9, [2]edtf.Month{0, 0}},
		{[]float64{0.5, 0.5}, 0.9, [2]edtf.Month{0, 1}},
		{[]float64{0.05, 0.89, 0.06}, 0.9, [2]edtf.Month{1, 1}}, // 0.89 is nearer than 0.95
		{[]float64{0.05, 0.8, 0.15}, 0.9, [2]edtf.Month{1, 2}},
		{[]float64{0.1, 0.2, 0.4, 0.2, 0.1}, 0.8, [2]edtf.Month{1, 3}},
		{[]float64{0.2, 0.2, 0.2, 0.2, 0.2}, 1, [2]edtf.Month{0, 4}},
	} {
		if got := nearest(0, c.p, c.level); got != c.want {
			t.Errorf("%v at %v: %v, want %v", c.p, c.level, got, c.want)
		}
	}
}

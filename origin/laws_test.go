package origin

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
)

// drawSubject draws any sound subject, also one whose evidence contradicts itself.
func drawSubject(t *rapid.T, curve *Curve) Subject {
	month := func(name string) edtf.Month {
		return edtf.Month(rapid.IntRange(int(edtf.MonthOf(1930, 1)), int(edtf.MonthOf(2000, 1))).Draw(t, name))
	}
	share := func(name string) float64 { return rapid.Float64Range(0, 1).Draw(t, name) }
	period := func() (a, b edtf.Month) {
		a = month("first")
		return a, a + edtf.Month(rapid.IntRange(0, 36).Draw(t, "length"))
	}
	var s Subject
	s.Span.First = edtf.MonthOf(1950, 1) + edtf.Month(rapid.IntRange(0, 120).Draw(t, "start"))
	s.Span.Last = s.Span.First + edtf.Month(rapid.IntRange(0, 240).Draw(t, "run"))
	s.Span.SoftMonths = rapid.SampledFrom([]float64{0, 0.1, 3, 12}).Draw(t, "soft")
	for range rapid.IntRange(0, 2).Draw(t, "serials") {
		s.Serials = append(s.Serials, Serial{ID: "n", Number: rapid.Int64Range(1, 5_000_000).Draw(t, "number"),
			Curve:         curve,
			ScatterMonths: rapid.Float64Range(0, 12).Draw(t, "scatter"), OutlierShare: share("outlier"),
			Confidence: share("confidence")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "stamps") {
		a, b := period()
		s.Stamps = append(s.Stamps, Stamp{ID: "s", First: a, Last: b,
			LagMonths:    rapid.Float64Range(0, 20).Draw(t, "lag"),
			OutlierShare: rapid.SampledFrom([]float64{0, 0.05, 1}).Draw(t, "outlier"),
			Slot:         rapid.SampledFrom([]string{"", "dial", "clasp"}).Draw(t, "slot")})
	}
	for range rapid.IntRange(0, 2).Draw(t, "papers") {
		a, b := period()
		s.Papers = append(s.Papers, Papers{ID: "p", First: a, Last: b,
			LagMonths: rapid.Float64Range(0, 20).Draw(t, "lag")})
	}
	for range rapid.IntRange(0, 2).Draw(t, "stated") {
		a, b := period()
		s.Stated = append(s.Stated, Stated{ID: "x", First: a, Last: b})
	}
	for _, name := range []string{"dial", "hands", "clasp"}[:rapid.IntRange(0, 3).Draw(t, "slots")] {
		s.Slots = append(s.Slots, drawSlot(t, name, month))
	}
	return s
}

func drawSlot(t *rapid.T, name string, month func(string) edtf.Month) Slot {
	x := Slot{Name: name, ID: name, Replaced: rapid.SampledFrom([]float64{0, 0.1, 0.5, 1}).Draw(t, "replaced"),
		Confidence: rapid.Float64Range(0, 1).Draw(t, "confidence")}
	seen := []string{"", Unknown}
	for _, id := range []string{"a", "b", "c"}[:rapid.IntRange(0, 3).Draw(t, "variants")] {
		v := Variant{ID: id, Service: rapid.Bool().Draw(t, "service")}
		if !v.Service {
			a := month("from")
			v.Windows = []Window{{First: a, Last: a + edtf.Month(rapid.IntRange(0, 200).Draw(t, "for")),
				SoftMonths: rapid.SampledFrom([]float64{0, 2, 9}).Draw(t, "soft"),
				Share:      rapid.SampledFrom([]float64{0, 0.1, 2}).Draw(t, "share")}}
		}
		x.Variants = append(x.Variants, v)
		seen = append(seen, id)
	}
	x.Seen = rapid.SampledFrom(seen).Draw(t, "seen")
	return x
}

func isProbability(t *rapid.T, what string, p float64) {
	if !(p >= 0 && p <= 1) {
		t.Fatalf("%s is %v", what, p)
	}
}

func sumsToOne(t *rapid.T, what string, p []float64) {
	for _, q := range p {
		isProbability(t, what, q)
	}
	if s := total(p); !(math.Abs(s-1) < 1e-9) {
		t.Fatalf("%s sums to %v", what, s)
	}
}

func TestEveryResultIsAProbability(t *testing.T) {
	curve := testCurve(t)
	rapid.Check(t, func(t *rapid.T) {
		r := infer(t, drawSubject(t, curve))
		sumsToOne(t, "posterior", r.P)
		sumsToOne(t, "prior", r.Prior)
		for _, it := range r.Items {
			sumsToOne(t, "alone", it.Alone)
			sumsToOne(t, "without", it.WithoutP)
			isProbability(t, "surprise of "+it.ID, it.Surprise)
		}
		for _, x := range r.Slots {
			isProbability(t, "original", x.POriginal)
			isProbability(t, "as named", x.AsNamed)
			isProbability(t, "named right", x.NamedRight)
			isProbability(t, "surprise", x.Surprise)
			expected := 0.0
			for _, e := range x.Expected {
				expected += e.P
			}
			if !(math.Abs(expected-1) < 1e-9) {
				t.Fatalf("expected shares of %s sum to %v", x.Name, expected)
			}
		}
		for _, level := range []float64{0.1, 0.5, 0.9} {
			in := r.Interval(level)
			if in[0] > r.Median() || r.Median() > in[1] {
				t.Fatalf("median %v outside %v", r.Median(), in)
			}
		}
	})
}

func infer(t *rapid.T, s Subject) *Result {
	r, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestOrderOfItemsChangesNothing(t *testing.T) {
	curve := testCurve(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSubject(t, curve)
		a := infer(t, s)
		slices.Reverse(s.Serials)
		slices.Reverse(s.Stamps)
		slices.Reverse(s.Papers)
		slices.Reverse(s.Stated)
		slices.Reverse(s.Slots)
		for k := range s.Slots {
			slices.Reverse(s.Slots[k].Variants)
		}
		b := infer(t, s)
		for i := range a.P {
			if math.Abs(a.P[i]-b.P[i]) > 1e-9 {
				t.Fatalf("month %d: %v and %v", i, a.P[i], b.P[i])
			}
		}
		slices.Reverse(b.Slots)
		for k := range a.Slots {
			if math.Abs(a.Slots[k].POriginal-b.Slots[k].POriginal) > 1e-9 ||
				math.Abs(a.Slots[k].Surprise-b.Slots[k].Surprise) > 1e-6 {
				t.Fatalf("%+v and %+v", a.Slots[k], b.Slots[k])
			}
		}
	})
}

// A number that surely follows no curve, a slot with one variant for all time, and a
// slot that nobody has looked at say nothing.
func TestWhatSaysNothingChangesNothing(t *testing.T) {
	curve := testCurve(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSubject(t, curve)
		a := infer(t, s)
		s.Serials = append(s.Serials, Serial{ID: "none", Number: 1_234_567, Curve: curve, ScatterMonths: 3,
			OutlierShare: 1})
		s.Slots = append(s.Slots,
			Slot{Name: "crystal", Replaced: 0.4, Seen: "only", Variants: []Variant{{ID: "only"}}},
			Slot{Name: "crown", Replaced: 0.4, Variants: []Variant{{ID: "late",
				Windows: []Window{{First: edtf.MonthOf(1960, 1)}}}}})
		b := infer(t, s)
		for i := range a.P {
			if math.Abs(a.P[i]-b.P[i]) > 1e-9 {
				t.Fatalf("month %d: %v and %v", i, a.P[i], b.P[i])
			}
		}
	})
}

// The law holds for numbers whose month lies well inside the span; beyond the span a
// number loses its hold on purpose, for it was probably misread.
func TestLaterSerialNeverDatesEarlier(t *testing.T) {
	curve := testCurve(t)
	rapid.Check(t, func(t *rapid.T) {
		s := Subject{Span: Span{First: edtf.MonthOf(1954, 1), Last: edtf.MonthOf(1977, 1), SoftMonths: 6},
			Serials: []Serial{{Curve: curve, ScatterMonths: rapid.Float64Range(1, 6).Draw(t, "scatter"),
				OutlierShare: rapid.Float64Range(0, 0.05).Draw(t, "outlier")}}}
		n := rapid.Int64Range(1_170_000, 2_500_000).Draw(t, "number")
		s.Serials[0].Number = n
		a := infer(t, s).Median()
		s.Serials[0].Number = n + rapid.Int64Range(0, 200_000).Draw(t, "later by")
		if b := infer(t, s).Median(); b < a {
			t.Fatalf("number %d gives %v, the later %d gives %v", n, a, s.Serials[0].Number, b)
		}
	})
}

func TestNoGainIsNegative(t *testing.T) {
	curve := testCurve(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSubject(t, curve)
		s.Slots = append(s.Slots, Slot{Name: "back", Replaced: 0.2, Variants: []Variant{
			{ID: "early", Windows: []Window{{Last: edtf.MonthOf(1962, 1), SoftMonths: 3}}},
			{ID: "late", Windows: []Window{{First: edtf.MonthOf(1962, 1), SoftMonths: 3}}}}})
		gains, err := ExpectedGains(s,
			Candidate{Kind: KindSlot, Slot: "back", Confidence: 0.9},
			Candidate{Kind: KindSerial, Serial: Serial{Curve: curve, ScatterMonths: 4, OutlierShare: 0.02}},
			Candidate{Kind: KindStamp, Stamp: Stamp{LagMonths: 4, OutlierShare: 0.02, Slot: "back"}, PeriodMonths: 3},
			Candidate{Kind: KindStamp, Stamp: Stamp{LagMonths: 4, OutlierShare: 0.02}, PeriodMonths: 12})
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range gains {
			if !(g.DateBits >= 0) || !(g.PartBits >= 0) || !(g.WrongCalls >= 0) {
				t.Fatalf("%+v", g)
			}
		}
	})
}

func TestArgumentsAreNeverChanged(t *testing.T) {
	s, before := subject(t), subject(t)
	if _, err := Infer(s); err != nil {
		t.Fatal(err)
	}
	if _, err := ExpectedGain(s, Candidate{Kind: KindSlot, Slot: "hands"}); err != nil {
		t.Fatal(err)
	}
	if _, err := ExpectedGain(s, Candidate{Kind: KindStamp, Stamp: Stamp{Slot: "hands"}, PeriodMonths: 3}); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(s, before) {
		t.Errorf("subject changed:\n%+v\nfrom\n%+v", s, before)
	}
}

package origin

import (
	"math"
	"strings"
	"testing"

	"midcase/edtf"
)

func wantError(t *testing.T, err error, part string) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), part) {
		t.Errorf("got error %v, want one with %q", err, part)
	}
}

// subject is a watch with every sort of evidence: two slots seen, one of them with
// two stamps on its part, one with a stamp that nobody has looked at, a loose stamp.
func subject(t testing.TB) Subject {
	m := edtf.MonthOf
	return Subject{
		Span: Span{First: m(1960, 1), Last: m(1969, 12), SoftMonths: 3},
		Serials: []Serial{{ID: "number", Number: 1_900_000, Curve: testCurve(t), ScatterMonths: 4, OutlierShare: 0.02,
			Confidence: 0.95}},
		Stamps: []Stamp{
			{ID: "case back", First: m(1965, 1), Last: m(1965, 3), LagMonths: 5, OutlierShare: 0.05},
			{ID: "clasp", First: m(1967, 1), Last: m(1967, 12), LagMonths: 4, OutlierShare: 0.05, Slot: "bracelet"},
			{ID: "link", First: m(1966, 7), Last: m(1966, 9), LagMonths: 8, OutlierShare: 0.10, Slot: "bracelet",
				Confidence: 0.8},
			{ID: "movement", First: m(1964, 1), Last: m(1964, 12), LagMonths: 9, OutlierShare: 0.02, Slot: "movement"},
		},
		Papers: []Papers{{ID: "papers", First: m(1967, 5), Last: m(1967, 5), LagMonths: 10, OutlierShare: 0.1}},
		Stated: []Stated{{ID: "extract", First: m(1966, 1), Last: m(1966, 12), OutlierShare: 0.05}},
		Slots: []Slot{
			{Name: "dial", ID: "dial seen", Replaced: 0.2, Seen: "matt", Confidence: 0.9, Variants: []Variant{
				{ID: "gilt", Windows: []Window{{Last: m(1966, 6), SoftMonths: 4}}},
				{ID: "matt", Windows: []Window{{First: m(1966, 3), SoftMonths: 4}}},
				{ID: "late", Service: true, ServiceFirst: m(1972, 1)},
			}},
			{Name: "bracelet", ID: "bracelet seen", Replaced: 0.4, Seen: "early", Variants: []Variant{
				{ID: "early", Windows: []Window{{Last: m(1967, 12), SoftMonths: 6}, {First: m(1968, 1), Share: 0.2}}},
				{ID: "folded", Windows: []Window{{First: m(1967, 1), SoftMonths: 6}}},
			}},
			{Name: "movement", Replaced: 0.05},
			{Name: "hands", Replaced: 0.3, Variants: []Variant{
				{ID: "sword", Windows: []Window{{Last: m(1965, 12), SoftMonths: 2}}},
				{ID: "stick", Windows: []Window{{First: m(1966, 1), SoftMonths: 2}}},
			}},
		},
	}
}

// enumerate sums over every way in which a watch may be: its month, which parts are
// original, which variants they truly are, and when each replacement was made, with
// plain products in place of the closed form. It returns by month the joint weight,
// and that weight with the part of slot k original. use says which items count.
func enumerate(s Subject, use func(id string) bool) (all []float64, original [][]float64) {
	g := newGrid(s.Span)
	all = make([]float64, g.n)
	original = make([][]float64, len(s.Slots))
	models := make([]*parts, len(s.Slots))
	for k, x := range s.Slots {
		original[k] = make([]float64, g.n)
		models[k] = newParts(x, []mark{dated{}}, g, terms{}) // only for its shares
	}
	prior := g.logPrior(s.Span)
	for i := range all {
		month := math.Exp(prior[i]) * loose(s, g, i, use)
		keep, lose := make([]float64, len(s.Slots)), make([]float64, len(s.Slots))
		for k := range s.Slots {
			keep[k], lose[k] = eitherWay(s, k, models[k], i, use)
		}
		for config := range 1 << len(s.Slots) {
			c := month
			for k := range s.Slots {
				if config>>k&1 == 1 {
					c *= keep[k]
				} else {
					c *= lose[k]
				}
			}
			all[i] += c
			for k := range s.Slots {
				if config>>k&1 == 1 {
					original[k][i] += c
				}
			}
		}
	}
	return all, original
}

// loose is the likelihood of month i by the items that are on no listed part.
func loose(s Subject, g grid, i int, use func(string) bool) float64 {
	l := 1.0
	for _, x := range s.Serials {
		if use(x.ID) {
			l *= newNumbered(x, g).likelihood(g)[i]
		}
	}
	for _, x := range s.Papers {
		if use(x.ID) {
			l *= x.dated(g).at(g.month(i))
		}
	}
	for _, x := range s.Stated {
		if use(x.ID) {
			l *= x.dated(g).at(g.month(i))
		}
	}
	for _, x := range s.Stamps {
		if use(x.ID) && slotIndex(s, x.Slot) < 0 {
			l *= x.dated(g).at(g.month(i))
		}
	}
	return l
}

// eitherWay is the chance in month i that the part of slot k is original, or was
// replaced, and that its variant and stamps read as they do.
func eitherWay(s Subject, k int, p *parts, i int, use func(string) bool) (keep, lose float64) {
	x := s.Slots[k]
	stamps := func(month float64) float64 {
		l := 1.0
		for _, st := range s.Stamps {
			if st.Slot == x.Name && use(st.ID) {
				l *= st.dated(p.g).at(month)
			}
		}
		return l
	}
	for v := range p.replaced {
		named := 1.0
		if x.Seen != "" && use(x.ID) {
			named = p.named(p.seen, v)
		}
		keep += (1 - x.Replaced) * p.original[v][i] * named * stamps(p.g.month(i))
		for u := range p.later.n {
			lose += x.Replaced * p.replaced[v] * named * p.made[v][u] * stamps(p.later.month(u))
		}
	}
	return keep, lose
}

func TestInferEqualsEnumeration(t *testing.T) {
	s := subject(t)
	s.Span.First = edtf.MonthOf(1964, 1) // fewer months to enumerate
	r, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	all, original := enumerate(s, func(string) bool { return true })
	for i := range all {
		near(t, "posterior", r.P[i], all[i]/total(all), 1e-12)
	}
	for k, x := range r.Slots {
		near(t, x.Name, x.POriginal, total(original[k])/total(all), 1e-10)
	}
	if len(r.Items) != 9 {
		t.Fatalf("%d items, want 9", len(r.Items))
	}
	for _, it := range r.Items {
		without, _ := enumerate(s, func(id string) bool { return id != it.ID })
		alone, _ := enumerate(s, func(id string) bool { return id == it.ID })
		for i := range without {
			near(t, "without "+it.ID, it.WithoutP[i], without[i]/total(without), 1e-10)
			near(t, "alone "+it.ID, it.Alone[i], alone[i]/total(alone), 1e-10)
		}
	}
}

// The predictive chance of each variant is the evidence with it over the evidence
// without a look.
func TestSlotSurpriseEqualsEnumeration(t *testing.T) {
	s := subject(t)
	s.Span.First = edtf.MonthOf(1965, 6)
	r, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	for k := range 2 {
		x := s.Slots[k]
		without, _ := enumerate(s, func(id string) bool { return id != x.ID })
		chance := make(map[string]float64)
		sum := 0.0
		for _, v := range append([]string{Unknown}, ids(x.Variants)...) {
			s.Slots[k].Seen = v
			with, _ := enumerate(s, func(string) bool { return true })
			chance[v] = total(with) / total(without)
			sum += chance[v]
		}
		s.Slots[k].Seen = x.Seen
		near(t, "outcomes", sum, 1, 1e-10)
		want := 0.0
		for _, p := range chance {
			if p <= chance[x.Seen]*(1+1e-9) {
				want += p
			}
		}
		near(t, x.Name, r.Slots[k].Surprise, want, 1e-10)
	}
}

// A name that is right for certain makes the chance what it is with a confidence of
// 1; the two ways of being named mix to POriginal.
func TestAsNamedIsCertaintyOfTheName(t *testing.T) {
	s := subject(t)
	r, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Slots[0].Confidence = 1
	sure, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "as named", r.Slots[0].AsNamed, sure.Slots[0].POriginal, 1e-12)
	near(t, "sure as named", sure.Slots[0].AsNamed, sure.Slots[0].POriginal, 1e-12)
	near(t, "sure of the name", sure.Slots[0].NamedRight, 1, 1e-12)
	all, _ := enumerate(s, func(string) bool { return true })
	s.Slots[0].Confidence = 0.9
	mixed, _ := enumerate(s, func(string) bool { return true })
	near(t, "named right", r.Slots[0].NamedRight, 0.9*total(all)/total(mixed), 1e-10)
}

func ids(vs []Variant) []string {
	var out []string
	for _, v := range vs {
		out = append(out, v.ID)
	}
	return out
}

// The gain of a look equals the mean of what Infer says after each thing that may
// be seen.
func TestExpectedGainEqualsInferAfterEachOutcome(t *testing.T) {
	s := subject(t)
	now, err := Infer(s)
	if err != nil {
		t.Fatal(err)
	}
	const hands = 3
	all, _ := enumerate(s, func(string) bool { return true })
	var want Gain
	for _, v := range []string{"sword", "stick", Unknown} {
		s.Slots[hands].Seen, s.Slots[hands].ID, s.Slots[hands].Confidence = v, "hands seen", 0.9
		with, _ := enumerate(s, func(string) bool { return true })
		chance := total(with) / total(all)
		after, err := Infer(s)
		if err != nil {
			t.Fatal(err)
		}
		want.DateBits += chance * (now.Entropy() - after.Entropy())
		for k := range s.Slots {
			a, b := now.Slots[k].POriginal, after.Slots[k].POriginal
			want.PartBits += chance * (entropy([]float64{a, 1 - a}) - entropy([]float64{b, 1 - b}))
			want.WrongCalls += chance * (math.Min(a, 1-a) - math.Min(b, 1-b))
		}
	}
	s.Slots[hands].Seen, s.Slots[hands].Confidence = "", 0
	got, err := ExpectedGain(s, Candidate{Kind: KindSlot, Slot: "hands", Confidence: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "date", got.DateBits, want.DateBits, 1e-9)
	near(t, "parts", got.PartBits, want.PartBits, 1e-9)
	near(t, "wrong calls", got.WrongCalls, math.Max(0, want.WrongCalls), 1e-9)
	if got.DateBits <= 0.01 {
		t.Errorf("a look at the hands gives %v bits, want some", got.DateBits)
	}
}

// A number whose scatter is far smaller than the doubt leaves the entropy of its own
// scatter: for Student's t of many degrees of freedom ½·log2(2πe·s²).
func TestGainOfNumberLeavesItsScatter(t *testing.T) {
	anchors := make([]Anchor, 1200) // one each month: no doubt about the curve
	for i := range anchors {
		anchors[i] = Anchor{Number: int64(i + 1), Month: edtf.MonthOf(1900, 1) + edtf.Month(i)}
	}
	curve, err := NewCurve(anchors)
	if err != nil {
		t.Fatal(err)
	}
	s := Subject{Span: Span{First: edtf.MonthOf(1930, 1), Last: edtf.MonthOf(1979, 12)}}
	got, err := ExpectedGain(s, Candidate{Kind: KindSerial,
		Serial: Serial{Curve: curve, ScatterMonths: 5, DegreesOfFreedom: 1e5}})
	if err != nil {
		t.Fatal(err)
	}
	left := 0.5 * math.Log2(2*math.Pi*math.E*(25+1.0/12))
	near(t, "bits", got.DateBits, math.Log2(600)-left, 0.01) // the ends of the span sharpen it a little
}

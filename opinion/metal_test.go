package opinion_test

import (
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
)

// goldSpot is 100 EUR a gram of fine gold, platinum and silver alike: a troy ounce is
// 31.1034768 g.
func goldSpot() []opinion.SpotPrice {
	var out []opinion.SpotPrice
	for _, e := range []string{"gold", "silver", "platinum"} {
		out = append(out, opinion.SpotPrice{Element: e, PerTroyOunce: money.MustParse("3110.35", "EUR"),
			Date: "2026-02-27"})
	}
	return out
}

func metalOf(t *testing.T, reference string, data ...evidence.Data) opinion.Opinion {
	t.Helper()
	w := watchOf(reference, data...)
	if err := w.Check(day(200)); err != nil {
		t.Fatal(err)
	}
	o, err := opinion.Form(evidence.Fold(w, day(100)), theBook(t), nil, opinion.Settings{Spots: goldSpot()}, day(100))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func hallmark(slot evidence.Slot, text string) evidence.Data {
	return &evidence.Mark{What: evidence.MarkHallmark, Slot: slot, Text: text}
}

// A mark that cannot be that of an 18 karat case leaves no gold and no floor, names the
// contradiction and breaks the rule of the case's fineness.
func TestNoGoldOfAnotherMark(t *testing.T) {
	for _, text := range []string{"925", "PT950", "875", "14K gold filled", "18K gold plated 20 microns", "plaqué or",
		"stainless steel", "18K on sterling", "14K", "585", "900", "nickel", "German silver", "1/20 10K", "vermeil",
		"18K G.P.", "56"} {
		for _, slot := range []evidence.Slot{evidence.Case, evidence.CaseBack, ""} {
			o := metalOf(t, "KR-8-18", fitted(evidence.Case, "gold18"), hallmark(slot, text))
			if o.Metal.FineG != nil || o.Metal.MeltFloor != nil || o.Metal.Contradiction == nil ||
				len(o.Metal.Parts) > 0 ||
				!strings.Contains(o.Metal.Says.String(), text) {
				t.Errorf("%q on %q: %s (%v, %v)", text, slot, o.Metal.Says, o.Metal.FineG, o.Metal.MeltFloor)
			}
			broken := false
			for _, r := range o.Rules {
				broken = broken || r.Broken && strings.Contains(r.Reason.String(), text)
			}
			if !broken {
				t.Errorf("%q on %q breaks no rule", text, slot)
			}
		}
	}
	for _, text := range []string{"18K", "750", "0.755 18K", "head of a woman", "gold"} {
		if o := metalOf(t, "KR-8-18", hallmark(evidence.Case, text)); o.Metal.FineG == nil ||
			o.Metal.MeltFloor == nil {
			t.Errorf("%q: %s", text, o.Metal.Says)
		}
	}
}

// Two marks on one case: whichever comes last, both are named and neither wins.
func TestTwoMarksOnOneCase(t *testing.T) {
	for _, pair := range [][2]string{{"18K", "925"}, {"925", "18K"}, {"750", "18K gold plated"}, {"14K", "750"}} {
		o := metalOf(t, "KR-8-18", hallmark(evidence.Case, pair[0]), hallmark(evidence.CaseBack, pair[1]))
		if o.Metal.MeltFloor != nil || o.Metal.FineG != nil {
			t.Errorf("%v: %s", pair, o.Metal.Says)
		}
	}
	if o := metalOf(t, "KR-8-18", hallmark(evidence.Case, "18K"), hallmark(evidence.CaseBack,
		"0.750")); o.Metal.MeltFloor == nil {
		t.Errorf("two that agree: %s", o.Metal.Says)
	}
}

// A steel back in a gold case is not gold, and the case still is.
func TestMarkOfOnePart(t *testing.T) {
	whole := metalOf(t, "KR-8-18", hallmark(evidence.Case, "18K"))
	back := metalOf(t, "KR-8-18", hallmark(evidence.Case, "18K"), hallmark(evidence.CaseBack, "stainless steel back"))
	if back.Metal.FineG == nil || *back.Metal.FineG >= *whole.Metal.FineG ||
		!strings.Contains(back.Metal.Says.String(), "left out") {
		t.Errorf("%s", back.Metal.Says)
	}
}

// Each precious metal of a watch is reckoned apart, the floor is of both.
func TestTwoPreciousMetals(t *testing.T) {
	book := theBook(t)
	_, r, ok := book.Reference("Corvane", "KR-8-18")
	if !ok {
		t.Fatal("no reference")
	}
	old := r.Weights
	defer func() { r.Weights = old }()
	for i, w := range r.Weights {
		if w.Part == "case_back" {
			r.Weights = append(r.Weights[:i:i], r.Weights[i+1:]...)
		}
	}
	m, _ := book.Maker("Corvane")
	metals := m.Metals
	defer func() { m.Metals = metals }()
	m.Metals = append(metals[:len(metals):len(metals)], metals[0])
	m.Metals[len(metals)].ID, m.Metals[len(metals)].Element, m.Metals[len(metals)].Fineness = "silver925", "silver",
		925
	back := old[0]
	back.Part, back.G, back.Metal = "case_back", 10, "silver925"
	r.Weights = append(r.Weights[:len(r.Weights):len(r.Weights)], back)
	o := metalOf(t, "KR-8-18")
	if len(o.Metal.Elements) != 2 || o.Metal.Elements[1].Element != "silver" || o.Metal.Elements[1].FineG != 9.25 {
		t.Fatalf("%+v, %s", o.Metal.Elements, o.Metal.Says)
	}
	sum, err := o.Metal.Elements[0].MeltFloor.Add(*o.Metal.Elements[1].MeltFloor)
	if err != nil || o.Metal.MeltFloor.String() != sum.String() {
		t.Errorf("%v is not %v", o.Metal.MeltFloor, sum)
	}
}

// The whole head and the case parts count, with movement and crystal taken off; bezel
// and back never twice.
func TestWeighings(t *testing.T) {
	air := func(what string, g float64) evidence.Data { return &evidence.Weighing{What: what, In: "air", G: g} }
	// By the book: case 39, bezel 5.8, back 17.5, movement 17 g; crystal, dial and hands, of
	// which it has no weight, are taken as 4.2 g.
	gross := func(o opinion.Opinion) float64 {
		sum := 0.0
		for _, p := range o.Metal.Parts {
			sum += p.G
		}
		return sum
	}
	byBook := gross(metalOf(t, "KR-8-18"))
	for _, c := range []struct {
		name string
		data []evidence.Data
		want float64
	}{
		{"case parts", []evidence.Data{air("case_parts", 63)}, 63},
		{"head", []evidence.Data{air("head", 84.2)}, 63},
		{"case parts and the bezel by itself", []evidence.Data{air("case_parts", 63), air("bezel", 6)}, 63},
		{"case parts and head", []evidence.Data{air("case_parts", 63), air("head", 84.2)}, 63},
		{"case with bezel and back", []evidence.Data{air("case", 62)}, 62},
		{"case by itself", []evidence.Data{air("case", 39.5)}, byBook + 0.5},
		{"all apart", []evidence.Data{air("case", 39.5), air("bezel", 6), air("case_back", 17)}, 62.5},
		{"a slip of the point", []evidence.Data{air("case", 3.9)}, byBook},
	} {
		o := metalOf(t, "KR-8-18", c.data...)
		if d := gross(o) - c.want; d > 0.01 || d < -0.01 {
			t.Errorf("%s: %.2f g, want %.2f: %s %+v", c.name, gross(o), c.want, o.Metal.Says, o.Metal.Parts)
		}
	}
	odd := metalOf(t, "KR-8-18", air("case", 3.9))
	if !strings.Contains(odd.Metal.Says.String(), "3.90 g can hardly be right for the case") {
		t.Errorf("%s", odd.Metal.Says)
	}
	strap := metalOf(t, "KR-8-18", fitted(evidence.Bracelet, "strap"), air("watch", 90))
	if !strings.Contains(strap.Metal.Says.String(), "includes the strap") {
		t.Errorf("%s", strap.Metal.Says)
	}
}

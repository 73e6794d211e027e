package condition

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"midcase/say"
)

func grade(t interface{ Fatal(...any) }, in Input) Result {
	r, err := Grade(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func slotOf(t interface{ Fatal(...any) }, r Result, slot string) SlotGrade {
	for _, s := range r.Slots {
		if s.Slot == slot {
			return s
		}
	}
	t.Fatal("no slot " + slot)
	return SlotGrade{}
}

// By hand from the rubric.
func TestGradeOfSlot(t *testing.T) {
	for _, c := range []struct {
		name string
		slot string
		in   Input
		want float64
	}{
		{"seen, nothing found", "hands", Input{Fitted: []string{"hands"}}, 9},
		{"looked for, not found", "dial", Input{Findings: []Finding{{Slot: "dial", Term: "moisture"}}}, 9},
		{"as new", "dial", Input{Findings: []Finding{{Slot: "dial", Term: "as_new"}}}, 10},
		{"unpolished", "case", Input{Findings: []Finding{{Slot: "case", Term: "unpolished"}}}, 9.6},
		{"unpolished with sharp edges", "case", Input{Findings: []Finding{{Slot: "case", Term: "unpolished"},
			{Slot: "case", Term: "sharp_edges"}}}, 9.9},
		{"the same good point twice", "case", Input{Findings: []Finding{{Slot: "case", Term: "unpolished"},
			{Slot: "case", Term: "unpolished"}}}, 9.6},
		{"light scratches", "case", Input{Findings: []Finding{{Slot: "case", Term: "scratches", Severity: 2}}}, 8.2},
		{"over a tenth", "case", Input{Findings: []Finding{{Slot: "case", Term: "scratches", Severity: 2,
			Extent: 0.1}}}, 9 - 0.8*0.76},
		{"all over", "case", Input{Findings: []Finding{{Slot: "case", Term: "scratches", Severity: 2, Extent: 1}}},
			9 - 0.8*1.3},
		{"polished and dented", "case", Input{Findings: []Finding{{Slot: "case", Term: "polished", Severity: 2},
			{Slot: "case", Term: "dents", Severity: 3}}}, 9 - 2.3 - 0.6*1.2},
		{"said to be unpolished, but polished", "case", Input{Findings: []Finding{{Slot: "case", Term: "unpolished"},
			{Slot: "case", Term: "polished", Severity: 1}}}, 8.5},
		{"refinished", "dial", Input{Findings: []Finding{{Slot: "dial", Term: "refinished", Severity: 1}}}, 4},
		{"relumed", "dial", Input{Findings: []Finding{{Slot: "dial", Term: "relume", Severity: 1}}}, 6},
		{"cracked through", "crystal", Input{Findings: []Finding{{Slot: "crystal", Term: "cracks", Severity: 4}}}, 2},
		{"no grade is under 1", "dial", Input{Findings: []Finding{{Slot: "dial", Term: "refinished", Severity: 4},
			{Slot: "dial", Term: "moisture", Severity: 4}}}, 1},
		{"droop of 0.1", "bracelet", Input{Measures: []Measure{{Kind: "stretch_droop", Value: 15, FreeLengthMM: 150}}},
			8},
		{"elongation of 3 %", "bracelet", Input{Measures: []Measure{{Kind: "stretch_length", Value: 3, PullN: 4.9}}},
			9 - 3.5},
		{"stretch seen and measured is one defect", "bracelet",
			Input{Findings: []Finding{{Slot: "bracelet", Term: "stretch", Severity: 2}},
				Measures: []Measure{{Kind: "stretch_length", Value: 2}}}, 6.5},
		{"stretch seen is worse than measured", "bracelet",
			Input{Findings: []Finding{{Slot: "bracelet", Term: "stretch", Severity: 2}},
				Measures: []Measure{{Kind: "stretch_length", Value: 1}}}, 7.6},
		{"amplitude", "movement", Input{Measures: []Measure{{Kind: "amplitude_deg", Value: 230}}}, 7.5},
		{"healthy amplitude", "movement", Input{Measures: []Measure{{Kind: "amplitude_deg", Value: 290}}}, 9},
		{"slow", "movement", Input{Measures: []Measure{{Kind: "rate_mean", Value: -45}}}, 8},
		{"lug loss", "case", Input{Measures: []Measure{{Kind: "lug_loss_mm", Value: 0.3}}}, 7.25},
		{"lug gain is no loss", "case", Input{Measures: []Measure{{Kind: "lug_loss_mm", Value: -0.1}}}, 9},
	} {
		c.in.Whole = true // by the definition; what is not recorded is not there
		s := slotOf(t, grade(t, c.in), c.slot)
		if !s.Known || math.Abs(s.Grade-c.want) > 1e-9 {
			t.Errorf("%s: %.3f, want %.3f", c.name, s.Grade, c.want)
		}
		if len(s.Reasons) == 0 || s.Low > s.Grade || s.High < s.Grade || s.Low < 1 || s.High > 10 {
			t.Errorf("%s: %+v", c.name, s)
		}
	}
}

// Naming a part judges nothing, nor does a rate judge a movement: not examined, at what is
// usual, with a wide range.
func TestNotExamined(t *testing.T) {
	named := grade(t, Input{Fitted: Slots(), RelevantSlots: Slots()})
	for _, s := range named.Slots {
		if s.Known || s.High-s.Low < 4.5 || s.Grade != rubric.Ceiling[0] ||
			!strings.Contains(s.Reasons[0].Says.String(), "not examined") {
			t.Errorf("%+v", s)
		}
	}
	if named.Known || math.Abs(named.Overall-7.5) > 1e-9 || named.High-named.Low < 2 {
		t.Errorf("%+v", named)
	}
	timed := grade(t, Input{Fitted: Slots(), Measures: []Measure{{Kind: "rate_mean", Value: 3}, {Kind: "amplitude_deg",
		Value: 290}}})
	if s := slotOf(t, timed, "movement"); s.Known || s.High-s.Low < 4.5 {
		t.Errorf("a movement that nobody opened: %+v", s)
	}
	mild := slotOf(t, grade(t, Input{Findings: []Finding{{Slot: "dial", Term: "patina", Severity: 1}}}), "dial")
	if !mild.Known || mild.High-mild.Low < 3 || mild.Grade > 7.5 {
		t.Errorf("one mild patina says little of the rest of a dial: %+v", mild)
	}
	if r := grade(t, Input{}); r.Known || len(r.Slots) != 2 {
		t.Errorf("nothing known: %+v", r)
	}
}

func TestGoodPointsNarrow(t *testing.T) {
	seen := slotOf(t, grade(t, Input{Fitted: []string{"case"}}), "case")
	good := slotOf(t, grade(t, Input{Findings: []Finding{{Slot: "case", Term: "unpolished"}, {Slot: "case",
		Term: "sharp_edges"}, {Slot: "case", Term: "dents"}}}), "case")
	if good.High-good.Low >= seen.High-seen.Low || good.Grade < 9.5 {
		t.Errorf("%+v beside %+v", good, seen)
	}
}

// What two people record of one fault is one fault with two witnesses; another place is
// another fault.
func TestOneFaultCountsOnce(t *testing.T) {
	once := Finding{ID: "a", Slot: "dial", Term: "refinished", Severity: 1}
	again := Finding{ID: "b", Slot: "dial", Term: "refinished", Severity: 1}
	one, two := grade(t, Input{Findings: []Finding{once}}), grade(t, Input{Findings: []Finding{once, again}})
	s := slotOf(t, two, "dial")
	if s.Grade != 4 || s.Grade != slotOf(t, one, "dial").Grade || one.Overall != two.Overall || one.High != two.High ||
		!slices.Equal(s.Reasons[0].IDs, []string{"a", "b"}) ||
		!strings.Contains(s.Reasons[0].Says.String(), "recorded 2 times") {
		t.Errorf("%+v beside %+v", one, two)
	}
	at := func(id, where string, severity int) Finding {
		return Finding{ID: id, Slot: "case", Term: "dents", Severity: severity, Where: where}
	}
	for _, c := range []struct {
		name string
		in   []Finding
		want float64
	}{
		{"two places", []Finding{at("a", "at 4", 2), at("b", "at 7", 2)}, 9 - 1.2 - 0.6*1.2},
		{"one place, written twice", []Finding{at("a", "at 4", 2), at("b", " At  4", 2)}, 9 - 1.2},
		{"one place and none stated", []Finding{at("a", "at 4", 2), at("b", "", 1)}, 9 - 1.2},
		{"none stated and worse", []Finding{at("a", "at 4", 1), at("b", "", 3)}, 9 - 2.3},
		{"refinished and relumed is one job", []Finding{{Slot: "dial", Term: "refinished", Severity: 2},
			{Slot: "dial", Term: "relume", Severity: 2}}, 4},
	} {
		r := grade(t, Input{Findings: c.in, Whole: true})
		if s := slotOf(t, r, c.in[0].Slot); math.Abs(s.Grade-c.want) > 1e-9 {
			t.Errorf("%s: %g, want %g", c.name, s.Grade, c.want)
		}
	}
}

// What cannot both be true is said, and the worse counts.
func TestContradictionsAreSaid(t *testing.T) {
	for _, c := range []struct {
		in   Input
		slot string
		says string
	}{
		{Input{Findings: []Finding{{Slot: "crystal", Term: "as_new"}, {Slot: "crystal", Term: "cracks", Severity: 2}}},
			"crystal", "recorded as as new, which does not count beside cracks"},
		{Input{Findings: []Finding{{Slot: "case", Term: "polished"}, {Slot: "case", Term: "polished", Severity: 3}}},
			"case", "one record finds no polished, another does"},
		{Input{Findings: []Finding{{Slot: "case", Term: "unpolished"}}, Measures: []Measure{{Kind: "case_loss_mm",
			Value: 0.3}}}, "case", "recorded as unpolished, which does not count beside case size lost"},
	} {
		s := slotOf(t, grade(t, c.in), c.slot)
		var all []string
		for _, r := range s.Reasons {
			all = append(all, r.Says.String())
		}
		if !strings.Contains(strings.Join(all, "; "), c.says) {
			t.Errorf("%q does not say %q", all, c.says)
		}
	}
	none := slotOf(t, grade(t, Input{Fitted: []string{"case"}, Measures: []Measure{{Kind: "case_loss_mm"}}}), "case")
	if strings.Contains(none.Reasons[0].Says.String(), "lost") {
		t.Errorf("nothing lost is a reason: %+v", none.Reasons)
	}
}

// A small part that can be put right holds the watch down by little, less than a case
// polished out of shape; box and papers by nothing.
func TestSmallPartsDoNotRule(t *testing.T) {
	of := func(f ...Finding) Result { return grade(t, Input{Fitted: Slots(), Findings: f, Whole: true}) }
	sound := of()
	cracked := of(Finding{Slot: "crystal", Term: "cracks", Severity: 4})
	polished := of(Finding{Slot: "case", Term: "polished", Severity: 4})
	if d := sound.Overall - cracked.Overall; d <= 0 || d > 0.2 || d > (sound.Overall-polished.Overall)/5 {
		t.Errorf("a cracked crystal takes %g, a case out of shape %g", d, sound.Overall-polished.Overall)
	}
	if cracked.Right != sound.Overall || len(cracked.PutRight) != 1 || cracked.PutRight[0].Slot != "crystal" {
		t.Errorf("%+v", cracked)
	}
	if box := of(Finding{Slot: "box", Term: "broken", Severity: 4}); box.Overall != sound.Overall {
		t.Errorf("a broken box takes %g", sound.Overall-box.Overall)
	}
	dirty := of(Finding{Slot: "movement", Term: "dirty", Severity: 3})
	if dirty.Right != sound.Overall || dirty.PutRight[0].By != "service" {
		t.Errorf("%+v", dirty)
	}
	if rust := of(Finding{Slot: "movement", Term: "rust", Severity: 3}); rust.Right != rust.Overall {
		t.Errorf("rust does not go away by a service: %+v", rust)
	}
}

func TestOneBadPartHoldsDown(t *testing.T) {
	in := Input{Fitted: Slots(), Findings: []Finding{{ID: "ev1", Slot: "dial", Term: "refinished", Severity: 4},
		{Slot: "case", Term: "unpolished"}}}
	r := grade(t, in)
	if s := slotOf(t, r, "dial"); s.Grade != 2 {
		t.Fatalf("dial %g", s.Grade)
	}
	if !r.Known || r.Overall >= 5 || r.HeldBy != "dial" || !slices.ContainsFunc(r.Reasons,
		func(s say.Statement) bool { return strings.HasPrefix(s.String(), "Held down by the dial") }) {
		t.Errorf("%+v", r)
	}
	if r := grade(t, Input{Fitted: Slots(), Whole: true}); r.HeldBy != "" || math.Abs(r.Overall-9) > 1e-9 {
		t.Errorf("nothing holds it down: %+v", r)
	}
}

// The power mean by hand: weights 3, 3 and 1.5, grades 9, 4 and 9.
func TestOverallFormula(t *testing.T) {
	r := grade(t, Input{Fitted: []string{"case", "dial", "hands"}, Whole: true,
		Findings: []Finding{{Slot: "dial", Term: "refinished", Severity: 1}}})
	want := 1 / math.Sqrt((3/81.0+3/16.0+1.5/81.0)/7.5)
	if math.Abs(r.Overall-want) > 1e-12 {
		t.Errorf("%g, want %g", r.Overall, want)
	}
}

func TestReasonsNameEvidence(t *testing.T) {
	r := grade(t, Input{Findings: []Finding{{ID: "ev7", Slot: "case", Term: "dents", Severity: 2, Extent: 0.1,
		Note: "lower left lug"}}})
	reason := slotOf(t, r, "case").Reasons[0]
	if !slices.Equal(reason.IDs, []string{"ev7"}) ||
		reason.Says.String() != "dents: some, small (over 10 % of it); lower left lug" ||
		math.Abs(reason.Points-1.2*0.76) > 1e-9 {
		t.Errorf("%+v", reason)
	}
}

func TestGradeWords(t *testing.T) {
	for g, want := range map[float64]string{10: "as it left the factory", 9.5: "as it left the factory",
		9.4: "very fine, next to no wear", 7: "good, honest wear", 1: "beyond use", 0: "beyond use",
		12: "as it left the factory"} {
		if got := GradeWords(g).String(); got != want {
			t.Errorf("%g: %q, want %q", g, got, want)
		}
	}
	if GradeWords(math.NaN()).String() != "no overall grade" {
		t.Error("NaN has words")
	}
}

func TestBadInput(t *testing.T) {
	for found, in := range map[string]Input{
		`slot "lid"`:          {Findings: []Finding{{ID: "ev1", Slot: "lid", Term: "dents", Severity: 1}}},
		`term "haunted"`:      {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "haunted", Severity: 1}}},
		`is not said of dial`: {Findings: []Finding{{ID: "ev1", Slot: "dial", Term: "stretch", Severity: 1}}},
		`severity 5`:          {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: 5}}},
		`severity -1`:         {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: -1}}},
		`good point`:          {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "unpolished", Severity: 2}}},
		`extent NaN`: {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: 2,
			Extent: math.NaN()}}},
		`extent 1.5`: {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: 2,
			Extent: 1.5}}},
		`kind "beauty"`:         {Measures: []Measure{{ID: "ev1", Kind: "beauty", Value: 1}}},
		`value is not a number`: {Measures: []Measure{{ID: "ev1", Kind: "amplitude_deg", Value: math.NaN()}}},
		`value -3`:              {Measures: []Measure{{ID: "ev1", Kind: "amplitude_deg", Value: -3}}},
		`free_length_mm 0`:      {Measures: []Measure{{ID: "ev1", Kind: "stretch_droop", Value: 3}}},
		`u -1`:                  {Measures: []Measure{{ID: "ev1", Kind: "amplitude_deg", Value: 3, U: -1}}},
		`fitted: slot "lid"`:    {Fitted: []string{"lid"}},
		`relevant slots: slot`:  {RelevantSlots: []string{"lid"}},
	} {
		r, err := Grade(in)
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), found) {
			t.Errorf("%s: %v", found, err)
		}
		if !reflect.DeepEqual(r, Result{}) {
			t.Errorf("%s: a result came with the error", found)
		}
	}
}

func TestArgumentsUnchanged(t *testing.T) {
	in := Input{Findings: []Finding{{Slot: "dial", Term: "spotting", Severity: 3},
		{Slot: "case", Term: "dents", Severity: 4}, {Slot: "case", Term: "polished", Severity: 1}},
		Measures: []Measure{{Kind: "beat_error_ms", Value: 2}, {Kind: "amplitude_deg",
			Value: 200}}, Fitted: []string{"papers", "hands"}, RelevantSlots: []string{"movement", "case"}}
	before := Input{Findings: slices.Clone(in.Findings), Measures: slices.Clone(in.Measures),
		Fitted: slices.Clone(in.Fitted), RelevantSlots: slices.Clone(in.RelevantSlots)}
	grade(t, in)
	if !reflect.DeepEqual(in, before) {
		t.Error("the input was changed")
	}
}

func BenchmarkGrade(b *testing.B) {
	in := Input{Fitted: Slots(), Measures: []Measure{{Kind: "stretch_droop", Value: 12, FreeLengthMM: 100},
		{Kind: "amplitude_deg", Value: 250}}}
	for _, s := range []string{"case", "dial", "hands"} {
		in.Findings = append(in.Findings, Finding{Slot: s, Term: "scratches", Severity: 1})
	}
	for b.Loop() {
		if _, err := Grade(in); err != nil {
			b.Fatal(err)
		}
	}
}

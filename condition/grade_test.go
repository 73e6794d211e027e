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
		s := slotOf(t, grade(t, c.in), c.slot)
		if !s.Known || math.Abs(s.Grade-c.want) > 1e-9 {
			t.Errorf("%s: %.3f, want %.3f", c.name, s.Grade, c.want)
		}
		if len(s.Reasons) == 0 || s.Low > s.Grade || s.High < s.Grade || s.Low < 1 || s.High > 10 {
			t.Errorf("%s: %+v", c.name, s)
		}
	}
}

func TestNotExamined(t *testing.T) {
	r := grade(t, Input{Fitted: []string{"case"}, RelevantSlots: []string{"case", "dial", "movement"}})
	if s := slotOf(t, r, "movement"); s.Known || !strings.Contains(s.Reasons[0].Says.String(), "not examined") {
		t.Errorf("%+v", s)
	}
	if r.Known {
		t.Error("an overall grade without the dial")
	}
	r = grade(t, Input{Fitted: []string{"case", "dial"}, RelevantSlots: []string{"case", "dial", "movement"}})
	all := grade(t, Input{Fitted: []string{"case", "dial", "movement"}})
	if !r.Known || r.Overall != 9 || r.High-r.Low <= all.High-all.Low {
		t.Errorf("what was not examined does not widen: %+v beside %+v", r, all)
	}
	if r := grade(t, Input{}); r.Known || len(r.Slots) != 2 {
		t.Errorf("nothing known: %+v", r)
	}
}

func TestGoodPointsNarrow(t *testing.T) {
	seen := slotOf(t, grade(t, Input{Fitted: []string{"case"}}), "case")
	good := slotOf(t, grade(t, Input{Findings: []Finding{{Slot: "case", Term: "unpolished"}}}), "case")
	if good.High-good.Low >= seen.High-seen.Low || good.Grade < 9.5 {
		t.Errorf("%+v beside %+v", good, seen)
	}
}

func TestOneBadPartHoldsDown(t *testing.T) {
	in := Input{Fitted: Slots(), Findings: []Finding{{ID: "ev1", Slot: "dial", Term: "refinished", Severity: 4}}}
	r := grade(t, in)
	if s := slotOf(t, r, "dial"); s.Grade != 2 {
		t.Fatalf("dial %g", s.Grade)
	}
	if !r.Known || r.Overall >= 5 || r.HeldBy != "dial" || !slices.ContainsFunc(r.Reasons,
		func(s say.Statement) bool { return strings.HasPrefix(s.String(), "Held down by the dial") }) {
		t.Errorf("%+v", r)
	}
	if r := grade(t, Input{Fitted: Slots()}); r.HeldBy != "" || math.Abs(r.Overall-9) > 1e-9 {
		t.Errorf("nothing holds it down: %+v", r)
	}
	box := grade(t, Input{Fitted: Slots(), Findings: []Finding{{Slot: "box", Term: "broken", Severity: 4}}})
	if box.Overall < 8 {
		t.Errorf("a broken box counts too much: %g", box.Overall)
	}
}

// The power mean by hand: weights 3, 3 and 1.5, grades 9, 4 and 9.
func TestOverallFormula(t *testing.T) {
	r := grade(t, Input{Fitted: []string{"case", "hands"}, Findings: []Finding{{Slot: "dial", Term: "refinished",
		Severity: 1}}})
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
	for g, want := range map[float64]string{10: "as it left the factory", 9.5: "as it left the factory", 9.4: "very fine, next to no wear", 7: "good, honest wear", 1: "beyond use", 0: "beyond use", 12: "as it left the factory"} {
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
		`slot "lid"`:            {Findings: []Finding{{ID: "ev1", Slot: "lid", Term: "dents", Severity: 1}}},
		`term "haunted"`:        {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "haunted", Severity: 1}}},
		`is not said of dial`:   {Findings: []Finding{{ID: "ev1", Slot: "dial", Term: "stretch", Severity: 1}}},
		`severity 5`:            {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: 5}}},
		`severity -1`:           {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: -1}}},
		`good point`:            {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "unpolished", Severity: 2}}},
		`extent NaN`:            {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: 2, Extent: math.NaN()}}},
		`extent 1.5`:            {Findings: []Finding{{ID: "ev1", Slot: "case", Term: "dents", Severity: 2, Extent: 1.5}}},
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
	before := Input{slices.Clone(in.Findings), slices.Clone(in.Measures), slices.Clone(in.Fitted),
		slices.Clone(in.RelevantSlots)}
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

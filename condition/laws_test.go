package condition

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func drawFinding(t *rapid.T, slots []string) Finding {
	slot := rapid.SampledFrom(slots).Draw(t, "slot")
	term := rapid.SampledFrom(TermsFor(slot)).Draw(t, "term")
	f := Finding{Slot: slot, Term: term.ID, Where: rapid.SampledFrom([]string{"", "", "at 4", "at 7"}).Draw(t,
		"where")}
	if !term.Good {
		f.Severity = rapid.IntRange(0, 4).Draw(t, "severity")
	}
	if rapid.Bool().Draw(t, "extent stated") {
		f.Extent = rapid.Float64Range(0.001, 1).Draw(t, "extent")
	}
	return f
}

func drawMeasure(t *rapid.T) Measure {
	m := Measure{Kind: rapid.SampledFrom(MeasureKinds()).Draw(t, "kind"), FreeLengthMM: 100}
	rule, _ := measureRule(m.Kind)
	m.Value = rapid.Float64Range(0, 1.3*rule.Curve[len(rule.Curve)-1][0]).Draw(t, "value")
	if m.Kind == "stretch_droop" {
		m.Value *= m.FreeLengthMM
	}
	m.U = rapid.Float64Range(0, 0.2).Draw(t, "u") * m.Value
	return m
}

// drawInput has any slots named and any slots relevant, so that a further finding often
// is the first of its slot.
func drawInput(t *rapid.T) Input {
	some := func(name string) []string {
		return rapid.SliceOfDistinct(rapid.SampledFrom(Slots()), func(s string) string { return s }).Draw(t, name)
	}
	in := Input{Fitted: some("fitted"), RelevantSlots: some("relevant")}
	for range rapid.IntRange(0, 8).Draw(t, "findings") {
		in.Findings = append(in.Findings, drawFinding(t, Slots()))
	}
	for range rapid.IntRange(0, 3).Draw(t, "measures") {
		in.Measures = append(in.Measures, drawMeasure(t))
	}
	return in
}

// lower fails where a grade of after, of a slot or overall, or the upper end of its range,
// is above before's. A slot that is new stood at what is usual before.
func lower(t *rapid.T, before, after Result) {
	const rounding = 1e-12
	was := map[string]SlotGrade{}
	for _, s := range before.Slots {
		was[s.Slot] = s
	}
	for _, s := range after.Slots {
		b, ok := was[s.Slot]
		if !ok {
			b = gradeSlot(s.Slot, Input{})
		}
		if s.Grade > b.Grade+rounding || s.High > b.High+rounding || s.Right > b.Right+rounding {
			t.Fatalf("%s rose from %+v to %+v", s.Slot, b, s)
		}
	}
	if after.Overall > before.Overall+rounding || after.High > before.High+rounding ||
		after.Right > before.Right+rounding {
		t.Fatalf("overall rose from %+v to %+v", before, after)
	}
}

func TestADefectNeverRaises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := grade(t, in)
		f := drawFinding(t, Slots())
		if term, _ := Lookup(f.Term); term.Good || f.Severity == 0 {
			return
		}
		in.Findings = append(slices.Clone(in.Findings), f)
		lower(t, before, grade(t, in))
	})
}

func TestAMeasureNeverRaises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := grade(t, in)
		in.Measures = append(slices.Clone(in.Measures), drawMeasure(t))
		lower(t, before, grade(t, in))
	})
}

func TestSeverityAndExtentNeverRaise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		if len(in.Findings) == 0 {
			return
		}
		before := grade(t, in)
		in.Findings = slices.Clone(in.Findings)
		f := &in.Findings[rapid.IntRange(0, len(in.Findings)-1).Draw(t, "which")]
		if term, _ := Lookup(f.Term); term.Good {
			return
		}
		f.Severity = rapid.IntRange(f.Severity, 4).Draw(t, "worse")
		if f.Extent > 0 {
			f.Extent = rapid.Float64Range(f.Extent, 1).Draw(t, "more")
		}
		lower(t, before, grade(t, in))
	})
}

func TestAGoodPointNeverLowers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		after := grade(t, in)
		f := drawFinding(t, Slots())
		if term, _ := Lookup(f.Term); !term.Good {
			return
		}
		in.Findings = append(slices.Clone(in.Findings), f)
		lower(t, grade(t, in), after)
	})
}

func TestOverallBetweenWorstAndBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.RelevantSlots = Slots()
		r := grade(t, in)
		low, high, sum, weights := 10.0, 1.0, 0.0, 0.0
		for _, s := range r.Slots {
			if !(1 <= s.Low && s.Low <= s.Grade && s.Grade <= s.High && s.High <= 10) {
				t.Fatalf("%+v", s)
			}
			w, g := rubric.Weights[s.Slot], s.Counts()
			if w > 0 {
				low, high = min(low, g), max(high, g)
			}
			sum, weights = sum+w*g, weights+w
		}
		if r.Overall < low-1e-9 || r.Overall > high+1e-9 || r.Overall > sum/weights+1e-9 {
			t.Fatalf("overall %g, slots from %g to %g with mean %g", r.Overall, low, high, sum/weights)
		}
		if !(1 <= r.Low && r.Low <= r.Overall+1e-12 && r.Overall <= r.High+1e-12 && r.High <= 10) {
			t.Fatalf("%g from %g to %g", r.Overall, r.Low, r.High)
		}
	})
}

// Recording again what is recorded changes nothing but the witnesses.
func TestADuplicateChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		if len(in.Findings) == 0 {
			return
		}
		before := grade(t, in)
		in.Findings = append(slices.Clone(in.Findings), rapid.SampledFrom(in.Findings).Draw(t, "again"))
		after := grade(t, in)
		for i, s := range after.Slots {
			b := before.Slots[i]
			if s.Grade != b.Grade || s.Low != b.Low || s.High != b.High {
				t.Fatalf("%+v became %+v", b, s)
			}
		}
		if after.Overall != before.Overall || after.Low != before.Low || after.High != before.High {
			t.Fatalf("%+v became %+v", before, after)
		}
	})
}

// Silence narrows nothing: a slot of which nothing is recorded has the widest range, and
// naming the part leaves it so.
func TestSilenceIsNoKnowledge(t *testing.T) {
	silent := gradeSlot("dial", Input{})
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		r := grade(t, in)
		in.Fitted = Slots()
		named := grade(t, in)
		for _, s := range r.Slots {
			if s.Known {
				continue
			}
			n := slotOf(t, named, s.Slot)
			if n.Known || n.Low != s.Low || n.High != s.High || n.Grade != s.Grade {
				t.Fatalf("naming %s: %+v became %+v", s.Slot, s, n)
			}
			if s.Low > silent.Low || s.Grade > silent.Grade || s.Slot != "movement" && s.High != silent.High {
				t.Fatalf("%+v of silence", s)
			}
		}
	})
}

func TestOrderOfFindingsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := grade(t, in)
		in.Findings = rapid.Permutation(in.Findings).Draw(t, "order")
		in.Measures = rapid.Permutation(in.Measures).Draw(t, "order of measures")
		after := grade(t, in)
		lower(t, before, after)
		lower(t, after, before)
	})
}

// A good point on a part that the watch need not have leaves the overall grade where it was.
func TestAGoodPointOnAnotherPartChangesNothing(t *testing.T) {
	in := Input{RelevantSlots: []string{"case"}, Findings: []Finding{{ID: "1", Slot: "case", Term: "as_new"},
		{ID: "2", Slot: "case", Term: "unpolished"}}}
	before, err := Grade(in)
	if err != nil {
		t.Fatal(err)
	}
	in.Findings = append(in.Findings, Finding{ID: "3", Slot: "bezel", Term: "as_new"})
	after, err := Grade(in)
	if err != nil || after.Overall != before.Overall || after.High != before.High || after.Low != before.Low {
		t.Errorf("%v: %.2f (%.2f to %.2f), before %.2f (%.2f to %.2f)", err, after.Overall, after.Low, after.High,
			before.Overall, before.Low, before.High)
	}
}

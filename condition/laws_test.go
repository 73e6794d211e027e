package condition

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func drawFinding(t *rapid.T, slots []string) Finding {
	slot := rapid.SampledFrom(slots).Draw(t, "slot")
	term := rapid.SampledFrom(TermsFor(slot)).Draw(t, "term")
	f := Finding{Slot: slot, Term: term.ID}
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

// drawInput has all slots examined, so that a further finding never makes one
// known.
func drawInput(t *rapid.T) Input {
	in := Input{Fitted: Slots()}
	for range rapid.IntRange(0, 8).Draw(t, "findings") {
		in.Findings = append(in.Findings, drawFinding(t, Slots()))
	}
	for range rapid.IntRange(0, 3).Draw(t, "measures") {
		in.Measures = append(in.Measures, drawMeasure(t))
	}
	return in
}

// lower fails where a grade of after, of a slot or overall, is above before's.
func lower(t *rapid.T, before, after Result) {
	const rounding = 1e-12
	for i, s := range after.Slots {
		if s.Grade > before.Slots[i].Grade+rounding {
			t.Fatalf("%s rose from %g to %g", s.Slot, before.Slots[i].Grade, s.Grade)
		}
	}
	if after.Overall > before.Overall+rounding {
		t.Fatalf("overall rose from %g to %g", before.Overall, after.Overall)
	}
}

func TestADefectNeverRaises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		before := grade(t, in)
		f := drawFinding(t, Slots())
		if term, _ := Lookup(f.Term); term.Good {
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
		in.Fitted = rapid.SliceOfDistinct(rapid.SampledFrom(Slots()), func(s string) string { return s }).Draw(t,
			"fitted")
		in.RelevantSlots = Slots()
		r := grade(t, in)
		low, high, sum, weights := 10.0, 1.0, 0.0, 0.0
		for _, s := range r.Slots {
			if !(1 <= s.Low && s.Low <= s.High && s.High <= 10) {
				t.Fatalf("%+v", s)
			}
			if s.Known {
				if !(s.Low <= s.Grade && s.Grade <= s.High) {
					t.Fatalf("%+v", s)
				}
				low, high = min(low, s.Grade), max(high, s.Grade)
				sum, weights = sum+rubric.Weights[s.Slot]*s.Grade, weights+rubric.Weights[s.Slot]
			}
		}
		if weights == 0 {
			return
		}
		if r.Overall < low-1e-9 || r.Overall > high+1e-9 || r.Overall > sum/weights+1e-9 {
			t.Fatalf("overall %g, slots from %g to %g with mean %g", r.Overall, low, high, sum/weights)
		}
		if !(1 <= r.Low && r.Low <= r.Overall+1e-12 && r.Overall <= r.High+1e-12 && r.High <= 10) {
			t.Fatalf("%g from %g to %g", r.Overall, r.Low, r.High)
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

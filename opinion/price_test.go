package opinion_test

import (
	"testing"

	"pgregory.net/rapid"

	"midcase/condition"
	"midcase/evidence"
	"midcase/opinion"
)

// A fault recorded on any part, examined before or not, raises neither grade nor price,
// nor the upper end of the grade's range; the same fault again changes nothing.
func TestAFaultNeverRaisesGradeOrPrice(t *testing.T) {
	fit, err := worldFit()
	if err != nil {
		t.Fatal(err)
	}
	book := theBook(t)
	form := func(t *rapid.T, data []evidence.Data) opinion.Opinion {
		o, err := opinion.Form(evidence.Fold(watchOf("KR-1", data...), day(100)), book, fit, opinion.Settings{},
			day(100))
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	finding := func(t *rapid.T, least int) *evidence.Finding {
		slot := rapid.SampledFrom(condition.Slots()).Draw(t, "slot")
		term := rapid.SampledFrom(condition.TermsFor(slot)).Draw(t, "term")
		f := &evidence.Finding{Slot: evidence.Slot(slot), Term: term.ID}
		if !term.Good {
			f.Severity = rapid.IntRange(least, 4).Draw(t, "severity")
		}
		return f
	}
	rapid.Check(t, func(t *rapid.T) {
		var data []evidence.Data
		for range rapid.IntRange(0, 5).Draw(t, "findings") {
			data = append(data, finding(t, 0))
		}
		if g := rapid.Float64Range(0, 10).Draw(t, "told"); g > 4 {
			data = append(data, &evidence.Claim{About: "condition", Text: "as told", Told: evidence.Told{Grade: g}})
		}
		fault := finding(t, 1)
		if fault.Severity == 0 {
			return
		}
		before, after := form(t, data), form(t, append(data, fault))
		if *after.Value.Median > *before.Value.Median*(1+2e-3) {
			t.Fatalf("%+v raises the value from %g to %g", fault, *before.Value.Median, *after.Value.Median)
		}
		if b, a := before.Condition, after.Condition; b.Overall != nil && *a.Overall > *b.Overall ||
			a.Interval[1] > b.Interval[1] {
			t.Fatalf("%+v raises the grade: %v %v to %v %v", fault, b.Overall, b.Interval, a.Overall, a.Interval)
		}
		again := form(t, append(data, fault, fault))
		if *again.Value.Median != *after.Value.Median || again.Condition.Interval != after.Condition.Interval {
			t.Fatalf("%+v counts twice", fault)
		}
	})
}

// What can be put right costs at most what putting it right costs.
func TestPuttingRightBoundsTheLoss(t *testing.T) {
	fit, err := worldFit()
	if err != nil {
		t.Fatal(err)
	}
	praise := []evidence.Data{&evidence.Finding{Slot: evidence.Case, Term: "unpolished"},
		&evidence.Finding{Slot: evidence.Dial, Term: "crisp_print"}, &evidence.Finding{Slot: evidence.Crystal,
			Term: "chips"},
		&evidence.Finding{Slot: evidence.Movement, Term: "clean_movement"}}
	sound := opinionOn(t, watchOf("KR-1", praise...), fit)
	for _, fault := range []evidence.Finding{{Slot: evidence.Crystal, Term: "cracks", Severity: 4},
		{Slot: evidence.Crown, Term: "worn", Severity: 4}, {Slot: evidence.Movement, Term: "magnetised",
			Severity: 4}} {
		o := opinionOn(t, watchOf("KR-1", append(praise[:len(praise):len(praise)], &fault)...), fit)
		loss := *sound.Value.Median - *o.Value.Median
		if len(o.Condition.PutRight) != 1 || loss < 0 || loss > o.Condition.PutRight[0].Cost[1] {
			t.Errorf("%+v costs %.0f: %+v", fault, loss, o.Condition.PutRight)
		}
	}
}

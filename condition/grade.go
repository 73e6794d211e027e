package condition

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/say"
)

// Input is what is known of one watch's condition.
type Input struct {
	Findings []Finding
	Measures []Measure
	// Fitted are the slots that have a part in them. Naming a part is no inspection: it
	// counts the slot in, and judges nothing.
	Fitted []string
	// RelevantSlots are the slots that this watch has or should have; those of which
	// nothing is recorded stand at what is usual and widen the overall range. Where
	// it is empty, or none of them weighs anything, case and dial are.
	RelevantSlots []string
	// Whole says that all there is to record is recorded: what was not found is not there.
	// The overall grade is then the grade as it is defined.
	Whole bool
	// Suppose are slots whose range is that after an inspection which changes no grade, for
	// working out what looking would bring.
	Suppose []string
}

// Finding is one thing seen on a slot.
type Finding struct {
	ID       string // of the evidence
	Slot     string
	Term     string
	Severity int     // 0 good point, or looked for and not found; 1–4 as the term says
	Extent   float64 // share of the part, 0–1; 0 is not stated
	Where    string  // the place on the part; findings of one term without different places are one
	Note     string
}

// Measure is one measured figure that bears on condition.
type Measure struct {
	ID    string
	Kind  string // one of MeasureKinds
	Value float64
	U     float64 // half width of the 95 % interval; 0 is not stated
	// FreeLengthMM is the length over which a droop was read; stretch_droop needs it
	// and grades Value (mm) divided by it.
	FreeLengthMM float64
	PullN        float64 // the pull of stretch_length, said in the reason
}

// Result is the condition of one watch. Grades are from 1 to 10.
type Result struct {
	Slots   []SlotGrade // in reading order, the unknown ones too
	Overall float64     // over all slots, those not examined at what is usual; to be shown only where Known
	Low     float64     // 90 % range of Overall
	High    float64
	Known   bool    // whether case and dial, without which no overall grade is given, were graded
	HeldBy  string  // the slot that holds the overall grade down most; empty where none stands out
	HeldFor float64 // by how much the overall would rise if that slot were at the top
	// Right is what Overall would be with the slots of PutRight put right; Overall where
	// there are none.
	Right    float64
	PutRight []PutRight
	Praised  bool // something speaks well of case and dial both
	Reasons  []say.Statement
}

// SlotGrade is the grade of one slot.
type SlotGrade struct {
	Slot      string
	Grade     float64
	Low, High float64 // 90 % range
	Known     bool    // false: not examined, cannot tell; Grade is then what is usual
	Right     float64 // grade once put right; Grade where nothing can be
	praised   int     // good points and faults looked for and not found
	Reasons   []Reason
}

// Reason is one thing that moved a grade.
type Reason struct {
	Says   say.Statement
	IDs    []string // of evidence
	Points float64  // taken off (positive) or added (negative), after the diminishing sum
	Cap    float64  // the grade that it holds the slot to; 0 where none
}

// ErrInput is wrapped by every error about what went in.
var ErrInput = errors.New("condition")

// Check tells whether Grade can count the finding: a slot and term of the lists, a
// term that fits the slot, a severity of 0–4 (0 for a good point), an extent of
// 0–1.
func (f Finding) Check() error {
	at := fmt.Sprintf("finding %q", f.ID)
	if !slices.Contains(Slots(), f.Slot) {
		return fmt.Errorf("%w: %s: slot %q: want one of %s", ErrInput, at, f.Slot, strings.Join(Slots(), ", "))
	}
	t, ok := find(f.Term)
	if !ok {
		return fmt.Errorf("%w: %s: term %q is not in the list; for %s there are %s", ErrInput, at, f.Term,
			slotName(f.Slot), idsFor(f.Slot))
	}
	if !t.Fits(f.Slot) {
		return fmt.Errorf("%w: %s: term %q is not said of %s; there are %s", ErrInput, at, f.Term, slotName(f.Slot),
			idsFor(f.Slot))
	}
	if f.Severity < 0 || f.Severity > 4 {
		return fmt.Errorf("%w: %s: severity %d: want 0 to 4", ErrInput, at, f.Severity)
	}
	if t.Good && f.Severity != 0 {
		return fmt.Errorf("%w: %s: severity %d: %q is a good point and has severity 0", ErrInput, at, f.Severity,
			t.Name)
	}
	if !(f.Extent >= 0 && f.Extent <= 1) {
		return fmt.Errorf("%w: %s: extent %g: want a share from 0 to 1", ErrInput, at, f.Extent)
	}
	return nil
}

func idsFor(slot string) string {
	var ids []string
	for _, t := range terms {
		if t.Fits(slot) {
			ids = append(ids, t.ID)
		}
	}
	return strings.Join(ids, ", ")
}

// Check tells whether Grade can count the measure.
func (m Measure) Check() error {
	at := fmt.Sprintf("measure %q", m.ID)
	if _, ok := measureRule(m.Kind); !ok {
		return fmt.Errorf("%w: %s: kind %q: want one of %s", ErrInput, at, m.Kind, strings.Join(MeasureKinds(), ", "))
	}
	for _, v := range []struct {
		field string
		x     float64
	}{{"value", m.Value}, {"u", m.U}, {"free_length_mm", m.FreeLengthMM}, {"pull_n", m.PullN}} {
		if math.IsNaN(v.x) || math.IsInf(v.x, 0) {
			return fmt.Errorf("%w: %s: %s is not a number", ErrInput, at, v.field)
		}
		if v.x < 0 && v.field != "value" {
			return fmt.Errorf("%w: %s: %s %g: want 0 or more", ErrInput, at, v.field, v.x)
		}
	}
	if m.Kind == "stretch_droop" && m.FreeLengthMM <= 0 {
		return fmt.Errorf("%w: %s: free_length_mm %g: want the free length over which the droop was read", ErrInput,
			at,
			m.FreeLengthMM)
	}
	signed := m.Kind == "rate_mean" || strings.HasSuffix(m.Kind, "_loss_mm") || m.Kind == "stretch_length"
	if m.Value < 0 && !signed {
		return fmt.Errorf("%w: %s: value %g: want 0 or more", ErrInput, at, m.Value)
	}
	return nil
}

// Grade computes the grade of each slot and of the whole. It errs on the first
// finding or measure that Check refuses, and on a slot that is not in Slots; the
// caller who wants to go on leaves those out and says so.
func Grade(in Input) (Result, error) {
	if err := in.check(); err != nil {
		return Result{}, err
	}
	var out Result
	for _, slot := range in.slots() {
		out.Slots = append(out.Slots, gradeSlot(slot, in))
	}
	overall(&out, in.counted())
	return out, nil
}

func (in Input) check() error {
	for _, f := range in.Findings {
		if err := f.Check(); err != nil {
			return err
		}
	}
	for _, m := range in.Measures {
		if err := m.Check(); err != nil {
			return err
		}
	}
	for _, list := range []struct {
		name  string
		slots []string
	}{{"fitted", in.Fitted}, {"relevant slots", in.RelevantSlots}} {
		for _, s := range list.slots {
			if !slices.Contains(Slots(), s) {
				return fmt.Errorf("%w: %s: slot %q: want one of %s", ErrInput, list.name, s,
					strings.Join(Slots(), ", "))
			}
		}
	}
	return nil
}

// slots lists the slots to grade, in reading order.
func (in Input) slots() []string {
	want := in.counted()
	for _, f := range in.Findings {
		want[f.Slot] = true
	}
	for _, m := range in.Measures {
		rule, _ := measureRule(m.Kind)
		want[rule.Slot] = true
	}
	var out []string
	for _, s := range Slots() {
		if want[s] {
			out = append(out, s)
		}
	}
	return out
}

// counted are the slots that count in the overall grade whatever is found; others count
// only where they lower it.
func (in Input) counted() map[string]bool {
	want := map[string]bool{}
	for _, s := range in.RelevantSlots {
		want[s] = true
	}
	for _, s := range in.Fitted {
		want[s] = true
	}
	weight := 0.0
	for s := range want {
		weight += rubric.Weights[s]
	}
	if len(in.RelevantSlots) == 0 || weight == 0 {
		want["case"], want["dial"] = true, true
	}
	return want
}

package condition

import (
	"math"

	"midcase/say"
)

// overall fills in the overall grade: the weighted power mean of the known slots
//
//	G = (Σ w g^p / Σ w)^(1/p), p = −2
//
// which lies between the lowest and the highest slot and leans to the lowest.
func overall(out *Result) {
	graded := map[string]bool{}
	var unknown []say.Value
	for _, s := range out.Slots {
		if s.Known {
			graded[s.Slot] = true
		} else {
			unknown = append(unknown, slotNoun(s.Slot))
		}
	}
	out.Known = graded["case"] && graded["dial"]
	if len(graded) == 0 {
		out.Low, out.High = rubric.NotExamined[0], rubric.NotExamined[1]
		out.Reasons = append(out.Reasons, say.That("grade.nothing-examined"))
		return
	}
	all := sumsOf(out.Slots)
	out.Overall = all.mean()
	out.Low, out.High = overallRange(out.Slots, all)
	if !out.Known {
		out.Reasons = append(out.Reasons, say.That("grade.needs-case-and-dial"))
	}
	holdDown(out, all)
	if len(unknown) > 0 {
		out.Reasons = append(out.Reasons, say.That("grade.open-slots", say.All("slots", unknown...)))
	}
}

// sums are Σ w·g^p and Σ w over the slots examined.
type sums struct{ powers, weights float64 }

func sumsOf(slots []SlotGrade) sums {
	var s sums
	for _, g := range slots {
		if g.Known {
			w := rubric.Weights[g.Slot]
			s.powers += w * math.Pow(g.Grade, rubric.Exponent)
			s.weights += w
		}
	}
	return s
}

func (s sums) mean() float64 { return math.Pow(s.powers/s.weights, 1/rubric.Exponent) }

// with is the overall grade if one slot had another grade; a slot that was not
// examined then counts too.
func (s sums) with(slot SlotGrade, grade float64) float64 {
	w := rubric.Weights[slot.Slot]
	if slot.Known {
		s.powers -= w * math.Pow(slot.Grade, rubric.Exponent)
		s.weights -= w
	}
	s.powers += w * math.Pow(grade, rubric.Exponent)
	s.weights += w
	return s.mean()
}

// overallRange moves one slot at a time to the ends of its range and adds the
// effects as independent; what was not examined may be anything from poor to fine.
func overallRange(slots []SlotGrade, all sums) (low, high float64) {
	overall := all.mean()
	var down, up float64
	for _, s := range slots {
		if d := overall - all.with(s, s.Low); d > 0 {
			down = math.Hypot(down, d)
		}
		if d := all.with(s, s.High) - overall; d > 0 {
			up = math.Hypot(up, d)
		}
	}
	return math.Max(rubric.Lowest, overall-down), math.Min(rubric.Top, overall+up)
}

// holdDown names the slot whose being at the top would raise the overall most, if
// that is a noticeable amount and the slot is under the overall grade.
func holdDown(out *Result, all sums) {
	for _, s := range out.Slots {
		if !s.Known || s.Grade >= out.Overall {
			continue
		}
		rise := all.with(s, rubric.Top) - out.Overall
		if rise >= rubric.HeldByAtLeast && rise > out.HeldFor {
			out.HeldBy, out.HeldFor = s.Slot, rise
		}
	}
	if out.HeldBy == "" {
		return
	}
	for _, s := range out.Slots {
		if s.Slot != out.HeldBy {
			continue
		}
		out.Reasons = append(out.Reasons, say.That("grade.held", say.Term("slot", "slot", s.Slot, ""),
			say.Fixed("grade", s.Grade, say.Grade, 1), say.Saying("why", binding(s))))
	}
}

// binding is what holds a slot's grade: the finding whose cap it is at,
// else the largest deduction.
func binding(s SlotGrade) say.Statement {
	for _, r := range s.Reasons {
		if r.Cap > 0 && r.Cap <= s.Grade {
			return r.Says
		}
	}
	return s.Reasons[0].Says
}

package condition

import (
	"cmp"
	"math"
	"slices"

	"midcase/say"
)

// overall fills in the overall grade: the weighted power mean of the slots
//
//	G = (Σ w g^p / Σ w)^(1/p), p = −2
//
// which lies between the lowest and the highest slot and leans to the lowest. A slot that
// nobody examined stands at what is usual. What can be put right holds a slot down by no
// more than the rubric says.
func overall(out *Result, counted map[string]bool) {
	known := map[string]bool{}
	var unknown []say.Value
	for _, s := range out.Slots {
		if s.Known {
			known[s.Slot] = true
		} else if counted[s.Slot] {
			unknown = append(unknown, slotNoun(s.Slot))
		}
	}
	out.Known = known["case"] && known["dial"]
	out.Praised = praised(out.Slots)
	out.Overall = mean(out.Slots, counted, SlotGrade.Counts)
	out.Low = mean(out.Slots, counted, func(s SlotGrade) float64 {
		return s.Counts() - rubric.ReachDown*(s.Counts()-math.Min(s.Counts(), math.Max(s.Low,
			s.floor()-rubric.Judged)))
	})
	out.High = mean(out.Slots, counted, func(s SlotGrade) float64 {
		return s.Counts() + rubric.ReachUp*math.Max(0, math.Max(s.High, s.floor()+rubric.Judged)-s.Counts())
	})
	out.Right = mean(out.Slots, counted, func(s SlotGrade) float64 { return s.Right })
	for _, s := range out.Slots {
		if p, ok := putRightOf(s.Slot); ok && s.Right > s.Grade {
			out.PutRight = append(out.PutRight, p)
		}
	}
	switch {
	case len(known) == 0:
		out.Reasons = append(out.Reasons, say.That("grade.nothing-examined"))
		return
	case !out.Known:
		out.Reasons = append(out.Reasons, say.That("grade.needs-case-and-dial"))
	}
	holdDown(out, counted)
	if len(unknown) > 0 {
		out.Reasons = append(out.Reasons, say.That("grade.open-slots", say.All("slots", unknown...)))
	}
}

// OverallOf is the overall grade of a watch whose slots count with these grades, by
// definition.
func OverallOf(grades map[string]float64) float64 {
	var slots []SlotGrade
	counted := map[string]bool{}
	for _, s := range Slots() {
		if g, ok := grades[s]; ok {
			slots, counted[s] = append(slots, SlotGrade{Slot: s, Grade: g}), true
		}
	}
	return mean(slots, counted, func(s SlotGrade) float64 { return s.Grade })
}

// praised reports whether something speaks well of case and dial both.
func praised(slots []SlotGrade) bool {
	n := 0
	for _, s := range slots {
		if (s.Slot == "case" || s.Slot == "dial") && s.praised > 0 {
			n++
		}
	}
	return n == 2
}

// Counts is the grade with which a slot counts: what can be put right holds it down by no
// more than the rubric says.
func (s SlotGrade) Counts() float64 { return math.Max(s.Grade, s.floor()) }

func (s SlotGrade) floor() float64 {
	p, ok := putRightOf(s.Slot)
	if !ok {
		return rubric.Lowest
	}
	return math.Max(rubric.Lowest, s.Right-p.Most)
}

// mean is the power mean of the slots that count. Others count where a fault on them lowers
// it, so that on a part that the watch need not have a fault never raises the grade and a
// good point never lowers it.
func mean(slots []SlotGrade, counted map[string]bool, grade func(SlotGrade) float64) float64 {
	var powers, weights float64
	type extra struct{ grade, weight float64 }
	var more []extra
	for _, s := range slots {
		w, g := rubric.Weights[s.Slot], grade(s)
		if !counted[s.Slot] {
			if s.faulted() {
				more = append(more, extra{g, w})
			}
			continue
		}
		powers += w * math.Pow(g, rubric.Exponent)
		weights += w
	}
	slices.SortFunc(more, func(a, b extra) int { return cmp.Compare(a.grade, b.grade) })
	for _, e := range more {
		if weights > 0 && e.grade >= math.Pow(powers/weights, 1/rubric.Exponent) {
			break
		}
		powers += e.weight * math.Pow(e.grade, rubric.Exponent)
		weights += e.weight
	}
	if weights == 0 {
		return rubric.Ceiling[0]
	}
	return math.Pow(powers/weights, 1/rubric.Exponent)
}

// faulted reports whether anything was found against the part.
func (s SlotGrade) faulted() bool {
	return slices.ContainsFunc(s.Reasons, func(r Reason) bool { return r.Points > 0 || r.Cap > 0 })
}

// holdDown names the slot whose being at the top would raise the overall most, if
// that is a noticeable amount and the slot is under the overall grade.
func holdDown(out *Result, counted map[string]bool) {
	for _, s := range out.Slots {
		if !s.Known || s.Counts() >= out.Overall {
			continue
		}
		rise := mean(out.Slots, counted, func(o SlotGrade) float64 {
			if o.Slot == s.Slot {
				return rubric.Top
			}
			return o.Counts()
		}) - out.Overall
		if rise >= rubric.HeldByAtLeast && rise > out.HeldFor {
			out.HeldBy, out.HeldFor = s.Slot, rise
		}
	}
	for _, s := range out.Slots {
		if s.Slot == out.HeldBy {
			out.Reasons = append(out.Reasons, say.That("grade.held", say.Term("slot", "slot", s.Slot, ""),
				say.Fixed("grade", s.Grade, say.Grade, 1), say.Saying("why", binding(s))))
		}
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

package condition

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"midcase/say"
)

// deduction is one thing that takes points off a slot, with the points it would
// take at the ends of its own uncertainty.
type deduction struct {
	key            string // findings and measures with one key are the same thing seen twice
	measured       bool
	says           say.Statement
	id             string
	points         float64
	least, most    float64
	cap            float64
	extentNotKnown bool
}

func gradeSlot(slot string, in Input) SlotGrade {
	out := SlotGrade{Slot: slot}
	var found []Finding
	for _, f := range in.Findings {
		if f.Slot == slot {
			found = append(found, f)
		}
	}
	measured := measuresOf(slot, in.Measures)
	out.Known = len(found)+len(measured) > 0 || slices.Contains(in.Fitted, slot)
	if !out.Known {
		out.Low, out.High = rubric.NotExamined[0], rubric.NotExamined[1]
		out.Reasons = []Reason{{Says: say.That("grade.not-examined")}}
		return out
	}
	lift, good := liftOf(found)
	seen := mergeSame(append(deductionsOf(found), measured...))
	total, bad := diminish(seen, func(d deduction) float64 { return d.points })
	least, _ := diminish(seen, func(d deduction) float64 { return d.least })
	most, _ := diminish(seen, func(d deduction) float64 { return d.most })
	cap := lowestCap(found)

	base := rubric.Start + lift
	out.Grade = bounded(base-total, cap)
	below, above := halfWidths(found, measured, len(good) > 0, seen)
	// What the items themselves leave open and what graders differ by are
	// independent.
	out.Low = bounded(out.Grade-math.Hypot(below, most-total), cap)
	out.High = bounded(out.Grade+math.Hypot(above, total-least), capHigh(cap))
	out.Reasons = append(bad, good...)
	if len(out.Reasons) == 0 {
		out.Reasons = []Reason{nothingFound(found)}
	}
	return out
}

func bounded(g, cap float64) float64 {
	return math.Max(rubric.Lowest, math.Min(g, cap))
}

// capHigh lets the range of a capped grade reach half a grade over the cap, since
// the severity that set the cap is a judgement too.
func capHigh(cap float64) float64 { return math.Min(rubric.Top, cap+0.5) }

func lowestCap(found []Finding) float64 {
	low := rubric.Top
	for _, f := range found {
		t, _ := find(f.Term)
		if c := t.Cap[f.Severity]; c > 0 {
			low = math.Min(low, c)
		}
	}
	return low
}

func nothingFound(found []Finding) Reason {
	if len(found) == 0 {
		return Reason{Says: say.That("grade.nothing-recorded")}
	}
	var names []say.Value
	var ids []string
	for _, f := range found {
		t, _ := find(f.Term)
		names, ids = append(names, t.noun()), append(ids, f.ID)
	}
	return Reason{Says: say.That("grade.not-found", say.All("findings", names...)), IDs: ids}
}

// liftOf sums the good points, strongest first, and gives their reasons. A good
// point beside a defect that contradicts it does not count.
func liftOf(found []Finding) (float64, []Reason) {
	type point struct {
		term Term
		id   string
	}
	var counted []point
	var reasons []Reason
	for _, f := range found {
		t, _ := find(f.Term)
		if !t.Good || slices.ContainsFunc(counted, func(p point) bool { return p.term.ID == t.ID }) {
			continue
		}
		if other, ok := contradicted(t, found); ok {
			reasons = append(reasons, Reason{Says: say.That("grade.contradicted", t.arg("good"), other.arg("bad")),
				IDs: []string{f.ID}})
			continue
		}
		counted = append(counted, point{t, f.ID})
	}
	slices.SortStableFunc(counted, func(a, b point) int { return compare(b.term.Lift, a.term.Lift) })
	lift, weight := 0.0, 1.0
	room := rubric.Top - rubric.Start
	for _, p := range counted {
		add := math.Min(p.term.Lift*weight, room-lift)
		lift += add
		weight *= rubric.Diminish
		reasons = append(reasons, Reason{Says: say.That("grade.good", p.term.arg("finding")), IDs: []string{p.id},
			Points: -add})
	}
	return lift, reasons
}

func contradicted(good Term, found []Finding) (Term, bool) {
	for _, f := range found {
		t, _ := find(f.Term)
		if f.Severity > 0 && slices.Contains(good.Conflicts, t.ID) {
			return t, true
		}
	}
	return Term{}, false
}

func deductionsOf(found []Finding) []deduction {
	var out []deduction
	for _, f := range found {
		t, _ := find(f.Term)
		if t.Good || f.Severity == 0 {
			continue
		}
		factor, low, high := 1.0, 1.0, 1.0
		if f.Extent > 0 {
			factor = rubric.ExtentLow + (rubric.ExtentHigh-rubric.ExtentLow)*f.Extent
			low, high = factor, factor
		} else {
			low, high = rubric.ExtentLow, rubric.ExtentHigh
		}
		p := t.Points[f.Severity]
		out = append(out, deduction{key: t.ID, says: whatWasFound(t, f), id: f.ID, points: p * factor, least: p * low,
			most: p * high,
			cap:  t.Cap[f.Severity], extentNotKnown: f.Extent == 0})
	}
	return out
}

// whatWasFound says what was found: how bad, over how much, and what the observer noted.
func whatWasFound(t Term, f Finding) say.Statement {
	says := say.That("grade.found", t.arg("finding"), severity("severity", t, f.Severity))
	if f.Extent > 0 {
		says = say.That("grade.found-over", t.arg("finding"), severity("severity", t, f.Severity),
			say.Share("extent", f.Extent))
	}
	if f.Note != "" {
		says = say.That("grade.noted", say.Saying("found", says), say.Name("note", f.Note))
	}
	return says
}

// severity is how the term's list words a severity.
func severity(name string, t Term, severity int) say.Arg {
	return say.Term(name, "severity", t.ID+"."+strconv.Itoa(severity), t.Severity[severity])
}

// value is a measured value in the unit of the rule, to the digits that are read.
func (r MeasureRule) value(name string, x float64) say.Arg {
	switch unit, _, _ := strings.Cut(r.Unit, ","); unit {
	case "degrees":
		return say.Fixed(name, x, say.Degree, 0)
	case "s/d":
		return say.Fixed(name, x, say.SecondPerDay, 1)
	case "ms":
		return say.Fixed(name, x, say.Millisecond, 1)
	case "percent under the stated pull":
		return say.Fixed(name, x, say.Percent, 1)
	}
	return say.Fixed(name, x, say.MM, 2)
}

// arg is the name of what is measured.
func (r MeasureRule) arg(name string) say.Arg { return say.Term(name, "measure", r.Kind, r.Name) }

// noun is the term as a word of the trade.
func (t Term) noun() say.Noun { return say.Noun{Set: "finding", ID: t.ID, English: t.Name} }

// arg is the term as an argument.
func (t Term) arg(name string) say.Arg { return say.Arg{Name: name, Value: t.noun()} }

func measuresOf(slot string, measures []Measure) []deduction {
	var out []deduction
	for _, m := range measures {
		rule, _ := measureRule(m.Kind)
		if rule.Slot != slot {
			continue
		}
		x, u := m.Value, m.U
		says := say.That("grade.measured", rule.arg("measure"), rule.value("value", x))
		switch m.Kind {
		case "stretch_droop":
			says = say.That("grade.droop", rule.arg("measure"), say.Fixed("droop", x, say.MM, 1),
				say.Fixed("length", m.FreeLengthMM, say.MM, 0))
			x, u = x/m.FreeLengthMM, u/m.FreeLengthMM
		case "stretch_length":
			if m.PullN > 0 {
				says = say.That("grade.stretch", rule.arg("measure"), say.Fixed("stretch", x, say.Percent, 1),
					say.Fixed("pull", m.PullN, say.Newton, 1))
			}
		case "rate_mean":
			x = math.Abs(x)
		}
		a, b := rule.points(x-u), rule.points(x+u)
		key := rule.Term
		if key == "" {
			key = rule.Kind
		}
		out = append(out, deduction{key: key, measured: true, says: says, id: m.ID, points: rule.points(x),
			least: math.Min(a, b), most: math.Max(a, b)})
	}
	return out
}

// mergeSame keeps, of the measurements of one thing, the one that takes most; and
// of that and the worst finding of the same thing, the larger. Stretch that is both
// seen and measured is one defect.
func mergeSame(all []deduction) []deduction {
	var out []deduction
	worst := map[string]deduction{}
	var keys []string
	for _, d := range all {
		if !d.measured {
			out = append(out, d)
			continue
		}
		w, ok := worst[d.key]
		if !ok {
			keys = append(keys, d.key)
		}
		if !ok || d.points > w.points {
			worst[d.key] = d
		}
	}
	for _, k := range keys {
		m := worst[k]
		at := -1
		for i, d := range out {
			if !d.measured && d.key == k && (at < 0 || d.points > out[at].points) {
				at = i
			}
		}
		switch {
		case at < 0:
			out = append(out, m)
		case m.points > out[at].points:
			m.cap = out[at].cap
			out[at] = m
		}
	}
	return out
}

// diminish sums the deductions with weights 1, r, r², … from the largest down. The
// sum never falls when a deduction is added or grows.
func diminish(all []deduction, size func(deduction) float64) (float64, []Reason) {
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b deduction) int { return compare(size(b), size(a)) })
	sum, weight := 0.0, 1.0
	var reasons []Reason
	for _, d := range sorted {
		p := size(d) * weight
		sum += p
		weight *= rubric.Diminish
		reasons = append(reasons, Reason{Says: d.says, IDs: []string{d.id}, Points: p, Cap: d.cap})
	}
	return sum, reasons
}

func halfWidths(found []Finding, measured []deduction, good bool, seen []deduction) (below, above float64) {
	h := rubric.HalfWidth
	switch {
	case good:
		below, above = h.GoodPoint, h.GoodPoint
	case len(found)+len(measured) > 0:
		below, above = h.Finding, h.Finding
	default:
		return h.NothingFoundBelow, h.NothingFoundAbove
	}
	for _, d := range seen {
		if d.extentNotKnown {
			below, above = math.Hypot(below, h.ExtentNotStated), math.Hypot(above, h.ExtentNotStated)
		}
	}
	return below, above
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

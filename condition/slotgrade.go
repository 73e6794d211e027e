package condition

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"midcase/say"
)

// deduction is one thing that takes points off a slot, with the points it would
// take at the ends of its own uncertainty.
type deduction struct {
	key         string // findings and measures with one key are the same thing seen twice
	term        string // term or kind of measure, by which it can be put right
	where       string // the place on the part; empty where not stated
	measured    bool
	says        say.Statement
	ids         []string
	points      float64
	least, most float64
	cap         float64
}

// gradeSlot grades one slot: what is recorded against it takes points off what the part
// would be without, and nothing recorded in its favour leaves it at what is usual at
// best. So a fault never raises a grade, nor the upper end of its range.
func gradeSlot(slot string, in Input) SlotGrade {
	out := SlotGrade{Slot: slot}
	var found []Finding
	for _, f := range in.Findings {
		if f.Slot == slot {
			found = append(found, f)
		}
	}
	measured := measuresOf(slot, in.Measures)
	seen := mergeSame(append(deductionsOf(found), measured...))
	lift, praise, good := liftOf(found, seen)
	total, bad := diminish(seen, func(d deduction) float64 { return d.points })
	least, _ := diminish(seen, func(d deduction) float64 { return d.least })
	most, _ := diminish(seen, func(d deduction) float64 { return d.most })
	cap, base := lowestCap(seen), rubric.Start+lift

	out.praised = praise
	out.Known = in.Whole || len(found) > 0 || slices.ContainsFunc(seen, func(d deduction) bool { return judges(d) })
	ceiling := at(rubric.Ceiling, praise)
	if in.Whole {
		ceiling = rubric.Top
	}
	out.Grade = bounded(math.Min(ceiling, base-total), cap)
	out.Right = out.Grade
	if left, ok := leftWhenPutRight(slot, seen); ok {
		rest, _ := diminish(left, func(d deduction) float64 { return d.points })
		out.Right = math.Max(out.Grade, bounded(math.Min(ceiling, base-rest), lowestCap(left)))
	}
	out.Low, out.High = out.Grade, out.Grade
	if !in.Whole {
		below := math.Hypot(math.Hypot(rubric.Judged, at(rubric.Hidden, statements(found, seen, praise))), most-total)
		out.Low = bounded(out.Grade-below, cap)
		out.High = math.Min(capHigh(cap), math.Max(rubric.Lowest, base-least)+rubric.Judged)
		out.High = math.Max(out.High, out.Grade)
	}
	if slices.Contains(in.Suppose, slot) {
		out.Low = math.Max(out.Low, out.Grade-rubric.Judged)
		out.High = math.Min(out.High, out.Grade+rubric.Judged)
	}
	out.Reasons = append(bad, good...)
	switch {
	case !out.Known:
		out.Reasons = append(out.Reasons, Reason{Says: say.That("grade.not-examined")})
	case len(out.Reasons) == 0:
		out.Reasons = []Reason{{Says: say.That("grade.nothing-recorded")}}
	}
	return out
}

// judges reports whether a measure by itself judges the part: stretch is what a bracelet
// is judged by, a loss that was found is a fault. A rate judges no movement that nobody
// opened, though what is wrong with it counts.
func judges(d deduction) bool { return d.measured && d.key != d.term }

// statements is the number of different things recorded of a slot.
func statements(found []Finding, seen []deduction, praise int) int {
	n := praise
	for _, d := range seen {
		if !d.measured || judges(d) {
			n++
		}
	}
	if n == 0 && len(found) > 0 {
		n = 1
	}
	return n
}

// leftWhenPutRight is what stays of the deductions once the part was replaced or
// serviced; false where nothing can be put right.
func leftWhenPutRight(slot string, seen []deduction) ([]deduction, bool) {
	p, ok := putRightOf(slot)
	if !ok {
		return nil, false
	}
	var left []deduction
	for _, d := range seen {
		if len(p.Terms) > 0 && !slices.Contains(p.Terms, d.term) {
			left = append(left, d)
		}
	}
	return left, len(left) < len(seen)
}

func bounded(g, cap float64) float64 {
	return math.Max(rubric.Lowest, math.Min(g, cap))
}

// capHigh lets the range of a capped grade reach half a grade over the cap, since
// the severity that set the cap is a judgement too.
func capHigh(cap float64) float64 { return math.Min(rubric.Top, cap+0.5) }

func lowestCap(seen []deduction) float64 {
	low := rubric.Top
	for _, d := range seen {
		if d.cap > 0 {
			low = math.Min(low, d.cap)
		}
	}
	return low
}

// liftOf sums the good points, strongest first, and gives their reasons; praise is how
// many different things speak well of the part, faults looked for and not found among
// them. What a fault contradicts does not count, and is said.
func liftOf(found []Finding, seen []deduction) (lift float64, praise int, reasons []Reason) {
	type point struct {
		term Term
		ids  []string
	}
	var counted, none []point
	add := func(list []point, t Term, id string) []point {
		for i := range list {
			if list[i].term.ID == t.ID {
				list[i].ids = append(list[i].ids, id)
				return list
			}
		}
		return append(list, point{t, []string{id}})
	}
	for _, f := range found {
		t, _ := find(f.Term)
		switch {
		case !t.Good && f.Severity > 0:
		case t.Good:
			if other, ok := contradicted(t, seen); ok {
				reasons = append(reasons, Reason{Says: say.That("grade.contradicted", t.arg("good"),
					say.Saying("bad", other)), IDs: []string{f.ID}})
				continue
			}
			counted = add(counted, t, f.ID)
		default:
			if other, ok := saidToBeThere(t, seen); ok {
				reasons = append(reasons, Reason{Says: say.That("grade.none-and-found", t.arg("finding"),
					say.Saying("bad", other)), IDs: []string{f.ID}})
				continue
			}
			none = add(none, t, f.ID)
		}
	}
	slices.SortStableFunc(counted, func(a, b point) int {
		return cmp.Or(compare(b.term.Lift, a.term.Lift), cmp.Compare(a.term.ID, b.term.ID))
	})
	weight, room := 1.0, rubric.Top-rubric.Start
	for _, p := range counted {
		add := math.Min(p.term.Lift*weight, room-lift)
		lift += add
		weight *= rubric.Diminish
		reasons = append(reasons, Reason{Says: say.That("grade.good", p.term.arg("finding")), IDs: p.ids,
			Points: -add})
	}
	if len(none) > 0 {
		var names []say.Value
		var ids []string
		for _, p := range none {
			names, ids = append(names, p.term.noun()), append(ids, p.ids...)
		}
		reasons = append(reasons, Reason{Says: say.That("grade.not-found", say.All("findings", names...)), IDs: ids})
	}
	return lift, len(counted) + len(none), reasons
}

// contradicted is the fault beside which a good point does not count, found or measured.
// As new is contradicted by every fault.
func contradicted(good Term, seen []deduction) (say.Statement, bool) {
	for _, d := range seen {
		if d.points > 0 && (good.ID == "as_new" || slices.Contains(good.Conflicts, d.key) ||
			slices.Contains(good.Conflicts, d.term)) {
			return d.says, true
		}
	}
	return say.Statement{}, false
}

// saidToBeThere is the finding of a fault that another finding says is not there.
func saidToBeThere(t Term, seen []deduction) (say.Statement, bool) {
	for _, d := range seen {
		if d.points > 0 && (d.term == t.ID || d.measured && d.key == t.ID) {
			return d.says, true
		}
	}
	return say.Statement{}, false
}

// oneJob are terms that name one piece of work on the whole part, and the work that they
// belong to where both are found: a dial that was refinished was relumed with it.
var oneJob = map[string]string{"relume": "refinished", "refinished": "refinished"}

// deductionsOf lists the faults found. Findings of one term that name no different places
// are one fault, whoever recorded them: the worst counts, and all are its witnesses.
func deductionsOf(found []Finding) []deduction {
	var out []deduction
	for _, f := range found {
		t, _ := find(f.Term)
		if t.Good || f.Severity == 0 {
			continue
		}
		factor, low, high := 1.0, rubric.ExtentLow, rubric.ExtentHigh
		if f.Extent > 0 {
			factor = rubric.ExtentLow + (rubric.ExtentHigh-rubric.ExtentLow)*f.Extent
			low, high = factor, factor
		}
		p := t.Points[f.Severity]
		out = append(out, deduction{key: t.ID, term: t.ID, where: place(f.Where), says: whatWasFound(t, f),
			ids: []string{f.ID}, points: p * factor, least: p * low, most: p * high, cap: t.Cap[f.Severity]})
	}
	return witnessed(jobsOf(out))
}

// place folds the words for a place, so that “At 4 ” and “at 4” are one.
func place(where string) string { return strings.Join(strings.Fields(strings.ToLower(where)), " ") }

// jobsOf gives what is one piece of work one key.
func jobsOf(all []deduction) []deduction {
	for i, d := range all {
		job, ok := oneJob[d.term]
		if !ok {
			continue
		}
		all[i].where = ""
		if slices.ContainsFunc(all, func(o deduction) bool { return o.term == job }) {
			all[i].key = job
		}
	}
	return all
}

// witnessed makes one of the deductions of one key and place. Those without a place join
// the worst of those with one.
func witnessed(all []deduction) []deduction {
	slices.SortStableFunc(all, func(a, b deduction) int { // the worst first, those with a place before those without
		return cmp.Or(cmp.Compare(b.points, a.points), cmp.Compare(b.most, a.most), cmp.Compare(b.cap, a.cap),
			cmp.Compare(a.term, b.term), cmp.Compare(strings.Join(a.ids, " "), strings.Join(b.ids, " ")))
	})
	var out []deduction
	for _, placed := range []bool{true, false} {
		for _, d := range all {
			if (d.where != "") != placed {
				continue
			}
			at := slices.IndexFunc(out, func(o deduction) bool {
				return o.key == d.key && (o.where == d.where || d.where == "")
			})
			if at < 0 {
				out = append(out, d)
				continue
			}
			out[at] = out[at].and(d)
		}
	}
	for i, d := range out {
		if len(d.ids) > 1 {
			out[i].says = say.That("grade.witnesses", say.Saying("found", d.says), say.Count("records", len(d.ids)))
		}
	}
	return out
}

// and joins what is one thing: the worse counts in each respect.
func (d deduction) and(o deduction) deduction {
	if o.points > d.points {
		d.says, d.term = o.says, o.term
	}
	d.ids = append(slices.Clip(d.ids), o.ids...)
	d.points, d.least, d.most = math.Max(d.points, o.points), math.Max(d.least, o.least), math.Max(d.most, o.most)
	if d.cap == 0 || o.cap > 0 && o.cap < d.cap {
		d.cap = o.cap
	}
	d.measured = d.measured && o.measured
	return d
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
		d := deduction{key: cmp.Or(rule.Term, rule.Kind), term: rule.Kind, measured: true, says: says,
			ids:    []string{m.ID},
			points: rule.points(x), least: math.Min(a, b), most: math.Max(a, b)}
		if d.points > 0 || !strings.HasSuffix(m.Kind, "_loss_mm") { // no loss is no reason
			out = append(out, d)
		}
	}
	return out
}

// mergeSame joins the measurements of one thing, and these with the worst finding of the
// same thing: stretch that is both seen and measured is one defect.
func mergeSame(all []deduction) []deduction {
	var out, measured []deduction
	for _, d := range all {
		if !d.measured {
			out = append(out, d)
			continue
		}
		if at := slices.IndexFunc(measured, func(o deduction) bool { return o.key == d.key }); at >= 0 {
			measured[at] = measured[at].and(d)
			continue
		}
		measured = append(measured, d)
	}
	for _, m := range measured {
		at := -1
		for i, d := range out {
			if d.key == m.key && !d.measured && (at < 0 || d.points > out[at].points) {
				at = i
			}
		}
		if at < 0 {
			out = append(out, m)
		} else {
			out[at] = out[at].and(m)
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
		reasons = append(reasons, Reason{Says: d.says, IDs: d.ids, Points: p, Cap: d.cap})
	}
	return sum, reasons
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

package refbook

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
)

// Example is one watch seen with one of its parts: when it was made, and which
// variant sits in the slot.
type Example struct {
	ID       string // names the example in the answer
	Month    edtf.Month
	SDMonths float64 // standard deviation of Month; 0 means known to the month
	Slot     evidence.Slot
	Variant  string
	Sure     float64 // chance that the variant was named right; 0 counts as 1
}

// LearnOptions say what to learn and what is known beforehand. The zero value
// learns the order from the examples and takes the span from them.
type LearnOptions struct {
	// Order lists the variants from the first to the last. Left empty, they are
	// ordered by the median month of their examples.
	Order []string
	// Span is the production span of the reference: no boundary lies outside it. Left
	// empty, it is two years wider than the examples on both sides.
	Span edtf.Date
	// Level is the probability content of the intervals; 0 means 0.9.
	Level float64
	// MeanOverlapMonths is what the prior expects of the overlap of two variants; 0
	// means 6.
	MeanOverlapMonths float64
	// MeanOddShare is what the prior expects of the share of examples whose part is
	// not the one fitted at the factory, or whose month is wrong; 0 means 0.05.
	MeanOddShare float64
}

// Learned is what the examples of one slot come to.
type Learned struct {
	Slot        evidence.Slot
	Variants    []LearnedVariant
	Transitions []Transition
	Misfits     []Misfit // the worst first
	Level       float64
	Examples    int
}

// Transition is the change from one variant to the next.
type Transition struct {
	From, To string
	// Month is the first month in which To is fitted more often than From: the median
	// of the posterior and its interval.
	Month         edtf.Month
	MonthInterval [2]edtf.Month
	// OverlapMonths is the time in which To rises from 5 to 95 % of what is fitted.
	OverlapMonths   float64
	OverlapInterval [2]float64
	OddShare        float64 // posterior mean of the share of examples that do not belong
	Posterior       []BoundaryChance
	// CannotTell is the reason for which the examples do not say; the rest is zero
	// then.
	CannotTell string
}

// BoundaryChance is the posterior probability of one boundary month.
type BoundaryChance struct {
	Month edtf.Month
	P     float64
}

// LearnedVariant is a variant with the window that the examples give it. The first
// begins, and the last ends, with the span where that was given.
type LearnedVariant struct {
	ID       string
	Examples int
	// Window is ready for the book: months from median to median, marked approximate,
	// with the soft edge that the overlaps come to. It is the zero Window where an edge
	// cannot be told.
	Window Window
}

// Misfit is an example that sits badly with the windows.
type Misfit struct {
	Example Example
	// P is the posterior probability that the part is not the one fitted at the factory
	// or that the month is wrong.
	P   float64
	Why string
}

// ogiveToSoft turns the standard deviation of a normal ogive into the scale of the
// logistic curve nearest to it (Camilli 1994: 1.702, at most 0.0095 apart).
const ogiveToSoft = 1 / 1.702

// overlapPerSD is the width from 5 to 95 % of a normal ogive, in standard
// deviations.
const overlapPerSD = 2 * 1.6448536269514722

// SoftOf is the soft edge of a window, in months, for a change whose overlap takes so many months.
func SoftOf(overlapMonths float64) float64 { return overlapMonths / overlapPerSD * ogiveToSoft }

// misfitAt is the probability from which an example is named a misfit.
const misfitAt = 0.5

// Learn finds when each variant of one slot gave way to the next, from examples
// seen. All examples must be of the same slot. The examples are not changed.
//
// For each pair of neighbours in the order it computes the exact posterior on a grid
// over boundary month, overlap and odd share. The method, its assumptions and its
// known failures are in docs/methods/windows.md.
func Learn(examples []Example, o LearnOptions) (Learned, error) {
	o = o.withDefaults()
	if err := checkExamples(examples, o); err != nil {
		return Learned{}, err
	}
	order := o.Order
	if len(order) == 0 {
		order = orderByMedian(examples)
	}
	place := map[string]int{}
	for i, v := range order {
		place[fold(v)] = i
	}
	for i, e := range examples {
		if _, ok := place[fold(e.Variant)]; !ok {
			return Learned{}, fmt.Errorf("examples[%d] (%s): variant %q is not in the order given; %s", i, e.ID,
				e.Variant,
				or(nearest(e.Variant, order), "want one of "+strings.Join(order, ", ")))
		}
	}
	from, to := searchSpan(examples, o.Span)
	out := Learned{Slot: examples[0].Slot, Level: o.Level, Examples: len(examples)}
	var fits []*transitionFit
	for k := 0; k+1 < len(order); k++ {
		f := fitTransition(examples, place, k, len(order), from, to, o)
		t := f.summary(o.Level)
		t.From, t.To = order[k], order[k+1]
		out.Transitions = append(out.Transitions, t)
		fits = append(fits, f)
	}
	out.Variants = windowsOf(examples, order, out.Transitions, o.Span)
	out.Misfits = misfits(examples, place, order, fits)
	return out, nil
}

func (o LearnOptions) withDefaults() LearnOptions {
	if o.Level == 0 {
		o.Level = 0.9
	}
	if o.MeanOverlapMonths == 0 {
		o.MeanOverlapMonths = 6
	}
	if o.MeanOddShare == 0 {
		o.MeanOddShare = 0.05
	}
	return o
}

func checkExamples(examples []Example, o LearnOptions) error {
	if len(examples) == 0 {
		return fmt.Errorf("no examples to learn from")
	}
	if !(o.Level > 0 && o.Level < 1) {
		return fmt.Errorf("level %g: want a probability between 0 and 1, such as 0.9", o.Level)
	}
	if !(o.MeanOverlapMonths > 0 && o.MeanOverlapMonths <= 240) {
		return fmt.Errorf("mean overlap %g months: want more than 0 and at most 240", o.MeanOverlapMonths)
	}
	if !(o.MeanOddShare > 0 && o.MeanOddShare < 0.5) {
		return fmt.Errorf("mean odd share %g: want more than 0 and less than 0.5", o.MeanOddShare)
	}
	for i, e := range examples {
		if e.Slot != examples[0].Slot {
			return fmt.Errorf("examples[%d] (%s): slot %s among examples of slot %s; learn one slot at a time", i, e.ID,
				e.Slot, examples[0].Slot)
		}
		if !(e.SDMonths >= 0 && e.SDMonths <= 600) {
			return fmt.Errorf("examples[%d] (%s): standard deviation %g months: want 0 to 600", i, e.ID, e.SDMonths)
		}
		if !(e.Sure >= 0 && e.Sure <= 1) {
			return fmt.Errorf("examples[%d] (%s): sure %g: want a chance from 0 to 1", i, e.ID, e.Sure)
		}
		if strings.TrimSpace(e.Variant) == "" {
			return fmt.Errorf("examples[%d] (%s): no variant", i, e.ID)
		}
		if y := e.Month.Year(); y < 1700 || y > 2200 {
			return fmt.Errorf("examples[%d] (%s): month %s: want a month of a year such as 1968", i, e.ID, e.Month)
		}
	}
	seen := map[string]bool{}
	for i, v := range o.Order {
		if seen[fold(v)] {
			return fmt.Errorf("order[%d]: variant %q is there twice", i, v)
		}
		seen[fold(v)] = true
	}
	return nil
}

// orderByMedian orders the variants by the median month of their examples.
func orderByMedian(examples []Example) []string {
	months := map[string][]int{}
	names := map[string]string{}
	var order []string
	for _, e := range examples {
		key := fold(e.Variant)
		if _, ok := names[key]; !ok {
			names[key] = e.Variant
			order = append(order, key)
		}
		months[key] = append(months[key], int(e.Month))
	}
	median := map[string]float64{}
	for key, all := range months {
		sort.Ints(all)
		n := len(all)
		median[key] = float64(all[(n-1)/2]+all[n/2]) / 2
	}
	sort.SliceStable(order, func(i, j int) bool { return median[order[i]] < median[order[j]] })
	for i, key := range order {
		order[i] = names[key]
	}
	return order
}

// maxGridMonths bounds the grid; a span beyond it (83 years) holds no reference.
const maxGridMonths = 1000

// searchSpan is where boundaries are looked for.
func searchSpan(examples []Example, span edtf.Date) (from, to edtf.Month) {
	from, to = examples[0].Month, examples[0].Month
	for _, e := range examples {
		from, to = min(from, e.Month), max(to, e.Month)
	}
	from, to = from-24, to+25
	if f, ok := span.FirstMonth(); ok {
		from = f
	}
	if l, ok := span.LastMonth(); ok {
		to = l + 1
	}
	if to <= from {
		to = from + 1
	}
	return from, min(to, from+maxGridMonths)
}

// windowsOf turns transitions into windows.
func windowsOf(examples []Example, order []string, ts []Transition, span edtf.Date) []LearnedVariant {
	out := make([]LearnedVariant, len(order))
	for k, id := range order {
		v := LearnedVariant{ID: id}
		for _, e := range examples {
			if fold(e.Variant) == fold(id) {
				v.Examples++
			}
		}
		from, to, soft, edges, ok := "..", "..", 0.0, 0.0, true
		if first, told := span.FirstMonth(); told {
			from = first.String()
		}
		if last, told := span.LastMonth(); told {
			to = last.String()
		}
		if k > 0 {
			ok = ok && ts[k-1].CannotTell == ""
			from, soft, edges = ts[k-1].Month.String()+"~", soft+ts[k-1].OverlapMonths, edges+1
		}
		if k < len(ts) {
			ok = ok && ts[k].CannotTell == ""
			to, soft, edges = (ts[k].Month-1).String()+"~", soft+ts[k].OverlapMonths, edges+1
		}
		if d, err := edtf.Parse(from + "/" + to); ok && edges > 0 && err == nil {
			v.Window = Window{Made: d, SoftMonths: round1(soft / edges / overlapPerSD * ogiveToSoft)}
		}
		out[k] = v
	}
	return out
}

func round1(x float64) float64 { return math.Max(0.1, math.Round(10*x)/10) }

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

package examples

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// Learned is what the examples of one reference come to.
type Learned struct {
	Maker     string    `json:"maker"`
	Reference string    `json:"reference"`
	Examples  int       `json:"examples"`
	Repeated  []KeptOut `json:"repeated"` // the same watch, seen again
	KeptOut   []KeptOut `json:"kept_out"`
	Slots     []Slot    `json:"slots"`
}

// Slot is what the examples show of one slot.
type Slot struct {
	Slot        evidence.Slot `json:"slot"`
	Examples    int           `json:"examples"`
	Versions    []Version     `json:"versions"`
	Transitions []Transition  `json:"transitions"`
	Misfits     []Misfit      `json:"misfits"`
	Proposals   []Proposal    `json:"proposals"`
	Says        say.Statement `json:"says"`
	Dots        []Dot         `json:"dots"` // the examples on the line of time
}

// Dot is an example as it stands on the line of time of a slot.
type Dot struct {
	Example string     `json:"example"`
	Key     string     `json:"key,omitempty"`
	Own     bool       `json:"own,omitempty"`
	Variant string     `json:"variant"`
	Month   edtf.Month `json:"month"`
	SD      float64    `json:"sd_months"`
	P       float64    `json:"p_odd,omitempty"` // that the part was changed or the date is wrong, where that is likely
}

// Version is a version of a part with what is known of it.
type Version struct {
	ID       string    `json:"variant"`
	Examples int       `json:"examples"`
	InBook   bool      `json:"in_book"`
	Book     edtf.Date `json:"book_window,omitzero"`
	Learned  edtf.Date `json:"learned_window,omitzero"`
	Again    edtf.Date `json:"learned_again,omitzero"` // the last window of one that came back
	Soft     float64   `json:"soft_months,omitempty"`  // of the learned window
}

// Transition is the change from one version to the next.
type Transition struct {
	From       string        `json:"from"`
	To         string        `json:"to"`
	Month      edtf.Month    `json:"month,omitempty"` // the first in which To is fitted more often
	Interval90 [2]edtf.Month `json:"interval_90,omitzero"`
	Overlap    float64       `json:"overlap_months,omitempty"`
	Book       edtf.Month    `json:"book_month,omitempty"` // where the book has the change; 0 where it has none
	CannotTell string        `json:"cannot_tell,omitempty"`
	Thin       bool          `json:"thin,omitempty"` // too little to correct a book by
	// What kind of example would tell most about this change.
	Sharpen say.Statement `json:"sharpen,omitzero"`
	// Discovery says that examples which the book would take for changed are better explained by a wrong window.
	Discovery say.Statement `json:"discovery,omitzero"`
}

// cluster is from how many examples on that a wrong window explains a discovery.
const cluster = 3

// discovery looks between the month of a change that the book has and the one that the examples speak for.
func discovery(c Transition, t refbook.Transition, ex []refbook.Example) say.Statement {
	if c.Thin || !c.outside(c.Book) {
		return say.Statement{}
	}
	from, to, seen, other := c.Month, c.Book, c.To, c.From // the later version, seen before the book has it
	if c.Book < c.Month {
		from, to, seen, other = c.Book, c.Month, c.From, c.To
	}
	n, first, last := 0, edtf.Month(0), edtf.Month(0)
	for _, e := range ex {
		if e.Variant != seen || e.Month < from || e.Month >= to {
			continue
		}
		if n++; n == 1 || e.Month < first {
			first = e.Month
		}
		last = max(last, e.Month)
	}
	if n < cluster {
		return say.Statement{}
	}
	p := 0.0
	for _, b := range t.Posterior {
		if near, far := b.Month-c.Month, b.Month-c.Book; near*near < far*far {
			p += b.P
		}
	}
	return say.That("learn.discovery", say.Count("n", n), say.Span("months", first, last), say.Name("variant", seen),
		say.Name("other", other), say.Chance("chance", p))
}

// Misfit is an example whose part sits badly with all others.
type Misfit struct {
	Example string        `json:"example"`
	Variant string        `json:"variant"`
	P       float64       `json:"p"` // that the part was changed, or the date is wrong
	Says    say.Statement `json:"says"`
}

// Proposal is a change of the book that the examples speak for.
type Proposal struct {
	Variant string        `json:"variant"`
	Unit    int           `json:"unit"`   // changes with one number belong together: half of them would leave a gap
	Window  int           `json:"window"` // which of the version's windows, from 0; −1 for a version the book lacks
	Was     edtf.Date     `json:"was,omitzero"`
	Made    edtf.Date     `json:"made"`
	Windows []edtf.Date   `json:"windows,omitempty"` // in the place of all, where they are more
	Soft    float64       `json:"soft_months"`
	Says    say.Statement `json:"says"`
}

// A change is too thin to correct a book by where its interval is wider than so many months, or either version was
// seen less often than so.
const wide, few = 60, 3

// Learn learns from examples of one reference. Those of other references are passed over. maker and reference are
// those of the book.
func Learn(m *refbook.Maker, ref *refbook.Reference, all []Example) Learned {
	out := Learned{Maker: m.Name, Reference: ref.ID, Repeated: []KeptOut{}, KeptOut: []KeptOut{}, Slots: []Slot{}}
	runs := runsOf(m, ref)
	bySlot := map[evidence.Slot][]refbook.Example{}
	from := map[string]Example{}
	seen := map[string]string{}
	for _, e := range all {
		if !isOf(e, m, ref) {
			continue
		}
		if before, again := before(seen, e); again {
			out.Repeated = append(out.Repeated, KeptOut{e.ID,
				"the same watch as in " + before + ": serial number " + e.Serial})
			continue
		}
		d, err := date(e, runs)
		if err != nil {
			out.KeptOut = append(out.KeptOut, KeptOut{e.ID, err.Error()})
			continue
		}
		out.Examples++
		for n, id := 2, e.ID; from[e.ID].ID != ""; n++ { // two of one fair are told apart
			e.ID = fmt.Sprintf("%s (%d)", id, n)
		}
		from[e.ID] = e
		for slot, variant := range e.Parts {
			bySlot[slot] = append(bySlot[slot], refbook.Example{ID: e.ID, Month: edtf.Month(d.month + 0.5),
				SDMonths: d.sd, Slot: slot, Variant: variant, Sure: e.Sure})
		}
	}
	for _, slot := range evidence.Slots() {
		if ex := bySlot[slot]; len(ex) > 0 {
			s := learnSlot(ref, runs, slot, ex)
			s.Dots = dots(ref, s, ex, from)
			out.Slots = append(out.Slots, s)
		}
	}
	return out
}

func misfit(slot evidence.Slot, x refbook.Misfit) Misfit {
	return Misfit{Example: x.Example.ID, Variant: x.Example.Variant, P: math.Round(1e4*x.P) / 1e4,
		Says: say.That("learn.misfit", slotNamed("slot", slot), say.Name("variant", x.Example.Variant),
			say.Chance("chance", x.P))}
}

// isOf reports whether an example is of a reference.
func isOf(e Example, m *refbook.Maker, ref *refbook.Reference) bool {
	return (strings.EqualFold(e.Maker, m.Name) || strings.EqualFold(e.Maker, m.ID)) &&
		strings.EqualFold(e.Reference, ref.ID)
}

// dots are the examples of a slot in the order of their months.
func dots(ref *refbook.Reference, s Slot, ex []refbook.Example, from map[string]Example) []Dot {
	odd := map[string]float64{}
	for _, m := range s.Misfits {
		odd[m.Example] = m.P
	}
	out := make([]Dot, 0, len(ex))
	for _, e := range ex {
		out = append(out, Dot{Example: e.ID, Key: from[e.ID].Key, Own: from[e.ID].Place == Own,
			Variant: Named(ref, s.Slot, e.Variant), Month: e.Month, SD: math.Round(10*e.SDMonths) / 10, P: odd[e.ID]})
	}
	slices.SortStableFunc(out, func(a, b Dot) int { return cmp.Compare(a.Month, b.Month) })
	return out
}

// learnSlot holds the examples of one slot against the book.
func learnSlot(ref *refbook.Reference, runs []run, slot evidence.Slot, ex []refbook.Example) Slot {
	out := Slot{Slot: slot, Versions: []Version{}, Transitions: []Transition{}, Misfits: []Misfit{},
		Proposals: []Proposal{}, Dots: []Dot{}}
	book, _ := ref.Slot(slot)
	if book == nil {
		book = &refbook.Slot{Slot: slot}
	}
	ex = named(book, ex)
	out.Examples = len(ex)
	order, beside := orderOf(book, ex)
	if beside == "" && len(order) == 0 {
		out.Says = say.That("learn.service-only", slotNamed("slot", slot))
		return out
	}
	if got, err := refbook.LearnStretches(ex, refbook.LearnOptions{Span: ref.Made}); err != nil && beside != "" {
		out.Says = say.That("learn.cannot", slotNamed("slot", slot), say.Name("why", err.Error()))
		return out
	} else if err == nil && (beside != "" || !steps(got)) {
		return learnStretches(book, ref, runs, out, got)
	}
	got, err := refbook.Learn(ex, refbook.LearnOptions{Order: order, Span: ref.Made})
	if err != nil {
		out.Says = say.That("learn.cannot", slotNamed("slot", slot), say.Name("why", err.Error()))
		return out
	}
	for _, v := range got.Variants {
		out.Versions = append(out.Versions, version(book, v))
	}
	for i, t := range got.Transitions {
		change := transition(out.Versions[i], out.Versions[i+1], t, runs)
		change.Thin = change.Thin || between(book, order, t.From, t.To)
		if change.Book != 0 {
			change.Discovery = discovery(change, t, ex)
		}
		out.Transitions = append(out.Transitions, change)
	}
	for _, x := range got.Misfits {
		out.Misfits = append(out.Misfits, misfit(slot, x))
	}
	out.Proposals = proposals(book, out)
	out.Says = summary(slot, out)
	return out
}

// between reports whether the book has a version between two that no example shows: then their change says
// nothing of where either ends.
func between(book *refbook.Slot, seen []string, from, to string) bool {
	after, okFrom := middleOf(find(book, from))
	before, okTo := middleOf(find(book, to))
	if !okFrom || !okTo {
		return false
	}
	for i := range book.Variants {
		v := &book.Variants[i]
		if m, ok := middleOf(v); ok && !v.Service && after < m && m < before && !slices.Contains(seen, v.ID) {
			return true
		}
	}
	return false
}

// middleOf is the middle of the one window of a version.
func middleOf(v *refbook.Variant) (float64, bool) {
	first, last, ok := window(v)
	return float64(first+last) / 2, ok
}

// named gives examples the id that the book has for what they call a version. It leaves out service parts, which say
// nothing of what the factory fitted, and versions that nobody could name.
func named(book *refbook.Slot, ex []refbook.Example) []refbook.Example {
	out := make([]refbook.Example, 0, len(ex))
	for _, e := range ex {
		v := find(book, e.Variant)
		if v == nil && strings.EqualFold(e.Variant, evidence.Unknown) {
			continue
		}
		if v != nil {
			if v.Service {
				continue
			}
			e.Variant = v.ID
		}
		out = append(out, e)
	}
	return out
}

func find(book *refbook.Slot, text string) *refbook.Variant {
	for i := range book.Variants {
		if v := &book.Variants[i]; strings.EqualFold(v.ID, text) || strings.EqualFold(v.Name, text) {
			return v
		}
	}
	return nil
}

// Named is the id that the book has for what somebody called a version; what it does not know stays as it was said.
func Named(ref *refbook.Reference, slot evidence.Slot, text string) string {
	if book, _ := ref.Slot(slot); book != nil {
		if v := find(book, text); v != nil {
			return v.ID
		}
	}
	return text
}

// orderOf lists the versions from the first to the last: by the book, and one that the book lacks by the median month
// of its examples. Two that the book has side by side for most of their time are no step in a row; beside names them.
func orderOf(book *refbook.Slot, ex []refbook.Example) (order []string, beside string) {
	middle := map[string]float64{}
	for _, e := range ex {
		if _, ok := middle[e.Variant]; ok {
			continue
		}
		v := find(book, e.Variant)
		m, ok := middleOf(v)
		switch {
		case v != nil && len(v.Windows) > 1:
			return nil, v.Name
		case ok:
			middle[e.Variant] = m
		default:
			middle[e.Variant] = median(ex, e.Variant)
		}
		order = append(order, e.Variant)
	}
	slices.SortStableFunc(order, func(a, b string) int {
		return cmp.Or(cmp.Compare(middle[a], middle[b]), strings.Compare(a, b))
	})
	for i := 0; i+1 < len(order); i++ {
		if a, b := find(book, order[i]), find(book, order[i+1]); together(a, b) {
			return nil, a.Name + ", " + b.Name
		}
	}
	return order, ""
}

// together reports whether two versions share more than half of the shorter one's time.
func together(a, b *refbook.Variant) bool {
	firstA, lastA, okA := window(a)
	firstB, lastB, okB := window(b)
	if !okA || !okB {
		return false
	}
	shared := min(lastA, lastB) - max(firstA, firstB) + 1
	return 2*shared > min(lastA-firstA, lastB-firstB)+1
}

// window is the one window of a version, both ends known.
func window(v *refbook.Variant) (first, last edtf.Month, ok bool) {
	if v == nil || len(v.Windows) != 1 {
		return 0, 0, false
	}
	first, from := v.Windows[0].Made.FirstMonth()
	last, until := v.Windows[0].Made.LastMonth()
	return first, last, from && until
}

func median(ex []refbook.Example, variant string) float64 {
	var months []float64
	for _, e := range ex {
		if e.Variant == variant {
			months = append(months, float64(e.Month))
		}
	}
	slices.Sort(months)
	n := len(months)
	return (months[(n-1)/2] + months[n/2]) / 2
}

func version(book *refbook.Slot, v refbook.LearnedVariant) Version {
	out := Version{ID: v.ID, Examples: v.Examples, Learned: v.Window.Made, Soft: v.Window.SoftMonths}
	if b := find(book, v.ID); b != nil {
		out.InBook = true
		if len(b.Windows) == 1 {
			out.Book = b.Windows[0].Made
		}
	}
	return out
}

// transition adds to a learned change where the book has it and what would sharpen it.
func transition(from, to Version, t refbook.Transition, runs []run) Transition {
	out := Transition{From: t.From, To: t.To, CannotTell: t.CannotTell}
	if last, ok := from.Book.LastMonth(); ok {
		if first, known := to.Book.FirstMonth(); known {
			out.Book = (last + first + 1) / 2
		}
	}
	if t.CannotTell != "" {
		out.Thin = true
		return out
	}
	out.Thin = t.MonthInterval[1]-t.MonthInterval[0] > wide || min(from.Examples, to.Examples) < few
	out.Month, out.Interval90, out.Overlap = t.Month, t.MonthInterval, math.Round(10*t.OverlapMonths)/10
	out.Sharpen = say.That("learn.sharpen-month", say.Span("months", t.MonthInterval[0], t.MonthInterval[1]))
	if low, high, ok := numbers(runs, t.MonthInterval); ok {
		out.Sharpen = say.That("learn.sharpen", say.Count("low", int(low)), say.Count("high", int(high)))
	}
	return out
}

// numbers are those that the one run of a reference used within months.
func numbers(runs []run, months [2]edtf.Month) (low, high int64, ok bool) {
	if len(runs) != 1 {
		return 0, 0, false
	}
	r := runs[0]
	first, last := r.book.Anchors[0].Number, r.book.Anchors[len(r.book.Anchors)-1].Number
	low = r.curve.Number(float64(months[0])-0.5, first, last)
	high = r.curve.Number(float64(months[1])+0.5, first, last)
	return low, high, low < high
}

func slotNamed(name string, s evidence.Slot) say.Arg { return say.Term(name, "slot", string(s), "") }

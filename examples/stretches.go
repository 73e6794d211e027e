package examples

import (
	"math"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/refbook"
	"midcase/say"
)

// Variants seen side by side for less than so many months, or by fewer examples than so, are an overlap of two steps.
const overlapMonths, overlapSeen = 12, 8

// steps reports whether variants followed one another: none came back, and none was fitted beside another for long.
func steps(got refbook.Stretches) bool {
	seen := map[string]int{}
	for k, s := range got.All {
		for _, v := range s.Variants {
			if last, ok := seen[v]; ok && last < k-1 {
				return false
			}
			seen[v] = k
		}
		if len(s.Variants) < 2 || s.Examples < overlapSeen {
			continue
		}
		if k == 0 || k == len(got.All)-1 ||
			got.Transitions[k].Month-got.Transitions[k-1].Month >= overlapMonths {
			return false
		}
	}
	return true
}

// learnStretches holds variants that were fitted side by side, or came back, against the book.
func learnStretches(book *refbook.Slot, ref *refbook.Reference, runs []run, out Slot, got refbook.Stretches) Slot {
	for k, t := range got.Transitions {
		change := transition(Version{ID: t.From, Examples: got.All[k].Examples},
			Version{ID: t.To, Examples: got.All[k+1].Examples}, t, runs)
		if change.From == "" { // one comes beside those that stay
			change.From = strings.Join(got.All[k].Variants, ", ")
		}
		if change.To == "" { // one goes, the others stay
			change.To = strings.Join(got.All[k+1].Variants, ", ")
		}
		out.Transitions = append(out.Transitions, change)
	}
	for _, id := range inOrder(got) {
		v := version(book, refbook.LearnedVariant{ID: id})
		for _, e := range got.All {
			if slices.Contains(e.Variants, id) {
				v.Examples += e.Examples / len(e.Variants)
			}
		}
		spans := windowsOf(id, got)
		v.Learned, v.Soft = spans[0].made(out.Transitions, ref), spans[0].soft(got)
		if len(spans) > 1 {
			v.Again = spans[len(spans)-1].made(out.Transitions, ref)
		}
		out.Versions = append(out.Versions, v)
		if p, ok := proposed(book, v, spans, out, ref); ok {
			p.Unit = 1
			out.Proposals = append(out.Proposals, p)
		}
	}
	out.Says = summary(out.Slot, out)
	if out.Examples < overlapSeen { // one seen once beside a handful is no misfit yet
		out.Says = say.That("learn.thin", slotNamed("slot", out.Slot), say.Count("n", out.Examples))
		return out
	}
	for _, x := range got.Misfits {
		out.Misfits = append(out.Misfits, misfit(out.Slot, x))
	}
	if len(got.Transitions) == 0 && len(out.Versions) > 1 {
		var names []string
		for _, v := range out.Versions {
			names = append(names, v.ID)
		}
		out.Says = say.That("learn.together", slotNamed("slot", out.Slot),
			say.Name("versions", strings.Join(names, ", ")), say.Count("n", out.Examples))
	}
	return out
}

// inOrder are the variants by the stretch in which each was first fitted.
func inOrder(got refbook.Stretches) []string {
	var out []string
	for _, s := range got.All {
		for _, v := range slices.Sorted(slices.Values(s.Variants)) {
			if !slices.Contains(out, v) {
				out = append(out, v)
			}
		}
	}
	return out
}

// fitted is a window between two changes, each by its place; −1 where it is open.
type fitted struct{ begins, ends int }

// windowsOf are the windows of a variant: stretches one after the other are one.
func windowsOf(id string, got refbook.Stretches) []fitted {
	var out []fitted
	for k, s := range got.All {
		if !slices.Contains(s.Variants, id) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].ends == k-1 {
			out[n-1].ends = k
		} else {
			out = append(out, fitted{k - 1, k})
		}
	}
	for i := range out {
		if out[i].ends == len(got.Transitions) {
			out[i].ends = -1
		}
	}
	return out
}

// made is the window in months; where it is open it has the end of the reference's own time, as far as that is known.
func (f fitted) made(all []Transition, ref *refbook.Reference) edtf.Date {
	from, to := "..", ".."
	if first, ok := ref.Made.FirstMonth(); ok {
		from = first.String()
	}
	if last, ok := ref.Made.LastMonth(); ok {
		to = last.String()
	}
	if f.begins >= 0 {
		from = all[f.begins].Month.String() + "~"
	}
	if f.ends >= 0 {
		to = (all[f.ends].Month - 1).String() + "~"
	}
	d, _ := edtf.Parse(from + "/" + to)
	return d
}

// soft is how gradually the variant came and went.
func (f fitted) soft(got refbook.Stretches) float64 {
	sum, n := 0.0, 0.0
	for _, k := range []int{f.begins, f.ends} {
		if k >= 0 {
			sum, n = sum+got.Transitions[k].OverlapMonths, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return math.Max(0.1, math.Round(10*refbook.SoftOf(sum/n))/10)
}

// thin reports whether a change beside the window is told too badly to correct a book by.
func (f fitted) thin(all []Transition) bool {
	return f.begins >= 0 && all[f.begins].Thin || f.ends >= 0 && all[f.ends].Thin
}

// proposed is the change of the book that the windows of a variant speak for.
func proposed(book *refbook.Slot, v Version, spans []fitted, s Slot, ref *refbook.Reference) (Proposal, bool) {
	if slices.ContainsFunc(spans, func(f fitted) bool { return f.thin(s.Transitions) }) || v.Learned.IsZero() {
		return Proposal{}, false
	}
	b := find(book, v.ID)
	switch {
	case b == nil:
		if v.Examples < few || v.Again != (edtf.Date{}) {
			return Proposal{}, false
		}
		return Proposal{Variant: v.ID, Window: -1, Made: v.Learned, Soft: v.Soft, Says: say.That("learn.new",
			say.Name("variant", v.ID), say.Count("n", v.Examples), say.Name("made", v.Learned.String()))}, true
	case len(b.Windows) != len(spans):
		if len(spans) < len(b.Windows) { // a window of which no example was seen is not learned away
			return Proposal{}, false
		}
		p := Proposal{Variant: v.ID, Was: v.Book, Made: v.Learned, Soft: v.Soft}
		for _, f := range spans {
			p.Windows = append(p.Windows, f.made(s.Transitions, ref))
		}
		p.Says = say.That("learn.returns", say.Name("variant", v.ID), say.Name("made", v.Learned.String()),
			say.Name("again", v.Again.String()))
		return p, true
	}
	for i, f := range spans {
		if p, ok := moved(b, v, i, f, s.Transitions); ok {
			return p, true
		}
	}
	return Proposal{}, false
}

// moved is one window of a variant with the ends that the examples move.
func moved(b *refbook.Variant, v Version, i int, f fitted, all []Transition) (Proposal, bool) {
	w := b.Windows[i]
	first, from := w.Made.FirstMonth()
	last, until := w.Made.LastMonth()
	if !from || !until {
		return Proposal{}, false
	}
	begin, end, says := first.String(), last.String(), say.Statement{}
	if f.begins >= 0 && all[f.begins].outside(first) {
		begin, says = all[f.begins].Month.String()+"~", ended(begins, v, first, all[f.begins])
	}
	if f.ends >= 0 && all[f.ends].outside(last+1) {
		end, says = (all[f.ends].Month-1).String()+"~", ended(ends, v, last, all[f.ends])
	}
	made, err := edtf.Parse(begin + "/" + end)
	if says.Kind == "" || err != nil {
		return Proposal{}, false
	}
	return Proposal{Variant: v.ID, Window: i, Was: w.Made, Made: made, Soft: v.Soft, Says: says}, true
}

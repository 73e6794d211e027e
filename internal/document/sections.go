package document

import (
	"sort"

	"midcase/evidence"
	"midcase/opinion"
)

// writer turns a Report into sections; it holds the numbering of references.
type writer struct {
	tongue
	r    Report
	o    opinion.Opinion
	refs *references

	cut         int  // how much a report without its annex leaves out to keep to its pages
	withDetails bool // put the pixels of details into the blocks themselves
}

func newWriter(r Report) *writer {
	r.Photos = bestFirst(r.Photos)
	if r.ForShop { // the workbench is English
		r.Language = ""
	}
	w := &writer{tongue: tongueOf(r.Language), r: r, o: r.Opinion, refs: newReferences(r.Items)}
	for _, c := range heaviest(w.o.Value.Comparables) {
		w.saleCite(c) // sales are numbered by weight, wherever they are cited first
	}
	return w
}

// bestFirst puts the picture that shows the watch best in front, and the others in
// the order of the list of views; pictures of one view keep their order.
func bestFirst(photos []Photo) []Photo {
	order := map[string]int{"front": -2, "dial": -1, "": len(evidence.PhotoViews())}
	for i, v := range evidence.PhotoViews() {
		if _, ok := order[v]; !ok {
			order[v] = i
		}
	}
	out := append([]Photo(nil), photos...)
	sort.SliceStable(out, func(i, j int) bool { return order[out[i].View] < order[out[j].View] })
	return out
}

// sections is the report in reading order; with its annex it is whole. The list of references comes
// last and is made last, when all that is cited has its number.
func (w *writer) sections() []section {
	if !w.annexed() {
		return w.brief()
	}
	s := []section{w.identity(), w.photos(), w.dating(), w.parts(), w.rules(), w.condition(), w.measured(), w.metal(),
		w.running()}
	if t, ok := w.trace(); ok {
		s = append(s, t)
	}
	s = append(s, w.value())
	if w.r.ForShop {
		s = append(s, w.deal())
	}
	s = append(s, w.unknown(), w.cautions(), w.scope(), w.limits())
	return append(s, w.basis())
}

// valuation is the value alone, with what a reader needs to judge it.
func (w *writer) valuation() []section {
	if w.r.Assigned == nil {
		return append([]section{w.identity(), w.value(), w.unknown(), w.cautions(), w.scope(), w.limits()}, w.basis())
	}
	v := w.valuing()
	s := []section{v.assigned(), w.identity(), w.value(), v.approaches(), v.assumed(), w.scope(), w.unknown(),
		w.cautions(), w.limits(), v.certified()}
	s = append(s, v.elements(s))
	return append(s, w.basis())
}

package document

import (
	"midcase/opinion"
)

// writer turns a Report into sections; it holds the numbering of references.
type writer struct {
	r    Report
	o    opinion.Opinion
	refs *references
}

func newWriter(r Report) *writer {
	return &writer{r: r, o: r.Opinion, refs: newReferences(r.Items)}
}

// sections is the whole report in reading order. The list of references comes
// last and is made last, when all that is cited has its number.
func (w *writer) sections() []section {
	s := []section{w.identity(), w.photos(), w.dating(), w.parts(), w.rules(), w.condition(), w.measured(), w.metal(), w.running(), w.value()}
	if w.r.ForShop {
		s = append(s, w.deal())
	}
	s = append(s, w.unknown(), w.cautions(), w.scope(), w.limits())
	return append(s, w.basis())
}

// valuation is the value alone, with what a reader needs to judge it.
func (w *writer) valuation() []section {
	s := []section{w.identity(), w.value(), w.unknown(), w.cautions(), w.scope(), w.limits()}
	return append(s, w.basis())
}

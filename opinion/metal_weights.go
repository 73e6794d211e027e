package opinion

import (
	"math"
	"slices"

	"midcase/evidence"
	"midcase/metal"
	"midcase/refbook"
	"midcase/say"
)

const (
	nominalWeightU = 0.05 // standard uncertainty of a nominal weight, as a share, where the book states none
	// A weight under or over these shares of what the book gives is asked about and not
	// counted. Common practice, no published source.
	oddBelow, oddAbove = 0.5, 1.75
	// crystalG ± crystalPlus is an acrylic crystal of 24 to 36 mm, 1.2 to 2 mm thick at
	// 1.18 g/cm³; smallG ± smallPlus a brass dial of 24 to 34 mm, 0.35 to 0.45 mm thick at
	// 8.5 g/cm³, with hands and a crown. They stand in where the book has no weight of them:
	// geometry, and sizes by common practice, no published source.
	crystalG, crystalPlus = 1.3, 0.7
	smallG, smallPlus     = 2.9, 1.1
	// otherShareU is the standard uncertainty of what springs, pins and the like weigh, as a
	// part of it; common practice, no published source.
	otherShareU = 0.3
)

// weighable are the slots whose metal counts.
var weighable = []evidence.Slot{evidence.Case, evidence.Bezel, evidence.CaseBack, evidence.Bracelet,
	evidence.EndPieces,
	evidence.Clasp}

// plausibleG are weights between which a part of a watch lies, where the book has none;
// common practice, no published source.
var plausibleG = map[string][2]float64{"case": {5, 250}, "bezel": {0.5, 60}, "case_back": {1, 80}, "bracelet": {8,
	300},
	"end_pieces": {0.3, 25}, "clasp": {0.5, 60}, "case_parts": {6, 280}, "head": {10, 320}, "watch": {12, 500}}

// wholes are what is weighed together, narrowest first: the slots of metal in it, and
// what is taken off by the book's weights.
var wholes = []struct {
	what   string
	covers []evidence.Slot
	inside []evidence.Slot
}{
	{"case_parts", []evidence.Slot{evidence.Case, evidence.Bezel, evidence.CaseBack}, nil},
	{"head", []evidence.Slot{evidence.Case, evidence.Bezel, evidence.CaseBack}, []evidence.Slot{evidence.Movement,
		evidence.Crystal, evidence.Dial}},
	{"watch", weighable, []evidence.Slot{evidence.Movement, evidence.Crystal, evidence.Dial}},
}

// weighed is the precious metal by part, what is asked about it and what is to be known.
type weighed struct {
	parts []metal.Part
	lines []MetalPart
	notes []say.Statement // weighings that do not count, parts left out, with why
	asks  []say.Statement // to look at again
}

// heap is the mass of one slot, or of several weighed together.
type heap struct {
	name    string
	slots   []evidence.Slot
	g, u    float64
	nominal bool
	from    say.Statement
	basis   []Basis
}

// weigh finds the mass of each part of precious metal: weighed by itself, as part of a
// whole, or by the book. No part counts twice.
func (f *forming) weigh() weighed {
	var out weighed
	open := map[evidence.Slot]bool{}
	for _, slot := range weighable {
		if f.hasSlot(slot) {
			open[slot] = true
		}
	}
	if !f.anyPrecious(open) {
		return out
	}
	var heaps []heap
	for _, slot := range weighable {
		if h, ok := f.weighedAlone(slot, open, &out); ok {
			heaps = append(heaps, h)
			for _, s := range h.slots {
				delete(open, s)
			}
		}
	}
	for i := range wholes {
		if h, ok := f.weighedWhole(i, open, heaps, &out); ok {
			heaps = append(heaps, h)
			for _, s := range h.slots {
				delete(open, s)
			}
		}
	}
	for _, slot := range weighable {
		if !open[slot] {
			continue
		}
		if g, u, ok := f.nominalWeight(slot); ok {
			heaps = append(heaps, heap{name: string(slot), slots: []evidence.Slot{slot}, g: g, u: u, nominal: true,
				from: say.That("metal.nominal"), basis: []Basis{f.fromBook("weights", string(slot))}})
		}
	}
	for _, h := range heaps {
		f.count(h, &out)
	}
	return out
}

func (f *forming) anyPrecious(open map[evidence.Slot]bool) bool {
	for slot := range open {
		if f.claimOf(slot).permille > 0 {
			return true
		}
	}
	return false
}

// hasSlot reports whether the watch has a part of metal in the slot that has a weight of
// its own: not found missing, no strap, and of the smaller parts those that the book
// gives a weight or that were weighed; the others are in that of case or bracelet.
func (f *forming) hasSlot(slot evidence.Slot) bool {
	e, seen := f.fitted[slot]
	switch {
	case seen && e.Data.Absent:
		return false
	case slot == evidence.Case:
		return true
	case slot == evidence.Bracelet:
		return !f.onStrap()
	case (slot == evidence.EndPieces || slot == evidence.Clasp) && f.onStrap():
		return false
	}
	_, _, ok := f.nominalWeight(slot)
	_, weighed := f.weighing(string(slot))
	return ok || weighed
}

// weighing is the latest weighing in air.
func (f *forming) weighing(what string) (evidence.Entry[*evidence.Weighing], bool) {
	for _, w := range evidence.All[*evidence.Weighing](f.file) {
		if w.Data.What == what && w.Data.In == "air" {
			return w, true
		}
	}
	return evidence.Entry[*evidence.Weighing]{}, false
}

// weighedAlone is a part that was weighed by itself. A case as heavy as case, bezel and
// back together is taken to have been weighed with them.
func (f *forming) weighedAlone(slot evidence.Slot, open map[evidence.Slot]bool, out *weighed) (heap, bool) {
	w, ok := f.weighing(string(slot))
	if !ok || !open[slot] {
		return heap{}, false
	}
	h := heap{name: string(slot), slots: []evidence.Slot{slot}, g: w.Data.G, u: or(w.Data.PlusMinusG, scaleG) / z95,
		from: say.That("metal.weighed"), basis: fromEvidence(w.Item.ID)}
	nominal, _, inBook := f.nominalWeight(slot)
	if slot == evidence.Case && inBook {
		whole := nominal
		for _, s := range []evidence.Slot{evidence.Bezel, evidence.CaseBack} {
			if g, _, ok := f.nominalWeight(s); ok && open[s] {
				if _, apart := f.weighing(string(s)); !apart {
					whole += g
					h.slots = append(h.slots, s)
				}
			}
		}
		if len(h.slots) > 1 && math.Abs(w.Data.G-whole) < math.Abs(w.Data.G-nominal) {
			h.name, nominal, h.from = "case_parts", whole, say.That("metal.weighed-with-back")
		} else {
			h.slots = h.slots[:1]
		}
	}
	return h, f.plausible(h.name, w, nominal, out)
}

// plausible asks about a weight that can hardly be right.
func (f *forming) plausible(what string, w evidence.Entry[*evidence.Weighing], expected float64, out *weighed) bool {
	bounds, about := plausibleG[what], expected
	if expected > 0 {
		bounds = [2]float64{oddBelow * expected, oddAbove * expected}
	}
	if w.Data.G >= bounds[0] && w.Data.G <= bounds[1] {
		return true
	}
	odd := say.That("metal.weight-odd", say.Fixed("weight", w.Data.G, say.Gram, 2), say.Term("part", "slot", what, ""))
	if about > 0 {
		odd = say.That("metal.weight-odd-book", say.Fixed("weight", w.Data.G, say.Gram, 2),
			say.Term("part", "slot", what, ""), say.Fixed("nominal", about, say.Gram, 1))
	}
	out.notes, out.asks = append(out.notes, odd), append(out.asks, odd)
	return false
}

// weighedWhole is what is left of a whole when movement and crystal are taken off by the
// book's weights, and what was weighed by itself by its own.
func (f *forming) weighedWhole(i int, open map[evidence.Slot]bool, heaps []heap, out *weighed) (heap, bool) {
	whole := wholes[i]
	w, ok := f.weighing(whole.what)
	if !ok {
		return heap{}, false
	}
	h := heap{name: whole.what, g: w.Data.G, u: or(w.Data.PlusMinusG, scaleG) / z95,
		from: say.That("metal.from-whole", say.Term("part", "slot", whole.what, "")), basis: fromEvidence(w.Item.ID)}
	why, expected := f.takeOff(&h, whole.covers, whole.inside, open, heaps)
	if !why.IsZero() {
		out.notes = append(out.notes, say.That("metal.not-counted", say.Term("part", "slot", whole.what, ""),
			say.Fixed("weight", w.Data.G, say.Gram, 2), say.Saying("why", why)))
		return heap{}, false
	}
	if !f.plausible(whole.what, w, expected, out) {
		return heap{}, false
	}
	if h.g <= 0 {
		odd := say.That("metal.weight-odd", say.Fixed("weight", w.Data.G, say.Gram, 2), say.Term("part", "slot",
			whole.what, ""))
		out.notes, out.asks = append(out.notes, odd), append(out.asks, odd)
		return heap{}, false
	}
	return h, true
}

// takeOff leaves in the heap the precious parts that have no weight yet, and says why
// that cannot be done. expected is what the whole should weigh by the book, 0 where the
// book does not say.
func (f *forming) takeOff(h *heap, covers, inside []evidence.Slot, open map[evidence.Slot]bool,
	heaps []heap) (why say.Statement, expected float64) {
	if h.name == "watch" && f.onStrap() {
		return say.That("metal.why-strap"), 0
	}
	known := true
	for _, one := range heaps {
		if slices.ContainsFunc(one.slots, func(s evidence.Slot) bool { return slices.Contains(covers, s) }) {
			h.g, h.u, expected = h.g-one.g, math.Hypot(h.u, one.u), expected+one.g
		}
	}
	for _, slot := range covers {
		if !open[slot] {
			continue
		}
		g, u, inBook := f.nominalWeight(slot)
		expected += g
		known = known && inBook
		if c := f.claimOf(slot); c.permille > 0 {
			h.slots = append(h.slots, slot)
			continue
		}
		if !inBook {
			return say.That("metal.why-base", say.Term("slot", "slot", string(slot), "")), 0
		}
		h.g, h.u = h.g-g, math.Hypot(h.u, u)
	}
	if len(h.slots) == 0 {
		return say.That("metal.why-apart"), 0
	}
	for _, slot := range inside {
		g, u, inBook := f.nominalWeight(slot)
		switch {
		case !inBook && slot == evidence.Crystal:
			g, u = crystalG, crystalPlus/z95
		case !inBook && slot == evidence.Dial:
			g, u = smallG, smallPlus/z95
		case !inBook:
			return say.That("metal.why-inside", say.Term("slot", "slot", string(slot), "")), 0
		}
		h.g, h.u, expected = h.g-g, math.Hypot(h.u, u), expected+g
	}
	first := f.claimOf(h.slots[0])
	for _, slot := range h.slots[1:] {
		if c := f.claimOf(slot); c.element != first.element || c.permille != first.permille {
			return say.That("metal.why-mixed"), 0
		}
	}
	if !known {
		expected = 0
	}
	return say.Statement{}, expected
}

// count adds the metal of a heap, unless its marks contradict it.
func (f *forming) count(h heap, out *weighed) {
	c := f.claimOf(h.slots[0])
	if c.permille == 0 {
		return
	}
	if !c.doubt.IsZero() {
		out.notes = append(out.notes, say.That("metal.left-out", say.Term("part", "slot", h.name, ""),
			say.Saying("why", c.doubt)))
		return
	}
	p := metal.Part{Name: h.name, Element: c.element, Permille: float64(c.permille), UPermille: markedU,
		FineShare: f.fineShare(h.slots), G: h.g, UG: h.u, Nominal: h.nominal}
	p.UFineShare = otherShareU * (1 - p.FineShare)
	one, err := metal.FineWeight([]metal.Part{p})
	if err != nil {
		return
	}
	out.parts = append(out.parts, p)
	out.lines = append(out.lines, MetalPart{Part: word("slot", h.name), Element: c.element, G: round(h.g, 2),
		Fineness: c.permille, FineG: round(one.G, 3), From: h.from, Basis: h.basis})
}

// fineShare is the share of the mass that is of the metal, by the book, weighed by the
// book's weights where there are several parts.
func (f *forming) fineShare(slots []evidence.Slot) float64 {
	var sum, total float64
	for _, slot := range slots {
		share, g := 1.0, 1.0
		if w, ok := f.bookWeight(slot); ok {
			share, g = or(w.FineShare, 1), w.G
		}
		sum, total = sum+share*g, total+g
	}
	return sum / total
}

// nominalWeight is the book's weight of a slot with its standard uncertainty. A tolerance
// is two limits with equal chance between them: u = tolerance/√3 (JCGM 100:2008, 4.3.7).
func (f *forming) nominalWeight(slot evidence.Slot) (g, u float64, ok bool) {
	if w, ok := f.bookWeight(slot); ok {
		return w.G, or(w.ToleranceG/math.Sqrt(3), nominalWeightU*w.G), true
	}
	if e, fitted := f.fitted[slot]; fitted && slot == evidence.Bracelet && f.maker != nil {
		if b, ok := f.maker.Bracelet(e.Data.Variant); ok && b.WeightG > 0 {
			return b.WeightG, nominalWeightU * b.WeightG, true
		}
	}
	return 0, 0, false
}

// bookWeight is the book's entry for a slot.
func (f *forming) bookWeight(slot evidence.Slot) (refbook.Weight, bool) {
	if f.ref != nil {
		for _, w := range f.ref.Weights {
			if w.Part == string(slot) {
				return w, true
			}
		}
	}
	return refbook.Weight{}, false
}

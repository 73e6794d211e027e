package demo

import (
	"math"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// specimen is one watch as it truly is: what the evidence is then taken from.
type specimen struct {
	id       string // of the watch in the stock
	plan     planned
	maker    *refbook.Maker
	ref      *refbook.Reference
	made     edtf.Month
	serial   int64 // as it stands on the case now
	movement int64 // 0 where the maker does not number movements
	parts    map[evidence.Slot]*part
	lossMM   float64 // metal polished off the mid-case, on the diameter
	lugLoss  float64 // and off the lugs
	drying   bool    // the movement has had water
	grades   map[evidence.Slot]float64
	counted  map[string]float64 // by slot: the grade with which it counts in the overall one
	faults   map[evidence.Slot][]fault
	refin    bool // the dial was printed anew
	relumed  bool
	papers   int64 // serial number on the papers
	runs     running
}

// part is what sits in one slot.
type part struct {
	id       string           // variant id
	variant  *refbook.Variant // nil where the book does not list it for this reference
	original bool
	stamped  edtf.Month // when the part was stamped; 0 for no stamp
	stamp    *refbook.Stamp
	metal    string
	made     edtf.Month // roughly, of a later part
}

// partSlots are the slots that are filled from the book, in this order.
var partSlots = []evidence.Slot{evidence.Bezel, evidence.Crystal, evidence.Dial, evidence.Hands, evidence.Crown,
	evidence.Pushers,
	evidence.CaseBack, evidence.Movement, evidence.Bracelet, evidence.EndPieces, evidence.Clasp}

// usuallyReplaced are the slots in which chance may put a later part where nothing
// is planted, with how often.
var usuallyReplaced = map[evidence.Slot]float64{evidence.Crystal: 0.45, evidence.Crown: 0.25, evidence.Bracelet: 0.12,
	evidence.Clasp: 0.15, evidence.Pushers: 0.1}

// newSpecimen makes the watch as it left the factory and then lets its life happen.
func newSpecimen(s stream, book *refbook.Book, p planned) *specimen {
	maker, ref, ok := book.Reference(p.maker, p.reference)
	if !ok {
		panic("the stock names a reference that the book lacks: " + p.maker + " " + p.reference) // a fault of the build
	}
	x := &specimen{plan: p, maker: maker, ref: ref, parts: map[evidence.Slot]*part{},
		grades: map[evidence.Slot]float64{}, counted: map[string]float64{}, faults: map[evidence.Slot][]fault{}}
	first, last := spanOf(ref)
	x.made = first + 3 + edtf.Month(s.IntN(max(1, int(last-first)-5)))
	if m, fixed := p.month(); fixed {
		x.made = m
	}
	x.serial = numberAt(s, maker, ref, x.made)
	if run := serialRun(maker, ref, evidence.MarkMovementNumber, x.made); run != nil {
		x.movement = numberNear(s, run, x.made)
	}
	for _, slot := range partSlots {
		if bs, ok := ref.Slot(slot); ok {
			x.parts[slot] = x.factoryPart(s, bs)
		}
	}
	x.age(s)
	x.harm(s)
	x.papers = x.serial
	if p.has(PapersDoNotMatch) {
		x.papers = x.serial + 3107
	}
	x.wearOut(s)
	x.runs = x.running(s)
	x.judge()
	return x
}

// factoryPart is what the factory put into a slot.
func (x *specimen) factoryPart(s stream, slot *refbook.Slot) *part {
	v := fittedAt(s, slot, x.ref, x.made)
	if slot.Slot == evidence.CaseBack && x.plan.works != "" {
		v, _ = slot.Variant(x.plan.part)
	}
	if v == nil {
		return &part{id: evidence.Unknown}
	}
	pt := &part{id: v.ID, variant: v, original: true, metal: x.metalOf(slot.Slot, v)}
	if st, ok := x.maker.Stamp(v.Stamp); ok && v.Stamp != "" {
		lag := edtf.Month(math.Round(math.Min(st.LagMonths*s.ExpFloat64(), 3*st.LagMonths)))
		pt.stamp, pt.stamped = st, x.made-lag
	}
	return pt
}

func (x *specimen) metalOf(slot evidence.Slot, v *refbook.Variant) string {
	if v.Metal != "" {
		return v.Metal
	}
	if b, ok := x.maker.Bracelet(v.ID); ok && slot == evidence.Bracelet {
		return b.Metal
	}
	return x.ref.Metal
}

// age lets the usual parts be replaced: crystals, crowns, now and then a bracelet
// by a strap.
func (x *specimen) age(s stream) {
	for _, slot := range partSlots {
		p, ok := x.parts[slot]
		if !ok || !s.chance(usuallyReplaced[slot]) || x.planted(slot) {
			continue
		}
		if slot == evidence.Bracelet {
			if x.ref.Metal == "steel" && x.ref.Strap {
				*p = part{id: refbook.Strap, made: edtf.MonthOf(2020, 5)}
				delete(x.parts, evidence.EndPieces)
				delete(x.parts, evidence.Clasp)
			}
			continue
		}
		x.replaceByService(slot)
	}
}

// planted reports whether a slot is kept free for what is planted there.
func (x *specimen) planted(slot evidence.Slot) bool {
	switch slot {
	case evidence.Bracelet, evidence.EndPieces, evidence.Clasp:
		return (x.plan.part != "" && x.plan.works == "") || x.plan.has(LateClasp) || x.plan.set == "full"
	}
	return false
}

// replaceByService puts the book's repair part into a slot, where there is one.
func (x *specimen) replaceByService(slot evidence.Slot) bool {
	bs, ok := x.ref.Slot(slot)
	if !ok {
		return false
	}
	for i := range bs.Variants {
		if v := &bs.Variants[i]; v.Service {
			first, _ := v.Supplied.FirstMonth()
			x.parts[slot] = &part{id: v.ID, variant: v, made: first + 24, metal: x.metalOf(slot, v)}
			return true
		}
	}
	return false
}

// replaceBy puts a part of another time or another reference into a slot.
func (x *specimen) replaceBy(slot evidence.Slot, id string) {
	p := &part{id: id, metal: x.ref.Metal}
	if bs, ok := x.ref.Slot(slot); ok {
		if v, ok := bs.Variant(id); ok {
			p.variant = v
			p.metal = x.metalOf(slot, v)
			for _, w := range v.Windows {
				p.made, _ = w.Made.FirstMonth()
			}
		}
	}
	if b, ok := x.maker.Bracelet(id); ok && slot == evidence.Bracelet {
		p.metal = b.Metal
	}
	if e, ok := x.maker.EndPiece(id); ok && slot == evidence.EndPieces && e.Metal != "" {
		p.metal = e.Metal
	}
	x.parts[slot] = p
}

// harm plants the problems of the plan.
func (x *specimen) harm(s stream) {
	for _, problem := range x.plan.problems {
		switch problem {
		case WrongPeriodHands:
			x.replaceBy(evidence.Hands, x.plan.part)
		case SwappedBracelet, WrongKaratBracelet:
			x.replaceBy(evidence.Bracelet, x.plan.part)
			x.lateClasp(30)
		case WrongCalibre:
			x.replaceBy(evidence.Movement, x.plan.part)
		case EndPiecesDoNotFit:
			x.replaceBy(evidence.EndPieces, x.plan.part)
		case LateClasp:
			x.lateClasp(101)
		case ServiceDial:
			x.replaceByService(evidence.Dial)
		case SerialDoesNotFit:
			run := serialRun(x.maker, x.ref, evidence.MarkSerial, x.made)
			x.serial = numberIn(run, float64(x.made)+70)
		case PolishedCase:
			x.lossMM, x.lugLoss = s.between(0.38, 0.48), s.between(0.55, 0.7)
		case RefinishedDial:
			x.refin = true
		case Relume:
			x.relumed = true
		case WaterDamage:
			x.drying = true
		}
	}
}

// lateClasp puts a clasp of so many months later on the bracelet.
func (x *specimen) lateClasp(months edtf.Month) {
	old, ok := x.parts[evidence.Clasp]
	if !ok {
		return
	}
	p := *old
	p.original = false
	p.made = x.made + months
	if bs, ok := x.ref.Slot(evidence.Clasp); ok {
		v := &bs.Variants[0]
		for i := range bs.Variants {
			if !bs.Variants[i].Service {
				v = &bs.Variants[i]
			}
		}
		p.id, p.variant = v.ID, v
		if st, ok := x.maker.Stamp(v.Stamp); ok {
			p.stamp, p.stamped = st, p.made
		}
	}
	x.parts[evidence.Clasp] = &p
}

// replacedSlots lists the slots whose part did not leave the factory with this
// watch.
func (x *specimen) replacedSlots() []string {
	out := []string{}
	if x.plan.has(SerialDoesNotFit) {
		out = append(out, string(evidence.Case))
	}
	for _, slot := range partSlots {
		if p, ok := x.parts[slot]; ok && !p.original {
			out = append(out, string(slot))
		}
	}
	return out
}

// originalityWeight is the share of each slot in the originality that the sales
// know; see docs/demo-world.md.
var originalityWeight = map[evidence.Slot]float64{evidence.Case: 0.10, evidence.Dial: 0.30, evidence.Hands: 0.12,
	evidence.Bezel: 0.10, evidence.Crown: 0.04,
	evidence.Crystal: 0.02, evidence.Pushers: 0.05, evidence.CaseBack: 0.05, evidence.Movement: 0.12,
	evidence.Bracelet: 0.06, evidence.EndPieces: 0.02, evidence.Clasp: 0.02}

// originality is the weighted share of what is original, over the slots that the
// watch has.
func (x *specimen) originality() float64 {
	sum, kept := originalityWeight[evidence.Case], originalityWeight[evidence.Case]
	if x.plan.has(SerialDoesNotFit) {
		kept = 0
	}
	for _, slot := range partSlots {
		p, ok := x.parts[slot]
		if !ok {
			continue
		}
		w := originalityWeight[slot]
		sum += w
		switch {
		case !p.original:
		case slot == evidence.Dial && x.refin:
			kept += 0.3 * w
		case slot == evidence.Dial && x.relumed:
			kept += 0.6 * w
		default:
			kept += w
		}
	}
	return kept / sum
}

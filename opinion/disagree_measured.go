package opinion

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/photo"
	"midcase/say"
)

// How far two readings of the same may lie apart beyond the ± of both, and a size or weight
// from the one that is named. Common practice, no published source.
const (
	sizesApartMM   = 0.1
	namedApartMM   = 0.25
	widthApartMM   = 0.7
	weightsApartG  = 0.5
	weightsShare   = 0.015
	bookWeightOff  = 0.12
	sameMetal      = 0.07
	ratesApart     = 20.0 // s/day
	sameTimingDays = 2
)

func colours(a, b evidence.Entry[*evidence.Reading]) float64 {
	return photo.CIEDE2000(photo.Lab(*a.Data.Lab), photo.Lab(*b.Data.Lab))
}

// sizeNamed finds a size in what the book says of a version, such as "etched, 6.6 mm".
var sizeNamed = regexp.MustCompile(`(\d+(?:\.\d+)?) ?mm\b`)

var slotOfSize = map[string]evidence.Slot{"crown_diameter": evidence.Crown, "pusher_diameter": evidence.Pushers,
	"dial_diameter": evidence.Dial, "crystal_diameter": evidence.Crystal, "bezel_diameter": evidence.Bezel}

// sizesDisagree holds sizes against the versions that were named, and the bracelet against
// the lugs that it sits between.
func (f *forming) sizesDisagree() {
	lugs := ""
	var lugWidth float64
	for _, d := range f.sizes() {
		if d.Data.What == "lug_width" {
			lugs, lugWidth = string(d.Item.ID), d.Data.MM
		}
	}
	for _, d := range f.sizes() {
		if d.Data.What == "bracelet_width_at_lugs" && lugs != "" && math.Abs(d.Data.MM-lugWidth) > widthApartMM {
			f.against("size", evidence.Bracelet, say.That("disagree.bracelet-lugs", say.Fixed("bracelet",
				d.Data.MM, say.MM, 1),
				say.Fixed("lugs", lugWidth, say.MM, 1)), d.Item.ID, evidence.ID(lugs))
		}
		f.sizeAgainstNamed(d)
	}
}

func (f *forming) sizeAgainstNamed(d evidence.Entry[*evidence.Dimension]) {
	if f.ref == nil {
		return
	}
	named, slot, has := 0.0, slotOfSize[d.Data.What], false
	switch d.Data.What {
	case "bracelet_width_at_lugs", "bracelet_width_at_clasp":
		slot = evidence.Bracelet
		if b, ok := f.maker.Bracelet(f.variantOf(slot)); ok {
			named, has = b.WidthMM, true
			if d.Data.What == "bracelet_width_at_clasp" {
				named = b.ClaspMM
			}
		}
	default:
		named, has = f.sizeOfVersion(slot)
	}
	if e, fitted := f.fitted[slot]; fitted && has && named > 0 &&
		math.Abs(d.Data.MM-named) > namedApartMM+d.Data.PlusMinusMM {
		f.against("size", slot, say.That("disagree.size-version", partOf("part", slot), say.Fixed("size",
			d.Data.MM, say.MM, 1),
			say.Name("version", f.versionName(slot, e.Data.Variant)), say.Fixed("named", named, say.MM, 1)),
			d.Item.ID, e.Item.ID)
	}
}

// sizeOfVersion is the size that the book names of the version that was recorded.
func (f *forming) sizeOfVersion(slot evidence.Slot) (float64, bool) {
	s, ok := f.ref.Slot(slot)
	if !ok {
		return 0, false
	}
	v, ok := s.Variant(f.variantOf(slot))
	if !ok {
		return 0, false
	}
	m := sizeNamed.FindStringSubmatch(v.Look)
	if m == nil {
		return 0, false
	}
	mm, err := strconv.ParseFloat(m[1], 64)
	return mm, err == nil
}

func (f *forming) versionName(slot evidence.Slot, id string) string {
	if s, ok := f.ref.Slot(slot); ok {
		if v, ok := s.Variant(id); ok {
			return v.Name
		}
	}
	return id
}

// readingsDisagree holds two readings of the same thing against each other. Lugs are four,
// so theirs may differ.
func (f *forming) readingsDisagree() {
	sizes := evidence.All[*evidence.Dimension](f.file)
	for i, a := range sizes {
		for _, b := range sizes[i+1:] {
			within := math.Hypot(or(a.Data.PlusMinusMM, caliperMM), or(b.Data.PlusMinusMM, caliperMM)) + sizesApartMM
			if a.Data.What != b.Data.What || a.Data.What == "lug_thickness" || strings.HasPrefix(a.Data.What,
				"bracelet_") ||
				math.Abs(a.Data.MM-b.Data.MM) <= within {
				continue
			}
			f.against("reading", "", say.That("disagree.sizes", say.Term("what", "size", a.Data.What, ""),
				say.Fixed("one", a.Data.MM, say.MM, 2), say.Fixed("other", b.Data.MM, say.MM, 2)), a.Item.ID,
				b.Item.ID)
		}
	}
	f.weighingsDisagree()
	f.ratesDisagree()
}

func (f *forming) weighingsDisagree() {
	all := evidence.All[*evidence.Weighing](f.file)
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.Data.What == b.Data.What && a.Data.In == b.Data.In &&
				math.Abs(a.Data.G-b.Data.G) > max(weightsApartG, weightsShare*a.Data.G) {
				f.against("reading", "", say.That("disagree.weighings", say.Term("part", "slot", a.Data.What, ""),
					say.Fixed("one", a.Data.G, say.Gram, 1), say.Fixed("other", b.Data.G, say.Gram, 1)),
					a.Item.ID, b.Item.ID)
			}
		}
	}
}

// ratesDisagree holds readings of one position taken within two days, equally wound.
func (f *forming) ratesDisagree() {
	all := evidence.All[*evidence.Rate](f.file)
	for i, a := range all {
		for _, b := range all[i+1:] {
			days := a.Item.At.Sub(b.Item.At).Hours() / 24
			if a.Data.Position != b.Data.Position || dayLater(a.Data) != dayLater(b.Data) || days > sameTimingDays ||
				math.Abs(a.Data.SecPerDay-b.Data.SecPerDay) <= ratesApart {
				continue
			}
			f.against("reading", evidence.Movement, say.That("disagree.rates",
				say.Saying("position", evidence.SayPosition(a.Data.Position)),
				rateArg("one", a.Data.SecPerDay), rateArg("other", b.Data.SecPerDay)), a.Item.ID, b.Item.ID)
		}
	}
}

func rateArg(name string, v float64) say.Arg {
	return say.Arg{Name: name, Value: say.Measure{Value: v, Unit: say.SecondPerDay, Decimals: 1, Signed: true}}
}

// weightsDisagree holds weights against the book's, of steel too, and against the metal that
// was recorded.
func (f *forming) weightsDisagree() {
	if d := f.out.Metal.Density; d != nil && d.Contradicts && len(d.Basis) > 1 {
		f.differ("weight", evidence.Case, d.Says, d.Basis[0], d.Basis[1])
	}
	if f.ref == nil {
		return
	}
	seen := map[string]bool{}
	for _, w := range evidence.All[*evidence.Weighing](f.file) {
		if w.Data.In != "air" || seen[w.Data.What] {
			continue
		}
		seen[w.Data.What] = true
		for _, b := range f.ref.Weights {
			if b.Part == w.Data.What && b.G > 0 {
				f.weightAgainst(w, b.G, b.ToleranceG, or2(b.Metal, f.ref.Metal))
			}
		}
	}
}

func (f *forming) weightAgainst(w evidence.Entry[*evidence.Weighing], book, tolerance float64, metal string) {
	slot := evidence.Slot(w.Data.What)
	off := math.Abs(w.Data.G - book)
	e, fitted := f.fitted[slot]
	switch {
	case fitted && e.Data.Metal != "" && e.Data.Metal != metal:
		if off < sameMetal*book {
			f.against("weight", slot, say.That("disagree.weight-metal", partOf("part", slot),
				f.metalName("metal", e.Data.Metal),
				say.Fixed("weight", w.Data.G, say.Gram, 1), f.metalName("as", metal)), w.Item.ID, e.Item.ID)
		}
	case off > 3*tolerance && off > bookWeightOff*book:
		f.differ("weight", slot, say.That("disagree.weight-book", say.Term("part", "slot", w.Data.What, ""),
			say.Fixed("weight", w.Data.G, say.Gram, 1), say.Fixed("book", book, say.Gram, 1),
			f.metalName("metal", metal)),
			fromEvidence(w.Item.ID)[0], f.fromBook("weights", w.Data.What))
	}
}

// variantOf is the version that was recorded in a slot; empty where none was.
func (f *forming) variantOf(slot evidence.Slot) string {
	if e, ok := f.fitted[slot]; ok {
		return e.Data.Variant
	}
	return ""
}

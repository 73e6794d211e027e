package refbook

import (
	"fmt"
	"slices"
	"sort"
	"strconv"

	"midcase/edtf"
	"midcase/evidence"
)

// slackMonths is how far a window may reach beyond the production span: watches
// were finished before and after the years that a span is known by.
const slackMonths = 12

// defaultSoftMonths is how gradually a variant came and went where its window does
// not say.
const defaultSoftMonths = 4

func (r *report) checkReference(m *Maker, ref *Reference, at string) {
	r.refers(at+".family", ref.Family, "families", ids(m.Families, familyID))
	r.refers(at+".metal", ref.Metal, "metals", ids(m.Metals, metalID))
	for i, id := range ref.Calibres {
		r.refers(fmt.Sprintf("%s.calibres[%d]", at, i), id, "calibres", ids(m.Calibres, calibreID))
	}
	for i, id := range ref.Serial {
		r.refers(fmt.Sprintf("%s.serial[%d]", at, i), id, "serials", ids(m.Serials, serialID))
	}
	for i, id := range ref.Bracelets {
		r.refers(fmt.Sprintf("%s.bracelets[%d]", at, i), id, "bracelets", ids(m.Bracelets, braceletID))
	}
	r.checkMarkets(ref.Markets, at)
	r.checkSizes(m, ref, at)
	seen := map[evidence.Slot]int{}
	for i := range ref.Slots {
		here := fmt.Sprintf("%s.slots[%d]", at, i)
		s := &ref.Slots[i]
		r.checkSlotName(here+".slot", s.Slot)
		if j, twice := seen[s.Slot]; twice {
			r.add(here+".slot", strconv.Quote(string(s.Slot)),
				fmt.Sprintf("slots[%d] is this slot already; put all its variants there", j))
		}
		seen[s.Slot] = i
		r.checkSlot(m, ref, s, here)
	}
	for i := range ref.Rules {
		r.checkRule(m, ref, &ref.Rules[i], fmt.Sprintf("%s.rules[%d]", at, i))
	}
	unique(r, at+".rules", ref.Rules, func(x *Rule) string { return x.ID })
}

func (r *report) checkMarkets(markets []string, at string) {
	for i, c := range markets {
		if !countryForm.MatchString(c) {
			r.add(fmt.Sprintf("%s.markets[%d]", at, i), strconv.Quote(c),
				"want two capital letters (ISO 3166-1), such as US")
		}
	}
}

func (r *report) checkSizes(m *Maker, ref *Reference, at string) {
	for i, d := range ref.Dimensions {
		here := fmt.Sprintf("%s.dimensions[%d]", at, i)
		r.oneOf(here+".what", d.What, evidence.DimensionKinds())
		low, high := plausibleMM(d.What)
		r.within(here+".mm", d.MM, low, high, "mm")
		r.within(here+".tolerance_mm", d.ToleranceMM, 0, 5, "mm")
		r.optional(here+".spoken_mm", d.SpokenMM, low, high, "mm")
	}
	for i, w := range ref.Weights {
		here := fmt.Sprintf("%s.weights[%d]", at, i)
		r.oneOf(here+".part", w.Part, append(slotNames(), "watch", "head", "case_parts"))
		r.within(here+".g", w.G, 0.01, 1000, "g")
		r.within(here+".tolerance_g", w.ToleranceG, 0, 100, "g")
		r.within(here+".fine_share", w.FineShare, 0, 1, "as a share")
		r.refers(here+".metal", w.Metal, "metals", ids(m.Metals, metalID))
	}
}

// plausibleMM is the range beyond which a nominal size is taken for a mistake.
func plausibleMM(what string) (low, high float64) {
	switch what {
	case "mid_case_diameter", "bezel_diameter", "dial_diameter", "crystal_diameter":
		return 8, 70
	case "lug_to_lug":
		return 10, 90
	case "lug_width", "bracelet_width_at_lugs", "bracelet_width_at_clasp":
		return 4, 40
	case "thickness", "thickness_without_crystal":
		return 1, 30
	case "crown_diameter", "pusher_diameter", "lug_thickness":
		return 0.5, 15
	}
	return 0.1, 300
}

func (r *report) checkSlot(m *Maker, ref *Reference, s *Slot, at string) {
	r.within(at+".replaced", s.Replaced, 0, 1, "as a share")
	if len(s.Variants) == 0 {
		r.add(at+".variants", "no variant", "list what the factory fitted, or leave the slot out")
		return
	}
	unique(r, at+".variants", s.Variants, func(v *Variant) string { return v.ID })
	for i := range s.Variants {
		r.checkVariant(m, ref, s, &s.Variants[i], fmt.Sprintf("%s.variants[%d]", at, i))
	}
	r.checkOverlaps(ref, s, at)
	r.checkCover(ref, s, at)
}

func (r *report) checkVariant(m *Maker, ref *Reference, s *Slot, v *Variant, at string) {
	switch s.Slot {
	case evidence.Bracelet:
		r.refers(at+".id", v.ID, "bracelets", append(ids(m.Bracelets, braceletID), Strap))
	case evidence.EndPieces:
		r.refers(at+".id", v.ID, "end_pieces", ids(m.EndPieces, endPieceID))
	case evidence.Movement:
		r.refers(at+".id", v.ID, "calibres", ids(m.Calibres, calibreID))
	}
	if fold(v.ID) == evidence.Unknown {
		r.add(at+".id", strconv.Quote(v.ID), "the word is kept for a part that nobody could place; give another id")
	}
	r.refers(at+".metal", v.Metal, "metals", ids(m.Metals, metalID))
	r.refers(at+".stamp", v.Stamp, "stamps", ids(m.Stamps, stampID))
	if v.Lume != "" {
		r.oneOf(at+".lume", v.Lume, Lumes())
	}
	for i, h := range v.Markers {
		r.within(fmt.Sprintf("%s.markers[%d]", at, i), float64(h), 1, 12, "as an hour")
	}
	switch {
	case v.Service && len(v.Windows) > 0:
		r.add(at+".service", "a service part with windows",
			"a service part was in no window of production; say supplied instead")
	case !v.Service && len(v.Windows) == 0:
		r.add(at+".windows", "nothing", "say when it was fitted, or mark it service: true")
	}
	for i := range v.Windows {
		r.checkWindow(ref, &v.Windows[i], fmt.Sprintf("%s.windows[%d]", at, i))
	}
	r.checkSelfOverlap(ref, v, at)
}

func (r *report) checkWindow(ref *Reference, w *Window, at string) {
	r.within(at+".soft_months", w.SoftMonths, 0, 120, "months (0 means 4)")
	r.within(at+".share", w.Share, 0, 1, "as a share (0 means 1)")
	r.checkMarkets(w.Markets, at)
	if w.Made.IsZero() || ref.Made.IsZero() {
		return
	}
	first, ok := ref.Made.FirstMonth()
	if f, given := w.Made.FirstMonth(); ok && given && f < first-slackMonths {
		r.add(at+".made", w.Made.String(),
			fmt.Sprintf("the reference was made %s; a window begins at most a year before that", ref.Made))
	}
	last, ok := ref.Made.LastMonth()
	if l, given := w.Made.LastMonth(); ok && given && l > last+slackMonths {
		r.add(at+".made", w.Made.String(),
			fmt.Sprintf("the reference was made %s; a window ends at most a year after that", ref.Made))
	}
	if f, ok := w.Made.FirstMonth(); ok {
		if last, known := ref.Made.LastMonth(); known && f > last+slackMonths {
			r.add(at+".made", w.Made.String(), fmt.Sprintf("the reference was made %s, which had ended", ref.Made))
		}
	}
	if l, ok := w.Made.LastMonth(); ok {
		if first, known := ref.Made.FirstMonth(); known && l < first-slackMonths {
			r.add(at+".made", w.Made.String(), fmt.Sprintf("the reference was made %s, which had not begun", ref.Made))
		}
	}
}

// Months gives the first and the last month of the window. A side left open is
// closed by the production span of the reference; ok is false where that is open
// too, or no window is given.
func (w Window) Months(span edtf.Date) (first, last edtf.Month, ok bool) {
	if w.Made.IsZero() {
		return 0, 0, false
	}
	first, a := w.Made.FirstMonth()
	if !a {
		first, a = span.FirstMonth()
	}
	last, b := w.Made.LastMonth()
	if !b {
		last, b = span.LastMonth()
	}
	return first, last, a && b && first <= last
}

// Soft is how gradually the variant came and went, in months.
func (w Window) Soft() float64 {
	if w.SoftMonths == 0 {
		return defaultSoftMonths
	}
	return w.SoftMonths
}

// Weight is the share of the variant in this window, 1 where none is stated.
func (w Window) Weight() float64 {
	if w.Share == 0 {
		return 1
	}
	return w.Share
}

// checkSelfOverlap reports two windows of one variant that share more than the
// month in which one gives way to the other.
func (r *report) checkSelfOverlap(ref *Reference, v *Variant, at string) {
	for i := range v.Windows {
		for j := range i {
			if months := overlap(v.Windows[i], v.Windows[j], ref.Made); months > 1 {
				r.add(fmt.Sprintf("%s.windows[%d]", at, i), fmt.Sprintf("%s, which shares %d months with %s",
					v.Windows[i].Made, months, v.Windows[j].Made),
					"windows of one variant follow each other; join them or end one earlier")
			}
		}
	}
}

// checkOverlaps reports two variants that both claim all watches of the same
// months.
func (r *report) checkOverlaps(ref *Reference, s *Slot, at string) {
	for i := range s.Variants {
		for j := range i {
			a, b := &s.Variants[j], &s.Variants[i]
			for k, w := range b.Windows {
				for _, u := range a.Windows {
					months := overlap(w, u, ref.Made)
					if w.Share != 0 || u.Share != 0 || float64(months) <= w.Soft()+u.Soft() {
						continue
					}
					r.add(fmt.Sprintf("%s.variants[%d].windows[%d]", at, i, k),
						fmt.Sprintf("%s, which shares %d months with %s of %q", w.Made, months, u.Made, a.ID),
						"give each a share, or end one earlier")
				}
			}
		}
	}
}

// overlap is the number of months that two windows share.
func overlap(a, b Window, span edtf.Date) int {
	if !slices.Equal(a.Markets, b.Markets) { // parallel supply for one market
		return 0
	}
	f1, l1, ok1 := a.Months(span)
	f2, l2, ok2 := b.Months(span)
	if !ok1 || !ok2 {
		return 0
	}
	return max(0, int(min(l1, l2)-max(f1, f2))+1)
}

// checkCover reports months of the production span in which no variant was fitted.
func (r *report) checkCover(ref *Reference, s *Slot, at string) {
	first, a := ref.Made.FirstMonth()
	last, b := ref.Made.LastMonth()
	if !a || !b {
		return
	}
	type run struct{ first, last edtf.Month }
	var runs []run
	for _, v := range s.Variants {
		for _, w := range v.Windows {
			f, l, ok := w.Months(ref.Made)
			if !ok {
				return // reported already
			}
			runs = append(runs, run{f, l})
		}
	}
	sort.Slice(runs, func(i, j int) bool { return runs[i].first < runs[j].first })
	gap := func(f, l edtf.Month) {
		r.add(at+".variants", fmt.Sprintf("no variant from %s to %s", f, l),
			fmt.Sprintf("the reference was made %s; widen a window, or add the variant fitted then", ref.Made))
	}
	next := first
	for _, x := range runs {
		if x.first > next && next <= last {
			gap(next, min(x.first-1, last))
		}
		next = max(next, x.last+1)
	}
	if next <= last {
		gap(next, last)
	}
}

func (r *report) checkRule(m *Maker, ref *Reference, rule *Rule, at string) {
	r.checkMarkets(rule.Markets, at)
	r.checkSlotName(at+".slot", rule.Slot)
	known := belongings(m, ref, rule.Slot)
	for i, id := range rule.Never {
		r.refers(fmt.Sprintf("%s.never[%d]", at, i), id, "variants", known)
	}
	for i, id := range rule.Only {
		r.refers(fmt.Sprintf("%s.only[%d]", at, i), id, "variants", known)
	}
	if len(rule.Never) == 0 && len(rule.Only) == 0 && rule.With == nil {
		r.add(at, "a rule that says nothing to check", "give it never, only or with")
	}
	if rule.With == nil {
		return
	}
	if rule.Slot == "" {
		r.add(at+".slot", "nothing", "a rule with needs the slot of its variant")
	}
	r.refers(at+".with.variant", rule.With.Variant, "variants", known)
	r.checkSlotName(at+".with.slot", rule.With.Slot)
	others := belongings(m, ref, rule.With.Slot)
	for i, id := range rule.With.OneOf {
		r.refers(fmt.Sprintf("%s.with.one_of[%d]", at, i), id, "variants", others)
	}
}

// belongings lists what a rule about the slot may name: the slot's variants and,
// where the slot holds them, the maker's bracelets, end pieces or calibres. Without
// a slot it is all of these.
func belongings(m *Maker, ref *Reference, slot evidence.Slot) []string {
	var out []string
	for _, s := range ref.Slots {
		if slot == "" || s.Slot == slot {
			out = append(out, ids(s.Variants, func(v *Variant) string { return v.ID })...)
		}
	}
	if slot == "" || slot == evidence.Bracelet {
		out = append(append(out, ids(m.Bracelets, braceletID)...), Strap)
	}
	if slot == "" || slot == evidence.EndPieces {
		out = append(out, ids(m.EndPieces, endPieceID)...)
	}
	if slot == "" || slot == evidence.Movement {
		out = append(out, ids(m.Calibres, calibreID)...)
	}
	return out
}

package notes

import (
	"slices"

	"midcase/condition"
	"midcase/evidence"
)

// verdict is what a quality says of the feature beside it, or of the slot spoken of. A
// denied quality is its opposite.
func (r *passage) verdict(quality string, k int, denied bool) (verdict, int, bool) {
	if denied {
		flipped, ok := r.Flips[quality]
		if !ok {
			if v, f, found := r.verdict(quality, k, false); found {
				if opposite := r.Opposites[v.term]; opposite != "" {
					return verdict{term: opposite}, f, true
				}
			}
			return verdict{}, 0, false
		}
		quality = flipped
	}
	_, soon := r.slotSoon(r.ev[k].last)
	ofTheNext := soon && !r.rightBehindSlot(k) && (quality == "new" || quality == "wrong")
	if f, ok := r.featureNear(k); ok && (!ofTheNext || f == k+1) {
		if v, ok := r.pair[[2]string{r.feature(f), quality}]; ok {
			if on := f + 1; on < len(r.ev) {
				if _, ok := r.featureOn(on, quality); ok && r.ev[on].first < r.ev[k].first {
					v.slot = evidence.Slot(r.Features[r.feature(on)].Slot)
				}
			}
			return v, f, true
		}
		if quality == "new" || quality == "wrong" {
			return verdict{}, 0, false // new hands, not new lume on them, is said of the slot
		}
	}
	if a, ok := r.Always[quality]; ok {
		return verdict{
			term:     a[1].(string),
			severity: int(a[2].(float64)),
			slot:     evidence.Slot(a[0].(string)),
		}, -1, true
	}
	slot := r.slotAt(r.ev[k].first)
	if next, ok := r.slotSoon(r.ev[k].last); ok && !r.rightBehindSlot(k) && (quality == "new" || quality == "wrong") {
		slot = next
	}
	if v, ok := r.bySlot[[2]string{string(slot), quality}]; ok &&
		(v.only == "" || r.all[r.ev[k].first].norm == v.only && r.lately(r.ev[k].first)) {
		return v, -1, true
	}
	if q, ok := r.QualityTerms[quality]; ok {
		v := verdict{term: q[0].(string), severity: int(q[1].(float64))}
		if t, ok := condition.Lookup(v.term); ok && t.Fits(string(slot)) {
			return v, -1, true
		}
	}
	if (quality == "new" || quality == "wrong") && slices.Contains(r.Replaceable, string(slot)) {
		v := verdict{term: "replaced", severity: -1, slot: slot}
		if quality == "wrong" {
			v.severity = 4
		}
		return v, -1, true
	}
	return verdict{}, 0, false
}

// rightBehindSlot reports whether an event follows a part's name at once, so that it is said of that one: "crystal
// new movement dirty".
func (r *passage) rightBehindSlot(k int) bool {
	if k == 0 || r.ev[k-1].last != r.ev[k].first-1 {
		return false
	}
	if q, ok := r.ev[k-1].is(isQuality); ok && (q == "new" || q == "wrong") {
		return r.rightBehindSlot(k - 1) // "seconds hand replaced wrong shape"
	}
	return r.ev[k-1].role == isSlot && r.opensAt(k-1)
}

// lately reports whether the slot spoken of was named not long before a token.
func (r *passage) lately(i int) bool {
	const reach = 8
	n := 0
	for j := i; j >= 0 && n <= reach; j-- {
		if k := r.at[j]; k >= 0 && r.opensAt(k) {
			return true
		}
		if r.all[j].kind != mark {
			n++
		}
	}
	return false
}

// featureNear finds the feature that a quality is said of: the last one before it in the
// sentence with no other slot between, or the one right behind it ("crisp print").
func (r *passage) featureNear(k int) (int, bool) {
	const back, ahead = 7, 2
	e := r.ev[k]
	quality, _ := e.is(isQuality)
	if k+1 < len(r.ev) {
		next := r.ev[k+1]
		if f, ok := next.is(isFeature); ok && next.first-e.last <= ahead-1 && !r.between(e.last, next.first) {
			if _, fits := r.pair[[2]string{f, quality}]; fits && !r.featureBefore(k, back) {
				return k + 1, true
			}
		}
	}
	if f, ok := r.lostFeature(k, quality); ok {
		return f, true
	}
	reach := back
	for j := k - 1; j >= 0 && e.first-r.ev[j].last <= reach; j-- {
		if r.sentenceBreak(r.ev[j].last, e.first) {
			break
		}
		if r.excepts(r.ev[j]) {
			reach += back // what is excepted is one of those spoken of
		}
		if r.all[r.ev[j].first].norm == "otherwise" {
			break // of the rest
		}
		if r.ev[j].has(isFeature) {
			if r.used[r.ev[j].first] && r.feature(j) == "number_mark" && j+1 < len(r.ev) && r.ev[j+1].role == isNumber {
				break // of the number itself
			}
			if first, ok := r.featureOn(j, quality); ok {
				return first, true
			}
			return j, true
		}
		if r.ev[j].role == isSlot && r.opensAt(j) && !r.afterOn(r.ev[j]) && !r.markedOn(j) {
			break
		}
	}
	return 0, false
}

// lostFeature is what something has lost: "the lugs have lost their chamfers".
func (r *passage) lostFeature(k int, quality string) (int, bool) {
	const ahead = 4
	if n := r.at0(r.ev[k].first); n != "lost" && n != "losing" {
		return 0, false
	}
	for j := k + 1; j < len(r.ev) && r.ev[j].first-r.ev[k].last <= ahead && !r.sentenceBreak(r.ev[k].last, r.ev[j].first); j++ {
		if f, ok := r.ev[j].is(isFeature); ok {
			_, fits := r.pair[[2]string{f, quality}]
			return j, fits
		}
		if r.ev[j].has(isSlot, isTerm) {
			break
		}
	}
	return 0, false
}

// excepts reports whether an event sets apart one of the things spoken of: "all there except the one at eleven".
func (r *script) excepts(e event) bool {
	switch r.at0(e.first) {
	case "except", "exc", "apart", "save", "bar", "excepting":
		return e.role == isCloser
	}
	return false
}

// featureOn is the feature that is on another one, which only says where: "plating on the lugs worn".
func (r *passage) featureOn(k int, quality string) (int, bool) {
	if k == 0 || !r.afterOn(r.ev[k]) || !r.ev[k-1].has(isFeature) || r.between(r.ev[k-1].last, r.ev[k].first) {
		return 0, false
	}
	_, fits := r.pair[[2]string{r.feature(k - 1), quality}]
	return k - 1, fits
}

// feature is the feature that an event can be.
func (r *passage) feature(ev int) string {
	id, _ := r.ev[ev].is(isFeature)
	return id
}

// markedOn reports whether a slot right behind "hallmark" or "case number" only says
// where that is: "hallmark back clear".
func (r *passage) markedOn(ev int) bool {
	return ev > 0 && r.feature(ev-1) == "number_mark" && r.ev[ev].first-r.ev[ev-1].last == 1
}

func (r *passage) featureBefore(k, back int) bool {
	for j := k - 1; j >= 0 && r.ev[k].first-r.ev[j].last <= back; j-- {
		if r.ev[j].has(isFeature) && !r.sentenceBreak(r.ev[j].last, r.ev[k].first) {
			return true
		}
		if r.ev[j].role == isSlot && r.opensAt(j) {
			return false
		}
	}
	return false
}

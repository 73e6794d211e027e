package notes

import "midcase/evidence"

// denied reports whether a negation reaches an event (NegEx): no more than five tokens
// before it, in the same sentence, with no closer ("but", "except"), no other finding
// and no slot named between, unless "or", "nor" or a comma joins them.
func (r *passage) denied(k int) bool { return r.negationBefore(k) < r.ev[k].first }

// negationBefore is the token at which the negation of an event begins, or the event's
// own first token where nothing denies it.
func (r *passage) negationBefore(k int) int {
	const reach = 5
	e := r.ev[k]
	left := reach
	for i := e.first - 1; i >= 0 && left > 0; i-- {
		t := r.all[i]
		if r.ends(i) {
			break
		}
		if t.kind == mark {
			if t.norm == "," || t.norm == "/" {
				if !r.listed(i) {
					break
				}
				continue
			}
			break
		}
		left--
		j := r.at[i]
		if j < 0 {
			continue
		}
		b := r.ev[j]
		switch {
		case b.role == isNegation:
			if r.ofAVerb(b) && e.first-b.last > 3 {
				return e.first
			}
			return b.first
		case b.has(isTerm, isQuality):
			if !r.joinedByOr(b.last, e.first) {
				return e.first
			}
			left += 2
		case b.role == isFeature && b.last+1 != e.first:
			return e.first
		case b.role == isSlot && r.opensAt(j):
			if id, _ := b.is(isSlot); !r.aloneNegated(j) || id == "" {
				return e.first
			}
		case b.endsDenial():
			return e.first
		}
		i = b.first
	}
	return e.first
}

// ofAVerb reports whether a negation denies the verb behind it alone: "doesn't return cleanly, top one fine".
func (r *script) ofAVerb(e event) bool {
	switch r.all[e.first].norm {
	case "doesnt", "dont", "didnt", "wont", "cant", "does", "do", "did", "will":
		return e.first == e.last
	}
	return false
}

// endsDenial reports whether a denial does not reach past the event.
func (e event) endsDenial() bool {
	switch e.role {
	case isCloser, isPseudo, isCorrection, isSpeaker, isNumber, isCode:
		return true
	}
	return false
}

// aloneNegated reports whether a negation stands right before a slot: "no case
// scratches".
func (r *passage) aloneNegated(ev int) bool {
	return ev > 0 && r.ev[ev-1].role == isNegation && r.ev[ev-1].last == r.ev[ev].first-1 &&
		r.ev[ev].role == isSlot &&
		(!r.canBeAbsent(ev) || r.belongsToNext(ev))
}

// belongsToNext reports whether a part only says of what the finding right behind it is: "no crystal scratches".
func (r *passage) belongsToNext(ev int) bool {
	return ev+1 < len(r.ev) && r.ev[ev+1].first == r.ev[ev].last+1 && r.ev[ev+1].has(isTerm)
}

// canBeAbsent reports whether "no" before the slot says that it is not there.
func (r *passage) canBeAbsent(ev int) bool {
	id, _ := r.ev[ev].is(isSlot)
	switch evidence.Slot(id) {
	case evidence.Box,
		evidence.Papers,
		evidence.Bracelet,
		evidence.Clasp,
		evidence.EndPieces,
		evidence.Pushers,
		evidence.Crown,
		evidence.Hands,
		evidence.Crystal:
		return true
	}
	return false
}

// listed reports whether a comma only joins denied things: "no rust, pits or dents".
func (r *passage) listed(comma int) bool {
	for i := comma + 1; i < len(r.all) && i <= comma+6 && !r.ends(i); i++ {
		if n := r.all[i].norm; n == "or" || n == "nor" {
			return true
		}
		if k := r.at[i]; k >= 0 && (r.ev[k].role == isSlot || r.ev[k].role == isNegation) {
			return false
		}
	}
	return false
}

// joinedByOr reports whether only "or", "nor", "and" or commas stand between two tokens.
func (r *passage) joinedByOr(from, to int) bool {
	any := false
	for i := from + 1; i < to; i++ {
		switch r.all[i].norm {
		case "or", "nor", ",", "/":
			any = true
		case "and":
		default:
			if k := r.at[i]; k >= 0 && r.ev[k].role == isDegree || r.filler[r.all[i].norm] {
				continue
			}
			return false
		}
	}
	return any
}

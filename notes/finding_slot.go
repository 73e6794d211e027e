package notes

import (
	"strings"

	"midcase/condition"
	"midcase/evidence"
)

// slotOf is the slot that a finding is on: named behind it ("polish on the case"), right
// behind it ("cracked crystal"), spoken of, spoken of before in the sentence, or the one
// where such a finding usually is.
func (r *passage) slotOf(t condition.Term, c candidate, at int) (evidence.Slot, bool) {
	current := r.slotAt(at)
	if slot, ok := r.slotInside(t, c); ok {
		return slot, true
	}
	if slot, ok := r.slotBehind(t, c.last); ok {
		return slot, true
	}
	if slot, ok := r.slotNext(t, c.last); ok && (!t.Fits(string(current)) || r.saidMuch(c.first) && !r.behindWith(c.first)) {
		return slot, true
	}
	s := r.sentence(at)
	if r.ofTheCase(t, current, at) {
		return evidence.Case, true
	}
	if current != "" && t.Fits(string(current)) {
		return current, true
	}
	for i := len(r.opens) - 1; i >= 0; i-- {
		e := r.ev[r.opens[i].ev]
		if e.first < at && e.first >= s.first && t.Fits(string(r.opens[i].slot)) && r.punctuated() {
			return r.opens[i].slot, true
		}
	}
	if current == evidence.Crystal && t.ID == "polished" && r.lately(at) {
		return "", false // a crystal polished clear again is no polish of the case
	}
	if r.saidOfOther(t, c) || r.strictlyOf(t, c, current) || r.at0(c.last+1) == "them" {
		return "", false
	}
	if slot := r.DefaultSlot[t.ID]; slot != "" && t.Fits(slot) {
		return evidence.Slot(slot), true
	}
	return "", false
}

// strictlyOf reports whether a finding that the part spoken of cannot have is not taken for one of its usual part: an
// engraved bezel is no engraved back, a weak amplitude no weak clasp.
func (r *passage) strictlyOf(t condition.Term, c candidate, current evidence.Slot) bool {
	switch t.ID {
	case "unpolished": // lume that nobody touched says nothing of the case
		return current != "" && current != evidence.Movement && strings.HasSuffix(r.at0(c.last), "touched") &&
			c.said.first > 0 && r.at0(c.first) != "case"
	case "refinished": // repainted figures of a bezel are no redone dial
		return (current == evidence.Bezel || current == evidence.Case) && strings.HasPrefix(r.at0(c.first), "repaint")
	case "engraved":
		return current != "" && current != evidence.Papers && current != evidence.Box
	case "weak":
		return current != "" && current != evidence.EndPieces
	}
	return false
}

// ofTheCase reports whether a finding that is nearly always one of the case is said in a later sentence than the back
// was named in: "on the back it says KR-1. It was never polished."
func (r *passage) ofTheCase(t condition.Term, current evidence.Slot, at int) bool {
	if current != evidence.CaseBack || r.DefaultSlot[t.ID] != string(evidence.Case) || t.ID == "dents" || t.ID == "corrosion" {
		return false
	}
	first := r.sentence(at).first
	for i := len(r.opens) - 1; i >= 0; i-- {
		if e := r.ev[r.opens[i].ev]; e.first < at {
			return e.first < first && r.all[first-1].kind == mark
		}
	}
	return false
}

// slotInside finds the slot that the words of the finding name themselves: "outer box
// only".
func (r *script) slotInside(t condition.Term, c candidate) (evidence.Slot, bool) {
	for i := c.first; i <= c.last; i++ {
		for _, p := range r.byFirst[r.all[i].norm] {
			if p.role == isSlot && len(p.words) == 1 && len(p.words[0]) > 2 && t.Fits(p.id) {
				return evidence.Slot(p.id), true
			}
		}
	}
	return "", false
}

// punctuated reports whether the text has sentences.
func (r *script) punctuated() bool {
	n := 0
	for i := range r.all {
		if r.ends(i) {
			n++
		}
	}
	return n*40 >= len(r.all)
}

// slotBehind finds "on the case" behind a finding.
func (r *passage) slotBehind(t condition.Term, last int) (evidence.Slot, bool) {
	ahead := 5
	if r.punctuated() {
		ahead = 8
	}
	for j := last + 1; j < len(r.all) && j <= last+ahead && !r.ends(j) && r.all[j].norm != ","; j++ {
		k := r.at[j]
		if k < 0 {
			continue
		}
		e := r.ev[k]
		id, ok := e.is(isSlot)
		if f, is := e.is(isFeature); is && !ok {
			id, ok = r.Features[f].Slot, true
		}
		if ok {
			return evidence.Slot(id), r.afterOn(e) && t.Fits(id)
		}
		if (e.role == isTerm || e.role == isQuality) && !e.has(isDegree) {
			return "", false
		}
	}
	return "", false
}

// slotAfterOn is the slot named after on or in behind a finding, whatever is found.
func (r *passage) slotAfterOn(last int) evidence.Slot {
	const ahead = 4
	for j := last + 1; j < len(r.all) && j <= last+ahead && !r.ends(j) && r.all[j].norm != ","; j++ {
		if k := r.at[j]; k >= 0 {
			if id, ok := r.ev[k].is(isSlot); ok && r.afterOn(r.ev[k]) {
				return evidence.Slot(id)
			}
			if !r.ev[k].has(isDegree) {
				return ""
			}
		}
	}
	return ""
}

// saidOfOther reports whether a finding follows right behind a slot that it cannot be on, so that it is said of that
// one: "clasp damaged".
func (r *passage) saidOfOther(t condition.Term, c candidate) bool {
	for j := c.said.first - 1; j >= 0 && r.all[j].kind == word; j-- {
		k := r.at[j]
		switch {
		case k < 0 && r.filler[r.all[j].norm]:
		case k >= 0 && r.ev[k].has(isDegree, isThere):
		case k >= 0:
			id, ok := r.ev[k].is(isSlot)
			if ok && (t.ID == "polished" || t.ID == "unpolished") && (id == string(evidence.Dial) || id == string(evidence.Papers)) {
				return false // "silver dial polished" says so of the case
			}
			return ok && !t.Fits(id)
		default:
			return false
		}
	}
	return false
}

// slotNext finds the slot named right behind a finding: "cracked crystal".
func (r *passage) slotNext(t condition.Term, last int) (evidence.Slot, bool) {
	j := last + 1
	for r.at0(j) == "the" {
		j++
	}
	if j >= len(r.all) || r.all[j].kind != word || r.at[j] < 0 || r.predicate(last) {
		return "", false
	}
	if t := r.all[j].text; strings.HasSuffix(t, "'s") || strings.HasSuffix(t, "’s") {
		return "", false // "… everyday scuffs crown's the fluted one"
	}
	id, ok := r.ev[r.at[j]].is(isSlot)
	return evidence.Slot(id), ok && t.Fits(id)
}

// behindWith reports whether "with" joins a finding to what was named before it: "bezel plain with some scratches".
func (r *script) behindWith(first int) bool {
	for i := first - 1; i >= max(0, first-2); i-- {
		if w := r.at0(i); w == "with" || w == "has" || w == "shows" {
			return true
		}
	}
	return r.at0(first) == "with"
}

// slotSoon finds a slot named within two words: "new leather strap".
func (r *passage) slotSoon(last int) (evidence.Slot, bool) {
	if r.predicate(last) {
		return "", false
	}
	for j := last + 1; j < len(r.all) && j <= last+2 && r.all[j].kind == word && r.at0(j) != "on" && r.at0(j) != "in"; j++ {
		if k := r.at[j]; k >= 0 {
			if id, ok := r.ev[k].is(isSlot); ok {
				return evidence.Slot(id), true
			}
		}
	}
	return "", false
}

// predicate reports whether the words that end at a token are said of something before
// them: "looks replaced", "it is a scratch".
func (r *script) predicate(last int) bool {
	for i := last - 1; i >= 0 && i >= last-3; i-- {
		switch r.at0(i) {
		case "is", "are", "was", "were", "does", "doesnt", "dont", "looks", "look", "seems", "been", "has", "have", "had", "got", "thats":
			return true
		case "its", "it", "that", "there":
			switch next := r.at0(i + 1); {
			case strings.ContainsAny(r.all[i].text, "'’"), r.at0(i) == "its" && (next == "a" || next == "not" || next == "been"):
				return true
			}
		}
	}
	return false
}

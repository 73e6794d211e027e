package notes

import (
	"strings"

	"midcase/evidence"
	"midcase/money"
)

// needing are the words by which work is said to be still to do.
var needing = map[string]bool{"needs": true, "need": true, "requires": true, "require": true, "wants": true}

// mostObject is how many words name what is needed: "new sweep second hand".
const mostObject = 3

// needs proposes work that is still to do: "needs a new gasket", "crystal needs replacing, about 80 euro". What is
// needed is not there yet, so that none of its words says that a part was replaced.
func (r *reader) needs() {
	for i := range r.all {
		if !needing[r.at0(i)] || r.used[i] {
			continue
		}
		n, last, ok := r.newPart(i)
		if !ok {
			n, last, ok = r.toReplace(i)
		}
		if !ok {
			continue
		}
		r.needed = append(r.needed, reach{i, last})
		if cost, end, ok := r.costAfter(last); ok {
			n.Cost, last = cost, end
		}
		r.propose(&n, i, last, 0.85)
	}
}

// newPart reads "needs a new mainspring".
func (r *reader) newPart(i int) (n evidence.Need, last int, ok bool) {
	j := i + 1
	for r.at0(j) == "a" || r.at0(j) == "an" || r.at0(j) == "some" {
		j++
	}
	if w := r.at0(j); w != "new" && w != "replacement" {
		return n, 0, false
	}
	from := j + 1
	for j = from; j < len(r.all) && j < from+mostObject && r.all[j].kind == word && !r.endsObject(j); j++ {
		if k := r.at[j]; k >= 0 && n.Slot == "" {
			slot, _ := r.ev[k].is(isSlot)
			n.Slot = evidence.Slot(slot)
		}
	}
	if j == from {
		return n, 0, false
	}
	n.What = "new " + strings.ToLower(r.words(from, j-1))
	return n, j - 1, true
}

// endsObject reports whether a word no longer names what is needed.
func (r *reader) endsObject(i int) bool {
	switch w := r.at0(i); w {
	case "and", "or", "but", "for", "at", "about", "around", "say", "est", "estimate", "on", "in", "before", "which", "that",
		"otherwise", "as", "because", "is", "are", "to", "the", "i", "we", "it", "cost", "costs":
		return true
	default:
		return isNumberWord(w) || currencies[w] != ""
	}
}

// toReplace reads "needs replacing" and "needs to be replaced" of the part spoken of.
func (r *reader) toReplace(i int) (n evidence.Need, last int, ok bool) {
	switch {
	case r.at0(i+1) == "replacing" || r.at0(i+1) == "renewing" || r.at0(i+1) == "changing":
		last = i + 1
	case r.at0(i+1) == "to" && r.at0(i+2) == "be" && (r.at0(i+3) == "replaced" || r.at0(i+3) == "renewed"):
		last = i + 3
	default:
		return n, 0, false
	}
	slot := r.slotAt(i)
	if slot == "" {
		return n, 0, false
	}
	return evidence.Need{What: "new " + slotName(slot), Slot: slot}, last, true
}

// costAfter is the sum that follows a token within two words: ", about 80 euro", "est CHF 420".
func (r *reader) costAfter(i int) (cost money.Money, last int, ok bool) {
	for j := i + 1; j <= i+3 && j < len(r.all) && !r.ends(j); j++ {
		if s, ok := r.sumAt(j); ok {
			return s.low, s.last, true
		}
		n, ok := numberAt(r.all, j)
		if !ok || !n.spoken || n.sign != 0 || n.last+1 >= len(r.all) {
			continue
		}
		cur := currencies[r.at0(n.last+1)]
		if cost, err := money.Parse(n.digits(), cur); err == nil && cur != "" && n.whole() {
			return cost, n.last + 1, true
		}
	}
	return cost, 0, false
}

// isNeeded reports whether an event is said of work that is still to do.
func (r *reader) isNeeded(e event) bool {
	for _, w := range r.needed {
		if w.holds(e.first) {
			return true
		}
	}
	return false
}

// reserves proposes power reserves: "power reserve 41 hours", "reserve of forty one h".
func (r *reader) reserves() {
	for i := range r.all {
		if r.at0(i) != "reserve" || r.at0(i-1) == "no" || r.at0(i-1) == "without" {
			continue
		}
		first := i
		if r.at0(i-1) == "power" {
			first = i - 1
		}
		j := i + 1
		for r.at0(j) == "of" || r.at0(j) == "is" || r.at0(j) == "was" || r.at0(j) == ":" || r.at0(j) == "about" {
			j++
		}
		n, ok := r.numberEvent(j)
		if !ok {
			continue
		}
		v, ok := n.within(leastReserve, mostReserve)
		if unit := r.at0(n.last + 1); !ok || unit != "h" && unit != "hrs" && unit != "hours" && unit != "hour" {
			continue
		}
		r.propose(&evidence.Trial{What: evidence.TrialReserve, Value: v, Unit: "h"}, first, n.last+1, 0.9)
	}
}

// Hours that a watch wound by hand can run.
const (
	leastReserve = 5
	mostReserve  = 250
)

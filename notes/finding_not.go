package notes

import (
	"strings"

	"midcase/evidence"
)

// What looks like a finding and is none: another sense of its words, a good point too many, something that was once.

// deadLume reports whether "dead" is said of what glows: "UV: dead", "lume dead".
func (r *passage) deadLume(e event) bool {
	if r.at0(e.first) != "dead" {
		return false
	}
	i := e.first - 1
	for i > 0 && (r.all[i].kind == mark || r.filler[r.at0(i)]) {
		i--
	}
	switch r.at0(i) {
	case "uv", "ultraviolet", "lamp", "light", "torch":
		return true
	}
	if i < 0 || r.at[i] < 0 {
		return false
	}
	f, ok := r.ev[r.at[i]].is(isFeature)
	return ok && f == "lume"
}

// tooMuch are good qualities that are none where there is too much of them: "too even", "too crisp".
var tooMuch = map[string]bool{"even": true, "crisp": true, "bright": true}

// spentDenial reports whether a negation in front of a good quality denies something else, whose name nothing reads: "no
// ring fine print". A fault is never made of such a denial.
func (r *passage) spentDenial(k int) bool {
	e := r.ev[k]
	q, ok := e.is(isQuality)
	if _, flips := r.Flips[q]; !ok || !flips || q == "gone" || q == "soft" || q == "thin" || q == "new" || q == "unlike" {
		return false
	}
	first := r.negationBefore(k)
	if first >= e.first || r.at[first] < 0 {
		return false
	}
	from := r.ev[r.at[first]].last
	for i := from + 1; i < e.first; i++ {
		if r.at[i] < 0 && r.all[i].kind == word && !r.filler[r.all[i].norm] && !adverb(r.all[i].norm) {
			return true
		}
	}
	return false
}

func adverb(w string) bool {
	return strings.HasSuffix(w, "ly") || w == "all" || w == "quite" || w == "very"
}

// surfaceOf is what "redone" means where a case or bracelet is spoken of: its surface, and no dial.
func (r *passage) surfaceOf(term string, at int) string {
	switch slot := r.slotAt(at); {
	case term == "refinished" && (slot == evidence.Case || slot == evidence.Bracelet || slot == evidence.Clasp):
		return "refinished_surface"
	}
	return term
}

// saidAgain reports whether the next words say the same of it at once: "whose initials are engraved inside the back".
func (r *passage) saidAgain(k int, term string) bool {
	const near = 3
	if term != "engraved" || k+1 >= len(r.ev) {
		return false
	}
	next := r.ev[k+1]
	id, ok := next.is(isTerm)
	return ok && id == term && next.first-r.ev[k].last <= near && !r.between(r.ev[k].last, next.first)
}

// usedToBe reports whether something was so once: "there used to be rust".
func (r *script) usedToBe(first int) bool {
	const back = 4
	for i := first - 1; i >= max(1, first-back) && !r.ends(i); i-- {
		if r.at0(i) == "to" && r.at0(i-1) == "used" {
			return true
		}
	}
	return false
}

// becomes reports whether "gone" only says what something turned into: "gone soft".
func (r *passage) becomes(k int) bool {
	last := r.ev[k].last
	if r.all[last].norm != "gone" {
		return false
	}
	for i := last + 1; i <= min(len(r.all)-1, last+3); i++ {
		if colours[stem(r.at0(i))] || r.at0(i) == "yellow" || r.at0(i) == "orange" {
			return true
		}
	}
	return k+1 < len(r.ev) && r.ev[k+1].first == last+1 && r.ev[k+1].has(isQuality, isTerm)
}

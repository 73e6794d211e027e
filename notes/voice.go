package notes

import (
	"slices"
	"strings"

	"midcase/evidence"
)

// headLetters are the letters under which people put their notes, part by part.
var headLetters = map[string]string{"c": "case", "d": "dial", "h": "hands", "b": "bezel", "x": "crystal",
	"g": "crystal", "m": "movement", "cr": "crown", "p": "pushers", "push": "pushers", "cb": "caseback", "sc": "caseback",
	"mv": "movement", "br": "bracelet"}

// heads reads "d: slate, no marks" as speaking of the dial, where three lines or sentences or more begin so. "B: no"
// and "P: none" are box and papers all the same.
func (r *script) heads() {
	const fewest = 3
	var at []int
	others := 0 // parts written out or shortened otherwise, at such a place
	for i, t := range r.all {
		begins := i == 0 || r.ends(i-1) || r.at0(i-1) == "." // also behind "dl."
		if !begins || r.at0(i+1) != ":" {
			continue
		}
		if headLetters[t.norm] == "" {
			if r.namesSlot(t.norm) {
				others++
			}
			continue
		}
		switch r.at0(i + 2) {
		case "no", "none", "yes", "missing":
		default:
			at = append(at, i)
		}
	}
	if len(at)+others < fewest {
		return
	}
	for _, i := range at {
		r.all[i].norm = headLetters[r.all[i].norm]
	}
}

// namesSlot reports whether a word by itself names a part.
func (l *lexicon) namesSlot(w string) bool {
	return slices.ContainsFunc(l.byFirst[w], func(p phrase) bool { return p.role == isSlot && len(p.words) == 1 })
}

// bareSerial reads the number that is said right after the reference, without a word for it: "a K thirty-one
// two nine one double four".
func (r *reader) bareSerial(k int) bool {
	const fewest = 4
	e := r.ev[k]
	typed := !e.n.spoken && (e.n.grouped || len(e.n.digits()) >= 5)
	if !e.n.spoken && !typed || !e.n.whole() && !e.n.grouped || len(e.n.digits()) < fewest || k == 0 || r.used[e.first] ||
		slices.ContainsFunc(r.out, func(it Item) bool {
			m, ok := it.Data.(*evidence.Mark)
			return ok && m.What == r.bareNumber()
		}) {
		return false
	}
	before := r.ev[k-1]
	joined := before.last == e.first-1 || typed && before.last == e.first-2 && strings.Contains("/,#", r.at0(e.first-1))
	if before.role != isCode || !joined || !strings.HasPrefix(before.id, "reference") {
		return false
	}
	r.propose(&evidence.Mark{What: r.bareNumber(), Text: e.n.digits()}, e.first, e.last, 0.7)
	return true
}

// hearsay keeps in their own words what others say, where nothing else was read of it.
func (r *reader) hearsay() {
	const fewest = 2 // words that tell something
	for _, w := range r.claims {
		end := min(w.last+1, len(r.all))
		if w.first >= end || slices.Contains(r.used[w.first:end], true) {
			continue
		}
		first, last, says := -1, -1, 0
		for i := w.first; i < end; i++ {
			if k := r.all[i].kind; k != word && k != figure {
				continue
			}
			if first < 0 {
				first = i
			}
			last = i
			if r.tells(i) {
				says++
			}
		}
		if says >= fewest {
			r.claim("history", first, last, 0.6)
		}
	}
}

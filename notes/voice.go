package notes

import (
	"slices"
	"strings"

	"midcase/evidence"
)

// sellerSpeaks are words by which a whole text shows that a seller wrote it.
var sellerSpeaks = []string{"i am selling", "im selling", "i would like to sell", "id like to sell", "i want to sell",
	"i wish to sell", "we would like to sell", "we are selling", "i am offering", "we are offering", "for sale is my",
	"selling my", "selling this for", "i inherited", "my late", "would you be interested", "are you interested in buying",
	"my fathers", "my grandfathers", "my husbands", "my uncles", "my grandfather", "my grandmother", "my late father",
	"we hope to get", "i hope to get", "we found in a drawer", "kind regards", "best regards", "yours sincerely",
	"yours faithfully", "dear sir", "dear sirs", "dear madam", "dear mr", "dear mrs", "dear ms"}

// byTheSeller reports whether the writer of a text sells the watch himself.
func (r *script) byTheSeller() bool {
	var norms []string
	for _, t := range r.all {
		norms = append(norms, t.norm)
	}
	text := " " + strings.Join(norms, " ") + " "
	return slices.ContainsFunc(sellerSpeaks, func(s string) bool { return strings.Contains(text, " "+s+" ") })
}

// headLetters are the letters under which people put their notes, part by part.
var headLetters = map[string]string{"c": "case", "d": "dial", "h": "hands", "b": "bezel", "x": "crystal",
	"g": "crystal", "m": "movement", "cr": "crown", "p": "pushers"}

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
	if !e.n.spoken || !e.n.whole() || len(e.n.digits()) < fewest || k == 0 || r.used[e.first] ||
		slices.ContainsFunc(r.out, func(it Item) bool {
			m, ok := it.Data.(*evidence.Mark)
			return ok && m.What == r.bareNumber()
		}) {
		return false
	}
	before := r.ev[k-1]
	if before.role != isCode || before.last != e.first-1 || !strings.HasPrefix(before.id, "reference") {
		return false
	}
	r.propose(&evidence.Mark{What: r.bareNumber(), Text: e.n.digits()}, e.first, e.last, 0.7)
	return true
}

// asked claims the price that is asked: "asking 4,200 euros", "wants 5200 EUR for it".
func (r *reader) asked() {
	for i := range r.all {
		m, ok := r.sumAt(i)
		if !ok || r.used[m.first] || !m.high.IsZero() {
			continue
		}
		if first, ok := r.asksBefore(i); ok {
			r.propose(&evidence.Claim{About: "price", Text: r.words(first, m.last), From: "seller", Price: m.low},
				first, m.last, 0.9)
		}
	}
}

// asksBefore is the word by which a sum is asked for, not far before it.
func (r *script) asksBefore(i int) (int, bool) {
	const back = 3
	for j := i - 1; j >= max(0, i-back) && !r.ends(j); j-- {
		switch r.at0(j) {
		case "asking", "asks", "ask", "asked", "wants", "want", "price", "like", "hope", "hoping", "get", "expect":
			return j, true
		}
	}
	return 0, false
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

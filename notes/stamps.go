package notes

import (
	"strings"

	"midcase/evidence"
)

// roman are the numerals of months and quarters in date stamps, as they are stamped.
var roman = map[string]bool{"I": true, "II": true, "III": true, "IV": true, "V": true, "VI": true, "VII": true,
	"VIII": true, "IX": true, "X": true, "XI": true, "XII": true}

// stampWords are the words by which a stamp is named, or where one is looked for.
var stampWords = map[string]bool{"stamp": true, "stamped": true, "stamps": true, "inside": true, "date": true, "dated": true,
	"code": true, "lid": true, "interior": true}

// romanStamps proposes date stamps with a numeral: "back stamped II 66 inside", "clasp III.68". Behind a part that is
// stamped with dates no word is needed; elsewhere a numeral may count versions.
func (r *reader) romanStamps() {
	for i := range r.all {
		if !roman[r.all[i].text] || r.used[i] || r.at0(i-1) == "mark" || r.at0(i-1) == "type" {
			continue
		}
		last, ok := r.yearBehind(i)
		if !ok {
			continue
		}
		first := i
		if r.stampBefore(i) {
			for j := i - 1; j >= 0 && j >= i-2 && stampWords[r.at0(j)]; j-- {
				first = j
			}
		} else if !datedPart(r.slotAt(i)) {
			continue
		}
		m := &evidence.Mark{What: evidence.MarkDateStamp, Text: r.words(i, last), Slot: r.stampedOn(i, first)}
		if r.at0(last+1) == "inside" {
			last++
		}
		r.propose(m, first, last, 0.9)
	}
}

// behindCalibre reports whether "no." stands right behind a calibre that its movement was named with: "movement C-41,
// no. 81446".
func (r *passage) behindCalibre(k int) bool {
	const near = 3
	if k < 2 || r.ev[k].first-r.ev[k-1].last > near || r.sentenceBreak(r.ev[k-1].last, r.ev[k].first) {
		return false
	}
	kind, _, _ := strings.Cut(r.ev[k-1].id, ":")
	slot, _ := r.ev[k-2].is(isSlot)
	return r.ev[k-1].role == isCode && kind == "calibre" && evidence.Slot(slot) == evidence.Movement &&
		r.ev[k-1].first-r.ev[k-2].last <= near
}

// yearBehind finds a year of two or four figures right behind a token: "66", ".66", "/1966".
func (r *script) yearBehind(i int) (last int, ok bool) {
	j := i + 1
	if w := r.at0(j); w == "." || w == "/" || w == "-" || w == "'" || w == "’" {
		j++
	}
	if j >= len(r.all) || r.all[j].kind != figure {
		return 0, false
	}
	y := r.all[j].text
	if j+1 < len(r.all) && r.all[j+1].joined && r.all[j+1].kind != mark { // 66th, 66k
		return 0, false
	}
	return j, len(y) == 2 && y > "29" || len(y) == 4 && strings.HasPrefix(y, "19")
}

// stampBefore reports whether a stamp is named in the same sentence, a few words before a token.
func (r *script) stampBefore(i int) bool {
	const reach = 5
	for j := i - 1; j >= 0 && j >= i-reach && !r.ends(j); j-- {
		if stampWords[r.at0(j)] {
			return true
		}
	}
	return false
}

// datedPart reports whether a part is stamped with dates.
func datedPart(s evidence.Slot) bool {
	switch s {
	case evidence.CaseBack, evidence.Clasp, evidence.Bracelet, evidence.EndPieces, evidence.Case:
		return true
	}
	return false
}

// stampedOn is the part on which a stamp stands: the one spoken of, where such parts are stamped, else the back.
func (r *reader) stampedOn(i, first int) evidence.Slot {
	slot := r.slotAt(i)
	if !datedPart(slot) || r.at0(first) == "inside" {
		return evidence.CaseBack
	}
	return slot
}

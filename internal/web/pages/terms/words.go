package terms

import (
	"slices"
	"strings"

	"midcase/condition"
)

// Word is a word of the trade or of the pages with what it means here.
type Word struct{ ID, Name, Says string }

// Verdicts are the words for parts.
func Verdicts() []Word {
	return []Word{
		{"fits", "fits", "at least 80 % likely to have left the factory with this watch"},
		{"probably-original", "probably original", "60 to 80 % likely to have left the factory with this watch"},
		{"cannot-tell", "cannot tell", "40 to 60 % likely to have left the factory with this watch"},
		{"probably-replaced", "probably replaced", "more likely fitted since: a service part, or one of a later time"},
		{"does-not-belong", "does not belong", "against the book's rules or its dates"},
		{"surface-redone", "surface redone", "the part may be original, but it was refinished, relumed or plated again"},
		{"missing", "missing", "looked for and not there"},
		{"not-examined", "not examined", "nobody has looked at it yet"},
		{"not-judged", "not judged", "examined, but the book says nothing about it"},
	}
}

// Trade are the other words that pages use, by name.
func Trade() []Word {
	out := []Word{
		{"agreement", "agreement", "the chance of something at least as unexpected as an item of evidence, given all the others; a small one disagrees"},
		{"all-in", "all-in", "an auction price with the buyer's premium; without it, it is the hammer price"},
		{"plus-minus", "±", "half the 90 % range of a figure; where the range is wider on one side, both its ends are given instead. On a form, ± is what the instrument or its certificate states (95 %)"},
		{"amplitude", "amplitude", "how far the balance swings from rest to one side, in degrees; it follows from the sound only with the right lift angle"},
		{"beat-error", "beat error", "half the difference between successive beats, in milliseconds: how unevenly the watch ticks"},
		{"calibre", "calibre", "a type of movement"},
		{"claim", "claim", "what a seller says; kept, and never counted as fact"},
		{"comparable", "comparable", "a past sale that the value is judged by, adjusted towards this watch feature by feature"},
		{"fineness", "fineness", "parts of precious metal in a thousand of an alloy (ISO 9202): 750 is 18 karat gold"},
		{"full-set", "full set", "a watch with its box and its papers"},
		{"grade", "grade", "how good a part or a watch is, from 1 to 10, by a published rubric; the worst parts count most"},
		{"lift-angle", "lift angle", "the angle through which the balance turns while the escapement is in action; the book has it by calibre"},
		{"lug-width", "lug width", "the room between the lugs where the bracelet sits"},
		{"melt-floor", "melt floor", "what the fine metal would bring; never a price for the watch"},
		{"memo", "memo", "goods out with another dealer, unsold, to be sold or given back by a day"},
		{"mid-case", "mid-case", "the middle of the case without crown, guards and lugs, where its size is measured"},
		{"plot", "plot", "one luminous spot on a dial"},
		{"rate", "rate", "how much a watch gains (plus) or loses in a day, in seconds"},
		{"reference", "reference", "a maker's number for a model"},
		{"reference-example", "reference example", "an example kept as the yardstick for its reference"},
		{"service-part", "service part", "a later replacement made by the maker"},
		{"slot", "slot", "a place on a watch that holds a part"},
		{"stretch", "stretch", "how much longer than new a bracelet has become by wear of its links"},
		{"value-range", "range of a value",
			"the 80 % range: the price falls below it in 10 % of cases and above it in 10 %"},
		{"version", "version", "one known form of a part, with the time in which the factory fitted it: its window"},
	}
	slices.SortFunc(out, func(a, b Word) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// Says is what a word of these lists, or a term for findings, means; empty where it is
// of none.
func Says(id string) string {
	for _, w := range slices.Concat(Verdicts(), Trade()) {
		if w.ID == id {
			return w.Says
		}
	}
	if t, ok := condition.Lookup(id); ok {
		return t.Definition
	}
	return ""
}

// Key is a key that does something, where no field has the focus.
type Key struct{ Key, Says string }

// Keys lists the single keys; the same letters work as the browser's access keys.
func Keys() []Key {
	return []Key{
		{"s", "to the search field"}, {"h", "to the stock"}, {"t", "take a watch in"}, {"c", "counter offer"}, {"a",
			"add evidence to the watch that is open"}, {"k", "this list of keys"},
	}
}

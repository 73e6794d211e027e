package notes

import (
	"fmt"

	"midcase/condition"
	"midcase/evidence"
)

// CheckVocabulary lists what words.json names that does not exist, for a test.
func CheckVocabulary() []string {
	l := general()
	var out []string
	wrong := func(where, what string) {
		out = append(out, fmt.Sprintf("words.json: %s: there is no %q", where, what))
	}
	term := func(where, id string) {
		if _, ok := condition.Lookup(id); !ok && id != "" {
			wrong(where, id)
		}
	}
	slot := func(where, id string) {
		if !evidence.Slot(id).Valid() {
			wrong(where, id)
		}
	}
	for id := range l.Terms {
		term("terms", id)
	}
	for id, opposite := range l.Opposites {
		term("opposites", id)
		term("opposites", opposite)
	}
	for id, s := range l.DefaultSlot {
		term("default_slot", id)
		slot("default_slot", s)
	}
	for id := range l.Slots {
		slot("slots", id)
	}
	for key, v := range l.pair {
		if _, ok := l.Features[key[0]]; !ok {
			wrong("pairs", key[0])
		}
		if _, ok := l.Qualities[key[1]]; !ok {
			wrong("pairs", key[1])
		}
		term("pairs", v.term)
	}
	for key, v := range l.bySlot {
		slot("slot_qualities", key[0])
		if _, ok := l.Qualities[key[1]]; !ok {
			wrong("slot_qualities", key[1])
		}
		term("slot_qualities", v.term)
	}
	for _, turn := range l.Turns {
		term("turns", turn[0])
		term("turns", turn[2])
	}
	for from, to := range l.Flips {
		for _, q := range []string{from, to} {
			if _, ok := l.Qualities[q]; !ok {
				wrong("flips", q)
			}
		}
	}
	return out
}

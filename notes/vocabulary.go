package notes

import (
	"fmt"
	"slices"
	"strings"

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
	return append(out, l.checkGlossaries()...)
}

// checkGlossaries lists what glossary.json puts into words that the reader does not know.
func (l *lexicon) checkGlossaries() (out []string) {
	known := map[string]bool{}
	for _, group := range l.byFirst {
		for _, p := range group {
			for _, w := range p.words {
				known[strings.TrimSuffix(w, "*")] = true
			}
		}
	}
	for _, w := range slices.Concat(l.Places, l.Sides, l.Versions, []string{"unsigned", "set", "degrees", "millimetres", "point"}) {
		known[w] = true // of versions, and of what came along
	}
	for m := range l.Months {
		known[m] = true
	}
	for _, letter := range l.Letters {
		known[letter] = true
	}
	for lang, g := range glossaries() {
		all := g.open
		for _, group := range g.byFirst {
			all = append(all, group...)
		}
		for _, x := range all {
			for _, w := range x.means {
				_, figure := units[w]
				if !known[w] && !l.filler[w] && !l.begins(w) && !figure && !l.slipped(w) {
					out = append(out, fmt.Sprintf("glossary.json: %s: %q is put into %q, which no rule reads", lang,
						strings.Join(x.words, " "), w))
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// begins reports whether a word is one of those that a phrase with * stands for.
func (l *lexicon) begins(w string) bool {
	return slices.ContainsFunc(l.starred, func(p phrase) bool { return (p.matches([]token{{norm: w}}, 0)) })
}

func (l *lexicon) slipped(w string) bool {
	return slices.ContainsFunc(l.slips, func(s slip) bool { return slices.Contains(s.words, w) })
}

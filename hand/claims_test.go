package hand_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/hand"
	"midcase/say"
	"midcase/telling"
)

// The watch whose bracelet and clasp are of another time: what a dealer might write of it,
// and what is wrong with that. The sentences are common practice, no published source.
func TestClaimsAgainstTheEvidence(t *testing.T) {
	t.Parallel()
	s, told := swapped(t)
	for sentence, want := range map[string]hand.Kind{
		"All original.":                                   hand.Contradicts,
		"The clasp is original.":                          hand.Contradicts,
		"Fitted with its factory bracelet.":               hand.Contradicts,
		"The dial is free of spots.":                      hand.Contradicts,
		"The hands were replaced.":                        hand.Contradicts,
		"A 1968 example.":                                 hand.Contradicts,
		"It measures 36 mm across.":                       hand.Contradicts,
		"Serviced in 2019.":                               hand.Contradicts,
		"18k yellow gold case.":                           hand.Contradicts,
		"Dial in perfect condition.":                      hand.Contradicts,
		"The bracelet shows no stretch.":                  hand.Contradicts,
		"The case has never been polished.":               hand.Unsupported,
		"The crystal is original.":                        hand.Unsupported,
		"Water resistant to 50 metres.":                   hand.Unsupported,
		"This watch belonged to a pilot.":                 hand.Unsupported,
		"The seconds hand sweeps over enamel.":            hand.Unsupported,
		"An investment.":                                  hand.Unsupported,
		"Extremely rare.":                                 hand.Rarity,
		"One of only 12 known.":                           hand.Rarity,
		"Relumed dial.":                                   hand.Contradicts,
		"It is self-winding.":                             hand.Contradicts,
		"Solid gold throughout.":                          hand.Contradicts,
		"Reference KR-9.":                                 hand.Contradicts,
		"Hand-wound, reference KR-2.":                     "",
		"A stunning watch.":                               hand.Adjective,
		"The finest that we have seen.":                   hand.Adjective,
		"We paid 4,200 EUR for it.":                       hand.Private,
		"Bought from the widow of a collector.":           hand.Private,
		"The serial number is " + serialOf(t, s) + ".":    hand.Private,
		"The dial is original.":                           "",
		"The clasp is a later replacement.":               "",
		"The dial shows light spotting.":                  "",
		"Made in 1965.":                                   "",
		"Runs at +5 s/day.":                               "",
		"The crown is probably original.":                 "",
		"We cannot tell whether the crystal is original.": "",
		"Please ask us for more pictures.":                "",
		"The watch is in steel.":                          "",
		"It is not rare.":                                 "",
	} {
		r := hand.Check(s, told, told.Text+"\n\n"+sentence)
		switch {
		case want == "" && len(r.Marks) > 0:
			t.Errorf("%q is marked: %s: %s", sentence, r.Marks[0].Kind, r.Marks[0].Why)
		case want != "" && !slices.ContainsFunc(r.Marks, func(m hand.Mark) bool { return m.Kind == want }):
			t.Errorf("%q: %+v; want %s", sentence, r.Marks, want)
		}
		for _, m := range r.Marks {
			if m.Why.String() == "" || !strings.Contains(sentence, m.Text) {
				t.Errorf("%q: mark %q without a reason or outside it", sentence, m.Text)
			}
			grounds := len(m.Evidence) > 0 || strings.Contains(sentence, "gold") || strings.Contains(sentence, "KR-9")
			if want == hand.Contradicts && m.Kind == want && !grounds {
				t.Errorf("%q leads to no evidence", sentence)
			}
		}
	}
}

// A disclosure in other words counts, unless it makes the fault smaller or denies it.
func TestADisclosureInOtherWords(t *testing.T) {
	t.Parallel()
	s, told := swapped(t)
	line := ""
	for _, l := range strings.Split(told.Text, "\n") {
		if strings.HasPrefix(l, "Bracelet: stretch") {
			line = l
		}
	}
	for words, kept := range map[string]bool{"The bracelet has stretched slightly.": true,
		"The bracelet has no stretch.": false, "A word on the bracelet.": false} {
		text := strings.Replace(told.Text, line, words, 1)
		left := hand.Check(s, told, text).LeftOut
		if is := len(left) == 0; line == "" || is != kept {
			t.Errorf("%q in place of %q: %+v", words, line, left)
		}
	}
}

func swapped(t *testing.T) (telling.Subject, telling.Told) {
	t.Helper()
	all, err := subjects()
	if err != nil {
		t.Fatal(err)
	}
	s := all[2]
	plan, err := telling.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := say.In("en")
	got, err := plan.Tell(w, telling.Page, 0)
	if err != nil {
		t.Fatal(err)
	}
	return s, got
}

func serialOf(t *testing.T, s telling.Subject) string {
	t.Helper()
	for _, m := range evidence.All[*evidence.Mark](s.File) {
		if m.Data.What == evidence.MarkSerial {
			return m.Data.Text
		}
	}
	t.Fatal("no serial number")
	return ""
}

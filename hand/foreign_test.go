package hand_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/hand"
	"midcase/internal/papers"
	"midcase/telling"
)

// The gravest claims, in the other languages: of the watch whose bracelet and clasp are of another time. The sentences
// are common practice, no published source.
func TestClaimsInOtherLanguages(t *testing.T) {
	t.Parallel()
	s, _ := swapped(t)
	for lang, all := range map[string]map[string]hand.Kind{
		"de": {
			"Das Gehäuse wurde nie poliert.":                        hand.Unsupported,
			"Unpoliertes Gehäuse.":                                  hand.Unsupported,
			"Alles original.":                                       hand.Contradicts,
			"Die Schließe ist original.":                            hand.Contradicts,
			"Mit originalem Band.":                                  hand.Contradicts,
			"Das Glas ist original.":                                hand.Unsupported,
			"Wasserdicht bis 50 Meter.":                             hand.Unsupported,
			"Äußerst selten.":                                       hand.Rarity,
			"Die Uhr ist nicht selten.":                             "",
			"Das Zifferblatt ist original.":                         "",
			"Die Schließe ist nicht original.":                      "",
			"Wir wissen nicht, ob das Glas original ist.":           "",
			"Die Uhr ist nicht wasserdicht.":                        "",
			"Wenden Sie sich für weitere Bilder gern an uns.":       "",
			"Wir zeigen Ihnen die Uhr gern bei uns im Geschäft vor": "",
		},
		"fr": {
			"Le boîtier n’a jamais été poli.":              hand.Unsupported,
			"Entièrement d’origine.":                       hand.Contradicts,
			"Le fermoir est d’origine.":                    hand.Contradicts,
			"Le verre est d'origine.":                      hand.Unsupported,
			"Étanche à 50 mètres.":                         hand.Unsupported,
			"Extrêmement rare.":                            hand.Rarity,
			"Elle n’est pas rare.":                         "",
			"Le cadran est d’origine.":                     "",
			"Le fermoir n’est pas d’origine.":              "",
			"On ignore si le verre est d’origine.":         "",
			"La montre n’est pas étanche.":                 "",
			"N’hésitez pas à nous demander d’autres vues.": "",
		},
		"it": {
			"La cassa non è mai stata lucidata.":       hand.Unsupported,
			"Completamente originale.":                 hand.Contradicts,
			"La chiusura è originale.":                 hand.Contradicts,
			"Il vetro è originale.":                    hand.Unsupported,
			"Impermeabile fino a 50 metri.":            hand.Unsupported,
			"Estremamente raro.":                       hand.Rarity,
			"Non è raro.":                              "",
			"Il quadrante è originale.":                "",
			"La chiusura non è originale.":             "",
			"Non sappiamo se il vetro sia originale.":  "",
			"L’orologio non è impermeabile.":           "",
			"Ci chieda pure altre immagini del fondo.": "",
		},
	} {
		told, err := papers.Tell(s, telling.Page, lang, 0)
		if err != nil {
			t.Fatal(err)
		}
		for sentence, want := range all {
			r := hand.Check(s, told, told.Text+"\n\n"+sentence)
			switch {
			case want == "" && len(r.Marks) > 0:
				t.Errorf("%s: %q is marked: %s: %s", lang, sentence, r.Marks[0].Kind, r.Marks[0].Why)
			case want != "" && !slices.ContainsFunc(r.Marks, func(m hand.Mark) bool { return m.Kind == want }):
				t.Errorf("%s: %q: %+v; want %s", lang, sentence, r.Marks, want)
			}
			for _, m := range r.Marks {
				if m.Why.String() == "" || !strings.Contains(sentence, m.Text) {
					t.Errorf("%s: %q: mark %q without a reason or outside it", lang, sentence, m.Text)
				}
				if m.Kind == hand.Contradicts && len(m.Evidence) == 0 {
					t.Errorf("%s: %q leads to no evidence", lang, sentence)
				}
			}
		}
	}
}

package hand_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/hand"
	"midcase/internal/papers"
	"midcase/telling"
)

// Services, sizes and denied faults, in the other languages. The watch has scratches, corrosion and spots on record,
// nobody looked for cracks, it was serviced in 2014, and its mid-case measures 34.4 mm, 42.1 mm over the lugs.
func TestServicesSizesAndDeniedFaultsInOtherLanguages(t *testing.T) {
	t.Parallel()
	s, _ := swapped(t)
	for lang, all := range map[string]map[string]hand.Kind{
		"de": {
			"Das Gehäuse hat keine Kratzer.":                hand.Contradicts,
			"Ohne Rost oder Korrosion.":                     hand.Contradicts,
			"Frei von Flecken.":                             hand.Contradicts,
			"Weder Risse noch Ausbrüche.":                   hand.Unsupported,
			"Das Zifferblatt hat keine Risse.":              hand.Unsupported,
			"Die Uhr ist nicht ohne Kratzer.":               "",
			"Ob es Risse gibt, wissen wir nicht.":           "",
			"2014 revidiert.":                               "",
			"Die Uhr wurde 2022 revidiert.":                 hand.Contradicts,
			"Frisch revidiert.":                             hand.Contradicts,
			"Eine Revision ist fällig.":                     "",
			"Sie wurde nicht revidiert, seit wir sie haben": "",
			"Der Durchmesser beträgt 34,4 mm.":              "",
			"Durchmesser 36 mm.":                            hand.Contradicts,
			"42,1 mm Höhe über die Hörner.":                 "",
			"Bauhöhe 42,1 mm.":                              hand.Contradicts,
			"Durchmesser 34,4 mm, Bauhöhe 12,2 mm.":         "",
			"Zifferblattdurchmesser 29 mm.":                 hand.Unsupported,
		},
		"fr": {
			"Le boîtier n’a aucune rayure.":        hand.Contradicts,
			"Sans rouille ni corrosion.":           hand.Contradicts,
			"Pas de fissures.":                     hand.Unsupported,
			"Elle n’est pas sans rayures.":         "",
			"Révisée en 2014.":                     "",
			"La montre a été révisée en 2022.":     hand.Contradicts,
			"Révision récente.":                    hand.Contradicts,
			"Une révision est à prévoir.":          "",
			"Le diamètre est de 34,4 mm.":          "",
			"Diamètre : 36 mm.":                    hand.Contradicts,
			"Diamètre 34,4 mm, épaisseur 12,2 mm.": "",
			"Diamètre du cadran 29 mm.":            hand.Unsupported,
			"Épaisseur 34,4 mm.":                   hand.Contradicts,
		},
		"it": {
			"La cassa non ha graffi.":                  hand.Contradicts,
			"Senza ruggine.":                           hand.Contradicts,
			"Nessuna crepa.":                           hand.Unsupported,
			"Non è senza graffi.":                      "",
			"Revisionato nel 2014.":                    "",
			"L’orologio è stato revisionato nel 2022.": hand.Contradicts,
			"Appena revisionato.":                      hand.Contradicts,
			"Occorre una revisione.":                   "",
			"Il diametro è di 34,4 mm.":                "",
			"Diametro 36 mm.":                          hand.Contradicts,
			"Diametro 34,4 mm, spessore 12,2 mm.":      "",
			"Spessore 34,4 mm.":                        hand.Contradicts,
		},
	} {
		heldAgainst(t, s, lang, all)
	}
}

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
		heldAgainst(t, s, lang, all)
	}
}

// heldAgainst checks sentences added to a page in a language by the kind of mark that each is to get; "" is none.
func heldAgainst(t *testing.T, s telling.Subject, lang string, all map[string]hand.Kind) {
	t.Helper()
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

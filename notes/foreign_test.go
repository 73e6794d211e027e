package notes_test

import (
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"midcase/notes"
)

// foreignNote is a note in another language with what a careful reader takes from it: "slot:term:severity" for a
// finding, with "|" between readings that are right alike, "-slot" for what is not there. What begins with ? is right
// when proposed and no loss when not.
type foreignNote struct {
	Language, Text string
	Gold           []string
}

// sameAs reports whether a proposal is what the gold says.
func (it foreignItem) sameAs(want string) bool {
	want = strings.TrimPrefix(want, "?")
	if slot, absent := strings.CutPrefix(want, "-"); absent {
		return it.absent && it.slot == slot
	}
	p := strings.Split(want, ":")
	if len(p) == 1 {
		return it.kind == p[0] || it.kind == "fitted" && !it.absent && it.slot == p[0] || it.kind == "document" && p[0] == "papers"
	}
	in := func(all, one string) bool { return strings.Contains("|"+all+"|", "|"+one+"|") || all == "?" }
	if it.kind != "finding" || !in(p[0], it.slot) || !in(p[1], it.term) {
		return false
	}
	if len(p) < 3 {
		return true
	}
	severity, _ := strconv.Atoi(p[2])
	return it.severity >= severity-1 && it.severity <= severity+1
}

// What is denied in another language is never proposed, and every proposal stands on the words as they were typed.
func TestDeniedFaultsInOtherLanguages(t *testing.T) {
	t.Parallel()
	faults := map[string]map[string]string{
		"de": {"Rost": "rust", "Kratzer": "scratches", "Dellen": "dents", "Risse": "cracks", "Flecken": "spotting",
			"Werkzeugspuren": "tool_marks", "Feuchtigkeit": "moisture", "Korrosion": "corrosion", "Gravur": "engraved"},
		"fr": {"rouille": "rust", "rayures": "scratches", "chocs": "dents", "fissures": "cracks", "taches": "spotting",
			"traces d’outil": "tool_marks", "humidité": "moisture", "corrosion": "corrosion", "gravure": "engraved"},
		"it": {"ruggine": "rust", "graffi": "scratches", "ammaccature": "dents", "crepe": "cracks", "macchie": "spotting",
			"umidità": "moisture", "corrosione": "corrosion", "incisioni": "engraved"},
	}
	denials := map[string][]string{
		"de": {"keine %s", "ohne %s", "weder Box noch %s", "Gehäuse ohne %s", "nie %s gehabt", "frei von %s", "keinerlei %s"},
		"fr": {"pas de %s", "sans %s", "aucune %s", "ni boîte ni %s", "boîtier sans %s", "jamais de %s", "aucune trace de %s"},
		"it": {"nessuna %s", "senza %s", "niente %s", "né scatola né %s", "cassa senza %s", "mai avuto %s",
			"nessuna traccia di %s"},
	}
	for lang, words := range faults {
		for said, term := range words {
			for _, deny := range denials[lang] {
				text := strings.Replace(deny, "%s", said, 1)
				r := notes.Read(text, notes.Options{Language: lang})
				for _, it := range wire[reading](t, r).Items {
					if it.Kind == "finding" && it.Data["term"] == term {
						t.Errorf("%s: %q: proposes %v", lang, text, it.Data)
					}
				}
				checkReading(t, text, notes.Options{Language: lang})
			}
		}
	}
}

// The language is told by the words; English stays English, whatever a few of its words mean elsewhere.
func TestLanguageIsTold(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"poliert":                             "polished",
		"Gehaeuse poliert, full set":          "polished",
		"boitier poli, full set":              "polished",
		"cassa lucidata, full set":            "polished",
		"case polished, bon etat":             "polished",
		"sale of the estate; case polished":   "polished",
		"Die case is polished, fine, full":    "polished",
		"full set, case polished on the band": "polished",
	} {
		found := false
		for _, it := range wire[reading](t, notes.Read(text, notes.Options{})).Items {
			found = found || it.Data["term"] == want
		}
		if !found {
			t.Errorf("%q: no finding %s", text, want)
		}
	}
}

// foreignItem is a proposal, for comparing.
type foreignItem struct {
	kind, slot, term string
	absent           bool
	severity         int
}

func foreignItems(t *testing.T, note foreignNote) (out []foreignItem) {
	for _, it := range wire[reading](t, notes.Read(note.Text, notes.Options{Year: 2026})).Items {
		slot, _ := it.Data["slot"].(string)
		term, _ := it.Data["term"].(string)
		severity, _ := it.Data["severity"].(float64)
		out = append(out, foreignItem{it.Kind, slot, term, it.Data["absent"] == true, int(severity)})
	}
	return out
}

// The notes are ours, in the manner of stock lists; "held" was written before the glossary and measured before
// anything was mended for it (see docs/methods/notes.md). The aims: 85 % found, 95 % of proposals right.
func TestForeignNotesAgainstGold(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/foreign/*.json")
	if err != nil || len(files) < 2 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, f := range files {
		sums := map[string]*score{}
		for _, note := range fileOf[[]foreignNote](t, f) {
			s := sums[note.Language]
			if s == nil {
				s = &score{}
				sums[note.Language] = s
			}
			items := foreignItems(t, note)
			for _, want := range note.Gold {
				if strings.HasPrefix(want, "?") {
					continue
				}
				s.required++
				found := false
				for _, it := range items {
					found = found || it.sameAs(want)
				}
				if found {
					s.found++
				} else {
					t.Logf("%s %q: missed %s", note.Language, note.Text, want)
				}
			}
			for _, it := range items {
				s.proposals++
				right := false
				for _, want := range note.Gold {
					right = right || it.sameAs(want)
				}
				if right {
					s.right++
				} else {
					t.Logf("%s %q: wrong %+v", note.Language, note.Text, it)
				}
			}
		}
		for lang, s := range sums {
			found, right := float64(s.found)/float64(s.required), float64(s.right)/float64(s.proposals)
			t.Logf("%s %s: found %d of %d, right %d of %d", filepath.Base(f), lang, s.found, s.required, s.right, s.proposals)
			if found < 0.85 || right < 0.95 {
				t.Errorf("%s %s: found %.3f, right %.3f; want 0.85, 0.95", filepath.Base(f), lang, found, right)
			}
		}
	}
}

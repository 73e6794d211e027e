package desk

import (
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
)

// smallLexicon is that of a shop with two makers.
func smallLexicon() *lexicon {
	l := &lexicon{makers: map[string]string{"orbenau": "Orbenau", "tal & sohn": "Tal & Sohn"},
		references: map[string][]string{}, calibres: map[string]string{"t9": "T-9"}, metals: map[string][]string{},
		terms: map[string]string{}, looks: map[evidence.Slot]map[string]bool{}, words: map[string]bool{},
		keys: map[string]bool{}, names: map[string]bool{"wilma": true, "ester": true}}
	l.reference("T 218")
	l.reference("440")
	l.look(evidence.Dial, "cream dial gilt print")
	l.look(evidence.Hands, "gilt hands")
	for _, c := range colours {
		l.looks[evidence.Dial][c] = true
	}
	l.metal("gold18", "18 karat gold")
	l.metal("gold14", "14 karat gold")
	l.metal("steel", "Steel")
	l.readTerms()
	for _, w := range append(keywords(), "orbenau", "tal", "sohn", "t 218", "218", "440", "t-9", "214459", "fast beat") {
		take(l.words, w)
		take(l.keys, w)
	}
	return l
}

func TestHowASearchIsRead(t *testing.T) {
	for text, want := range map[string]string{
		"cream dial":                  "cream dial: dial recorded as cream",
		"dial cream":                  "dial: “dial” in name, number, place, note or parts; cream: “cream” in name, number, place, note or parts",
		"Cream gilt dial, polished":   "Cream gilt dial,: dial recorded as cream gilt; polished: case recorded as polished",
		"gilt":                        "gilt: “gilt” in name, number, place, note or parts",
		"1968":                        "1968: made 1968, by the 90 % range",
		"1960s":                       "1960s: made 1960–1969, by the 90 % range",
		"60s":                         "60s: made 1960–1969, by the 90 % range",
		"'60s":                        "'60s: made 1960–1969, by the 90 % range",
		"1965-69":                     "1965-69: made 1965–1969, by the 90 % range",
		"from 1965 to 1969":           "1965 to 1969: made 1965–1969, by the 90 % range",
		"early 1960s":                 "early 1960s: made 1960–1963, by the 90 % range",
		"before 1970":                 "before 1970: made 1969 or before, by the 90 % range",
		"no papers":                   "no papers: no papers recorded",
		"without box":                 "without box: no box recorded",
		"no box or papers":            "no box or papers: neither box nor papers recorded",
		"box and papers":              "box: box recorded; papers: papers recorded",
		"full set":                    "full set: box and papers recorded",
		"not polished":                "not polished: case not recorded as polished",
		"unpolished case":             "unpolished case: case recorded as unpolished",
		"original dial":               "original dial: dial judged original",
		"dial replaced":               "dial replaced: dial judged replaced or not belonging",
		"no bracelet":                 "no bracelet: bracelet missing",
		"spotting on the dial":        "spotting on the dial: spotting recorded on the dial",
		"dial spotting":               "dial spotting: spotting recorded on the dial",
		"no spotting":                 "no spotting: not: spotting recorded, as a finding or in the note",
		"gold":                        "gold: case of gold",
		"18k gold":                    "18k gold: case of 18k gold",
		"Tal & Sohn 440":              "Tal & Sohn: maker Tal & Sohn; 440: reference 440",
		"T218":                        "T218: reference T 218",
		"t 218 steel":                 "t 218: reference T 218; steel: case of steel",
		"calibre t9":                  "calibre t9: calibre T-9",
		"2144":                        "2144: number with “2144”",
		"#12":                         "#12: file number 12",
		"on memo":                     "on memo: state “memo out”",
		"under 5.2k":                  "under 5.2k: price 5,200 or less (ours, else the value)",
		"over 5,000 EUR":              "over 5,000 EUR: price 5,000 or more (ours, else the value)",
		"grade 7+":                    "grade 7+: grade 7.0 or more",
		"orbneau":                     "orbneau: “orbneau” read as “orbenau”: maker Orbenau",
		"polishd":                     "polishd: “polishd” read as “polished”: case recorded as polished",
		"crem dial":                   "crem dial: “crem” read as “cream”: dial recorded as cream",
		"214495":                      "214495: “214495” read as “214459”: number with “214459”",
		"the watch with a black dial": "black dial: dial recorded as black",
		"zzzq":                        "? zzzq",
		"xyz":                         "? xyz",
		"Ester":                       "Ester: client’s name with “ester”",
		"":                            "",
	} {
		if got := readAs(smallLexicon(), text, true); got != want {
			t.Errorf("%q is read as\n  %s; want\n  %s", text, got, want)
		}
	}
	if got := readAs(smallLexicon(), "Wilma", false); got != "? Wilma" {
		t.Errorf("a name is read for somebody who may not see clients: %s", got)
	}
}

func readAs(l *lexicon, text string, names bool) string {
	var out []string
	for _, s := range l.read(text, 2026, names) {
		if s.unknown {
			out = append(out, "? "+s.Words)
			continue
		}
		out = append(out, s.Words+": "+s.As.String())
	}
	return strings.Join(out, "; ")
}

func TestWhatASearchFinds(t *testing.T) {
	l := smallLexicon()
	has := func(f Facts, text string) bool {
		c := sought{watch: &shop.Watch{}, facts: &f, key: "orbenau t 218 214459"}
		return c.passes(l.read(text, 2026, false))
	}
	dial := Facts{looks: map[evidence.Slot]string{evidence.Dial: "cream dial mark 1 matt silvered"}, words: "cream dial"}
	bare := Facts{First: 1959, Last: 1961, Set: "watch"}
	full := Facts{Set: "full", Box: true}
	shiny := Facts{Terms: map[string]map[evidence.Slot]bool{"polished": {evidence.Case: true}}}
	link := Facts{Terms: map[string]map[evidence.Slot]bool{"polished": {evidence.Bracelet: true}}}
	for _, c := range []struct {
		facts Facts
		text  string
		want  bool
	}{{dial, "cream dial", true}, {dial, "black dial", false}, {dial, "cream hands", false}, {bare, "1960s", true},
		{bare, "1959", true}, {bare, "1962", false}, {bare, "no papers", true}, {bare, "no box or papers", true},
		{full, "box papers", true}, {full, "no papers", false}, {shiny, "polished", true}, {shiny, "unpolished", false},
		{link, "polished", false}, {link, "polished bracelet", true}, {link, "unpolished", false}, {bare, "4459", true},
		{bare, "4459 1962", false}, {Facts{}, "1960s", false}} {
		if got := has(c.facts, c.text); got != c.want {
			t.Errorf("%q finds %+v: %t; want %t", c.text, c.facts, got, c.want)
		}
	}
}

func FuzzSearch(f *testing.F) {
	for _, text := range []string{"cream dial 1960s", "no", "no no", "grade", "under", "1965-", "#", "'s", "full", "12.345,6k"} {
		f.Add(text)
	}
	l := smallLexicon()
	f.Fuzz(func(t *testing.T, text string) {
		n := 0
		for _, s := range l.read(text, 2026, true) {
			n += len(strings.Fields(s.Words))
			_ = s.As.String()
		}
		if n > len(strings.Fields(text)) {
			t.Errorf("%q: %d words read of %d", text, n, len(strings.Fields(text)))
		}
	})
}

package store

import (
	"testing"
	"unicode/utf8"
)

func TestKeys(t *testing.T) {
	for _, test := range []struct{ in, cased, search string }{
		{"", "", ""},
		{"  Diver  100% ", "diver  100%", "diver 100%"},
		{"ÉMERAUDE", "émeraude", "emeraude"},
		{"E\u0301meraude", "émeraude", "emeraude"},
		{"Straße", "strasse", "strasse"},
		{"ŁÓDŹ", "łódź", "lodz"},
		{"Ørsted & Cœur", "ørsted & cœur", "orsted & coeur"},
		{"ΣΊΣΥΦΟΣ", "σίσυφοσ", "σισυφοσ"},
		{"Nº ５", "nº ５", "no 5"},
		{"時計", "時計", "時計"},
		{"a\x00b\nc", "a b c", "a b c"},
		{"\xff", "\uFFFD", "\uFFFD"},
	} {
		if got := caseKey(test.in); got != test.cased {
			t.Errorf("caseKey(%q) = %q; want %q", test.in, got, test.cased)
		}
		if got := searchKey(test.in); got != test.search {
			t.Errorf("searchKey(%q) = %q; want %q", test.in, got, test.search)
		}
	}
}

func FuzzKeys(f *testing.F) {
	for _, s := range []string{"", "É ß Ł", "\xff\x00", "ŉ ǰ ΐ ﬃ İ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for name, key := range map[string]func(string) string{"caseKey": caseKey, "searchKey": searchKey} {
			once := key(s)
			if !utf8.ValidString(once) || checkText("key", once) != nil {
				t.Errorf("%s(%q) = %q: not a text that both engines hold", name, s, once)
			}
			if twice := key(once); twice != once {
				t.Errorf("%s(%q) = %q, and of that %q", name, s, once, twice)
			}
		}
	})
}

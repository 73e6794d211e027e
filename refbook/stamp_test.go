package refbook

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
)

// The readings follow the forms as the schemes describe them: common practice, no
// published source.
func TestStampRead(t *testing.T) {
	m := good(t).Makers[0]
	y := func(y, mo int) edtf.Month { return edtf.MonthOf(y, mo) }
	tests := []struct {
		scheme, text string
		first, last  edtf.Month
		wrong        string
	}{
		{"back-stamp", "III 62", y(1962, 7), y(1962, 9), ""},
		{"back-stamp", "iv.71", y(1971, 10), y(1971, 12), ""},
		{"back-stamp", "1-1960", y(1960, 1), y(1960, 3), ""},
		{"back-stamp", "V 62", 0, 0, "III 62"},
		{"back-stamp", "III ?2", 0, 0, "cannot be read"},
		{"clasp-letter", "C7", y(1964, 7), y(1964, 7), ""},
		{"clasp-letter", "a", y(1962, 1), y(1962, 12), ""},
		{"clasp-letter", "Z7", 0, 0, "no letter Z"},
		{"clasp-letter", "C13", 0, 0, "no month 13"},
		{"dial-code", "68-05", y(1968, 5), y(1968, 5), ""},
		{"dial-code", "196805", y(1968, 5), y(1968, 5), ""},
		{"dial-code", "68-13", 0, 0, "no month"},
		{"dial-code", "May 68", 0, 0, "68-05"},
		{"dial-table", "t2", y(1962, 4), y(1962, 6), ""},
		{"dial-table", "T 1", y(1962, 1), y(1962, 3), ""},
		{"dial-table", "T9", 0, 0, "did you mean"},
	}
	for _, tt := range tests {
		s, ok := m.Stamp(tt.scheme)
		if !ok {
			t.Fatalf("no scheme %s", tt.scheme)
		}
		first, last, err := s.Read(tt.text)
		switch {
		case tt.wrong != "":
			if err == nil || !strings.Contains(err.Error(), tt.wrong) {
				t.Errorf("%s %q: error %v, want %q", tt.scheme, tt.text, err, tt.wrong)
			}
		case err != nil || first != tt.first || last != tt.last:
			t.Errorf("%s %q: got %s–%s, %v; want %s–%s", tt.scheme, tt.text, first, last, err, tt.first, tt.last)
		}
	}
}

func TestStampYearTakesTheCenturyOfUse(t *testing.T) {
	for used, want := range map[string]int{"": 1902, "1895/1910": 1902, "1998/2010": 2002, "1890/..": 1902,
		"../1899": 1802} {
		s := Stamp{Form: "year-month"}
		if used != "" {
			s.Used = edtf.MustParse(used)
		}
		if m, _, err := s.Read("02-05"); err != nil || m.Year() != want {
			t.Errorf("used %q: %s %v, want %d", used, m, err, want)
		}
	}
}

func TestParseNumber(t *testing.T) {
	right := map[string]int64{"1234567": 1234567, "1 234 567": 1234567, "1.234.567": 1234567, "A 12345": 12345,
		"No. 0042": 42, "1'234": 1234, " 7 ": 7}
	for text, want := range right {
		if got, err := ParseNumber(text); err != nil || got != want {
			t.Errorf("%q: %d %v, want %d", text, got, err, want)
		}
	}
	for _, text := range []string{"", "ABC", "12?45", "123-456", "12A45", "123456789012345678901", "١٢٣"} {
		if got, err := ParseNumber(text); err == nil {
			t.Errorf("%q: read as %d", text, got)
		}
	}
}

// However the figures are spaced, the number is the same.
func TestParseNumberIgnoresSpacing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.StringMatching(`[1-9][0-9]{0,11}`).Draw(t, "digits")
		var b strings.Builder
		for _, c := range digits {
			b.WriteString(rapid.SampledFrom([]string{"", " ", ".", "\u00a0"}).Draw(t, "space"))
			b.WriteRune(c)
		}
		a, err1 := ParseNumber(digits)
		c, err2 := ParseNumber(b.String())
		if err1 != nil || err2 != nil || a != c {
			t.Fatalf("%q %d %v; %q %d %v", digits, a, err1, b.String(), c, err2)
		}
	})
}

func FuzzStampRead(f *testing.F) {
	m := good(f).Makers[0]
	for _, s := range []string{"III 62", "C7", "68-05", "T1", "", "?", "ſ1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, s := range m.Stamps {
			first, last, err := s.Read(text)
			if err == nil && last < first {
				t.Errorf("%s %q: %s after %s", s.ID, text, first, last)
			}
		}
		if n, err := ParseNumber(text); err == nil && n < 0 {
			t.Errorf("%q: %d", text, n)
		}
	})
}

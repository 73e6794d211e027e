package edtf

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// The strings are the examples of levels 0 and 1 in the Extended Date/Time Format
// specification, Library of Congress, 4 February 2019
// (https://www.loc.gov/standards/datetime/), as a public test suite lists them; the
// days follow from the meaning that the specification gives each. Seasons have no
// days there: spring is taken as March to May, and so on.
func TestParseLibraryOfCongressExamples(t *testing.T) {
	tests := []struct {
		text, first, last string // days; "" where open
		vague             bool
	}{
		{"1985-04-12", "1985-04-12", "1985-04-12", false},
		{"1985-04", "1985-04-01", "1985-04-30", false},
		{"1985", "1985-01-01", "1985-12-31", false},
		{"1964/2008", "1964-01-01", "2008-12-31", false},
		{"2004-06/2006-08", "2004-06-01", "2006-08-31", false},
		{"2004-02-01/2005-02-08", "2004-02-01", "2005-02-08", false},
		{"2004-02-01/2005-02", "2004-02-01", "2005-02-28", false},
		{"2004-02-01/2005", "2004-02-01", "2005-12-31", false},
		{"2005/2006-02", "2005-01-01", "2006-02-28", false},
		{"2001-21", "2001-03-01", "2001-05-31", false},
		{"1984?", "1984-01-01", "1984-12-31", true},
		{"2004-06~", "2004-06-01", "2004-06-30", true},
		{"2004-06-11%", "2004-06-11", "2004-06-11", true},
		{"201X", "2010-01-01", "2019-12-31", false},
		{"20XX", "2000-01-01", "2099-12-31", false},
		{"2004-XX", "2004-01-01", "2004-12-31", false},
		{"1985-04-XX", "1985-04-01", "1985-04-30", false},
		{"1985-XX-XX", "1985-01-01", "1985-12-31", false},
		{"1985-04-12/..", "1985-04-12", "", false},
		{"1985-04/..", "1985-04-01", "", false},
		{"1985/..", "1985-01-01", "", false},
		{"../1985-04-12", "", "1985-04-12", false},
		{"../1985-04", "", "1985-04-30", false},
		{"../1985", "", "1985-12-31", false},
		{"1985-04-12/", "1985-04-12", "", false},
		{"1985-04/", "1985-04-01", "", false},
		{"1985/", "1985-01-01", "", false},
		{"/1985-04-12", "", "1985-04-12", false},
		{"/1985-04", "", "1985-04-30", false},
		{"/1985", "", "1985-12-31", false},
	}
	for _, tt := range tests {
		d, err := Parse(tt.text)
		if err != nil {
			t.Errorf("%s: %v", tt.text, err)
			continue
		}
		checkSide(t, tt.text+" first", tt.first, d.First)
		checkSide(t, tt.text+" last", tt.last, d.Last)
		if d.Vague() != tt.vague || d.String() != tt.text {
			t.Errorf("%s: vague %v, text %s", tt.text, d.Vague(), d)
		}
	}
}

func checkSide(t *testing.T, what, want string, side func() (time.Time, bool)) {
	t.Helper()
	got, ok := side()
	if ok != (want != "") || (ok && got.Format(time.DateOnly) != want) {
		t.Errorf("%s: %s %v, want %q", what, got.Format(time.DateOnly), ok, want)
	}
}

func TestParseMore(t *testing.T) {
	tests := []struct{ text, first, last string }{
		{"1968-02-29", "1968-02-29", "1968-02-29"},
		{"1968-24", "1968-12-01", "1969-02-28"},
		{"196X~", "1960-01-01", "1969-12-31"},
		{"1962~/1965?", "1962-01-01", "1965-12-31"},
		{"0001", "0001-01-01", "0001-12-31"},
		{"0001-01-01", "0001-01-01", "0001-01-01"},
	}
	for _, tt := range tests {
		d, err := Parse(tt.text)
		if err != nil {
			t.Errorf("%s: %v", tt.text, err)
			continue
		}
		checkSide(t, tt.text+" first", tt.first, d.First)
		checkSide(t, tt.text+" last", tt.last, d.Last)
	}
}

func TestParseRefuses(t *testing.T) {
	tests := map[string]string{
		"":                      "empty date",
		"1984?~":                "write %",      // 2012
		"199u":                  "EDTF level 1", // 2012
		"1999-uu":               "EDTF level 1", // 2012
		"unknown/2006":          "start",        // 2012
		"2004-06-01/open":       "end",          // 2012
		"Y170000002":            "EDTF level 1", // level 1, beyond any watch
		"-1985":                 "EDTF level 1",
		"1985-04-12T23:20:30":   "EDTF level 1", // times of day
		"[1667,1668]":           "EDTF level 1", // level 2
		"1950S2":                "EDTF level 1",
		"2004-06~-11":           "EDTF level 1",
		"2004-%06-11":           "EDTF level 1",
		"156X-12-25":            "EDTF level 1",
		"1984-1X":               "EDTF level 1",
		"1968-13":               "no month 13",
		"1968-00":               "no month 00",
		"1967-02-29":            "no day 29",
		"1968-04-31":            "no day 31",
		"1968-21-05":            "a season has no day",
		"1968-21-XX":            "EDTF level 1",
		"1968-XX-05":            "EDTF level 1",
		"1965/1962":             "ends before it begins",
		"../..":                 "one end",
		"/":                     "one end",
		"1962/1963/1964":        "end",
		" 1968":                 "EDTF level 1",
		"1968\n":                "EDTF level 1",
		"68-05":                 "EDTF level 1",
		"May 1968":              "EDTF level 1",
		"1968-5":                "EDTF level 1",
		"١٩٦٨":                  "EDTF level 1",
		strings.Repeat("9", 99): "EDTF level 1",
	}
	for text, want := range tests {
		if d, err := Parse(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, error %v; want %q", text, d, err, want)
		}
	}
}

func TestZeroDate(t *testing.T) {
	var d Date
	_, a := d.First()
	_, b := d.Last()
	_, c := d.FirstMonth()
	_, e := d.LastMonth()
	if !d.IsZero() || a || b || c || e || d.Vague() {
		t.Errorf("the zero date says something")
	}
}

func TestDateJSON(t *testing.T) {
	var in struct {
		Made  Date  `json:"made,omitzero"`
		Month Month `json:"month"`
	}
	if err := json.Unmarshal([]byte(`{"made":"1962~/..","month":"1968-05"}`), &in); err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(in)
	if err != nil || string(out) != `{"made":"1962~/..","month":"1968-05"}` {
		t.Errorf("%s %v", out, err)
	}
	if err := json.Unmarshal([]byte(`{"made":""}`), &in); err != nil || !in.Made.IsZero() {
		t.Errorf("empty text: %v %v", in.Made, err)
	}
	if err := json.Unmarshal([]byte(`{"made":"soon"}`), &in); err == nil {
		t.Error("a bad date was read")
	}
	if err := json.Unmarshal([]byte(`{"month":"1968"}`), &in); err == nil {
		t.Error("a year was read as a month")
	}
}

func TestMonth(t *testing.T) {
	m := MonthOf(1968, 5)
	if m.Year() != 1968 || m.Calendar() != 5 || m.String() != "1968-05" || m.Fraction() != 1968+4.5/12 {
		t.Errorf("%d %d %s %g", m.Year(), m.Calendar(), m, m.Fraction())
	}
	if MonthOf(1969, 1)-MonthOf(1968, 12) != 1 {
		t.Error("months do not count across the year")
	}
	for _, bad := range []string{"", "1968", "1968-13", "1968-5", "68-05", "1968-05-01"} {
		if m, err := ParseMonth(bad); err == nil {
			t.Errorf("%q read as %s", bad, m)
		}
	}
}

func TestMonthLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, c := rapid.IntRange(-50, 9999).Draw(t, "year"), rapid.IntRange(1, 12).Draw(t, "month")
		m := MonthOf(y, c)
		if m.Year() != y || m.Calendar() != c {
			t.Fatalf("%d-%d came back as %d-%d", y, c, m.Year(), m.Calendar())
		}
		if m+12 != MonthOf(y+1, c) {
			t.Fatal("a year is not twelve months")
		}
		if y >= 0 {
			if back, err := ParseMonth(m.String()); err != nil || back != m {
				t.Fatalf("%s: %v %v", m, back, err)
			}
		}
		when := time.Date(max(y, 1), time.Month(c), 15, 12, 0, 0, 0, time.UTC)
		if MonthFromTime(when) != MonthOf(max(y, 1), c) {
			t.Fatal("time and calendar differ")
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"1968", "1968-05", "1968-05-17", "196X", "19XX", "1965~", "1962/1965", "1962/..",
		"/1965", "1985-XX-XX", "2001-21", "?~", "//"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := Parse(s)
		if err != nil {
			if !d.IsZero() {
				t.Errorf("%q: an error and a date", s)
			}
			return
		}
		if d.String() != s || d.IsZero() {
			t.Errorf("%q changed to %q", s, d)
		}
		first, a := d.First()
		last, b := d.Last()
		if !a && !b {
			t.Errorf("%q: open on both sides", s)
		}
		if a && b && last.Before(first) {
			t.Errorf("%q: %s after %s", s, first, last)
		}
		again, err := Parse(d.String())
		if err != nil || again != d {
			t.Errorf("%q: read again as %v %v", s, again, err)
		}
	})
}

// The coarser a vague date, the farther it may lie beside its words.
func TestSlack(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]int{"1968": 0, "1962/1965": 0, "1968~": 12, "1968?": 12, "1968-05%": 3,
		"1968-05-17~": 1, "1968-22?": 6, "196X~": 60, "1962~/1965-03": 12, "1962/1965-03~": 3, "../1965~": 12} {
		if got := MustParse(text).SlackMonths(); got != want {
			t.Errorf("%s: %d months, want %d", text, got, want)
		}
	}
}

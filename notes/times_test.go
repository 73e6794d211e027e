package notes

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
)

// The words are ours; what they mean is common practice, no published source.
func TestReadTimes(t *testing.T) {
	for words, want := range map[string]string{
		"until about 1967":                     "1962/1967 soft 12",
		"till 1967":                            "1962/1967",
		"from early 1970, rare at first":       "1970-02/1975 soft 18",
		"from 1970, rare":                      "1970/1975 share 0.1",
		"1964 to 1967":                         "1964/1967",
		"1964-1967":                            "1964/1967",
		"64-67":                                "1964/1967",
		"1964 to 1967, and again from 1971":    "1964/1967; 1971/1975",
		"March 1964 to August 1967":            "1964-03/1967-08",
		"1964-03/1967-08":                      "1964-03/1967-08",
		"in 1968 only":                         "1968/1968",
		"1968":                                 "1968",
		"":                                     "1962/1975",
		"throughout":                           "1962/1975",
		"always":                               "1962/1975",
		"early ones":                           "1962/1975",
		"before 1966":                          "1962/1965",
		"after 1966":                           "1967/1975",
		"from the middle of 1966 to late 1969": "1966-06/1969-11",
		"one in ten":                           "1962/1975 share 0.1",
		"1964/1967; 1971":                      "1964/1967; 1971",
		"from 1966, slowly":                    "1966/1975 soft 18",
		"between 1964 and 1967":                "1964/1967",
		"mid 1964 until the end":               "1964-06/1975",
		"5/62 to 3/65":                         "1962-05/1965-03",
		"since 1966":                           "1966/1975",
		"from the start until 1966":            "1962/1966",
		"first ones until 1966":                "1962/1966",
		"1966 onwards":                         "1966/1975",
		"from about 1966 to about 1969":        "1966/1969 soft 12",
		"up to 1966, a few":                    "1962/1966 share 0.1",
	} {
		got, err := ReadTimes(words, "1962/1975")
		if err != nil {
			t.Errorf("%q: %v", words, err)
			continue
		}
		if s := windowText(got); s != want {
			t.Errorf("%q: %s, want %s", words, s, want)
		}
	}
	for _, words := range []string{"blue", "1970 to 1964", "some day", "from 1970 in Geneva", "99999", "until", "next"} {
		if got, err := ReadTimes(words, "1962/1975"); err == nil {
			t.Errorf("%q was taken: %s", words, windowText(got))
		} else if !strings.Contains(err.Error(), "will not do; give") {
			t.Errorf("%q: %v", words, err)
		}
	}
}

func windowText(all []BookWindow) string {
	var out []string
	for _, w := range all {
		s := w.Made
		if w.SoftMonths > 0 {
			s += fmt.Sprintf(" soft %d", w.SoftMonths)
		}
		if w.Share > 0 {
			s += fmt.Sprintf(" share %g", w.Share)
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func TestReadMilestone(t *testing.T) {
	for _, c := range []struct{ number, when, want string }{
		{"about 310,000", "early 1966", "310000 1966-02 ±3"},
		{"310000", "1966-03", "310000 1966-03 ±0"},
		{"310k", "about 1966", "310000 1966-06 ±6"},
		{"310.000", "May 1966", "310000 1966-05 ±3"},
		{"ca. 12 500", "late 1957", "12500 1957-11 ±3"},
		{"12'500", "1957", "12500 1957-06 ±6"},
	} {
		got, err := ReadMilestone(c.number, c.when)
		if s := fmt.Sprintf("%d %s ±%d", got.Number, got.Month, got.PlusMinusMonths); err != nil || s != c.want {
			t.Errorf("%q, %q: %s %v, want %s", c.number, c.when, s, err, c.want)
		}
	}
	for _, c := range [][2]string{{"many", "1966"}, {"310000", "soon"}, {"", ""}, {"0", "1966"}} {
		if got, err := ReadMilestone(c[0], c[1]); err == nil {
			t.Errorf("%q was taken: %+v", c, got)
		}
	}
}

// What the book holds is written in words that are read back as the same.
func TestTimesInWordsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var windows []BookWindow
		at := rapid.IntRange(1950*12, 1960*12).Draw(t, "first")
		for range rapid.IntRange(1, 3).Draw(t, "windows") {
			from := edtf.Month(at)
			at += rapid.IntRange(0, 60).Draw(t, "months")
			to := edtf.Month(at)
			at += rapid.IntRange(13, 40).Draw(t, "gap")
			switch rapid.IntRange(0, 2).Draw(t, "how") {
			case 0:
				windows = append(windows, BookWindow{Made: fmt.Sprintf("%s/%s", from, to)})
			case 1:
				windows = append(windows, BookWindow{Made: fmt.Sprintf("%d/%d", from.Year(), to.Year())})
			default:
				windows = append(windows, BookWindow{Made: fmt.Sprintf("%d~/%s", from.Year(), to)})
			}
		}
		got, err := ReadTimes(TimesInWords(windows), "1940/1990")
		if err != nil || !slices.EqualFunc(got, windows, func(a, b BookWindow) bool { return a.Made == b.Made }) {
			t.Fatalf("%v as %q is read as %v, %v", windows, TimesInWords(windows), got, err)
		}
	})
}

func FuzzReadTimes(f *testing.F) {
	for _, s := range []string{"until about 1967", "from early 1970, rare at first", "64-67; again from 71", "..", "1964/", "؟"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, words string) {
		all, err := ReadTimes(words, "1962/1975")
		for _, w := range all {
			if _, bad := edtf.Parse(w.Made); err == nil && bad != nil {
				t.Errorf("%q gives %q, which is no time", words, w.Made)
			}
		}
	})
}

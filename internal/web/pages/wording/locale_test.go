package wording_test

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"midcase/internal/web/pages/wording"
)

// The marks are those of the Unicode CLDR 32, which golang.org/x/text carries.
func TestLocalesWriteAsTheCLDRSays(t *testing.T) {
	t.Parallel()
	for tag, want := range map[string]string{"": "12,345.67", "en-GB": "12,345.67", "de-DE": "12.345,67", "de-CH": "12’345.67", "fr-FR": "12\u00a0345,67", "it": "12.345,67", "sv": "12\u00a0345,67", "xx": "12,345.67"} {
		if got := wording.LocaleOf(tag, "").Written(wording.Thousands("12345") + wording.Fixed(0.67, 2)[1:]); got != want {
			t.Errorf("%q writes %q, want %q", tag, got, want)
		}
	}
	for accept, want := range map[string]string{"de;q=0.8, fr-CH;q=0.9": "fr-CH", "en-US,en;q=0.5": "en-US", "tlh": "en", "": "en", ";;;": "en"} {
		if got := wording.LocaleOf("", accept).Tag; got != want {
			t.Errorf("accepting %q: %s, want %s", accept, got, want)
		}
	}
	if got := wording.LocaleOf("de-DE", "en"); got.Tag != "de-DE" {
		t.Errorf("what the shop set gives way to the browser: %s", got.Tag)
	}
}

// The orders are the CLDR's, from memory.
func TestDaysFollowTheLocale(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 2, 8, 14, 5, 0, 0, time.UTC)
	for tag, want := range map[string]string{"": "8 Feb 2026", "en-GB": "8 Feb 2026", "en-US": "Feb 8, 2026", "de-DE": "8 Feb 2026", "sv-SE": "2026-02-08", "ja-JP": "2026-02-08"} {
		l := wording.LocaleOf(tag, "")
		for _, text := range []string{wording.Day("2026-02-08"), wording.DayOf(at)} {
			if got := l.Written("on " + text + "."); got != "on "+want+"." {
				t.Errorf("%q writes %q, want %q", tag, got, want)
			}
		}
		if got := l.Written(wording.Moment(at)); got != want+" 14:05" {
			t.Errorf("%q writes the moment %q", tag, got)
		}
	}
	if got := wording.LocaleOf("en-US", "").Written("bought 8 Feb 2026"); got != "bought 8 Feb 2026" {
		t.Errorf("a day that somebody typed becomes %q", got)
	}
}

func TestProseMarksFiguresAlone(t *testing.T) {
	t.Parallel()
	german := wording.LocaleOf("de-DE", "")
	for text, want := range map[string]string{
		"worth 8,200 to 11,400 EUR at retail":  "worth 8.200 to 11.400 EUR at retail",
		"measured 36.02 mm, the book 36.00 mm": "measured 36,02 mm, the book 36,00 mm",
		"reference 17.18 of 1967, no. 1.2":     "reference 17.18 of 1967, no. 1.2",
		"grade 8.2 of 10 (7.9–8.5)":            "grade 8,2 of 10 (7,9–8.5)",
	} {
		if got := german.Written(wording.Prose(text)); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
		if got := wording.English.Written(wording.Prose(text)); got != text {
			t.Errorf("%q becomes %q in English", text, got)
		}
	}
}

func TestTypedFigures(t *testing.T) {
	t.Parallel()
	de, en, ch := wording.LocaleOf("de-DE", ""), wording.English, wording.LocaleOf("de-CH", "")
	for _, c := range []struct {
		l       wording.Locale
		text    string
		measure string // "" where refused
		amount  string
	}{
		{de, "36,25", "36.25", "36.25"}, {de, "36.25", "36.25", "36.25"}, {en, "36,25", "36.25", "36.25"}, {en, "36.25", "36.25", "36.25"},
		{de, "6.500", "", "6500"}, {en, "6.500", "6.500", ""}, {de, "6,500", "6.500", ""}, {en, "6,500", "", "6500"},
		{de, "6.500,50", "6500.50", "6500.50"}, {en, "6,500.50", "6500.50", "6500.50"}, {en, "6.500,50", "6500.50", "6500.50"},
		{de, "1.234.567", "1234567", "1234567"}, {en, "1,234,567", "1234567", "1234567"},
		{de, "0,125", "0.125", "0.125"}, {en, "0,125", "0.125", "0.125"}, {en, "1234,567", "1234.567", "1234.567"},
		{ch, "6’500.50", "6500.50", "6500.50"}, {de, "6 500", "6500", "6500"}, {en, "−4.5", "-4.5", "-4.5"},
		{en, "1,23,456", "", ""}, {en, "1.2,3.4", "", ""}, {en, "36,x", "36,x", "36,x"}, {en, "6500", "6500", "6500"},
	} {
		for _, use := range []struct {
			name string
			read func(string) (string, error)
			want string
		}{{"measure", c.l.Measure, c.measure}, {"amount", c.l.Amount, c.amount}} {
			got, err := use.read(c.text)
			if (err != nil) != (use.want == "") || got != use.want {
				t.Errorf("%s %s %q: %q, %v; want %q", c.l.Tag, use.name, c.text, got, err, use.want)
			}
		}
	}
	if _, err := de.Measure("6.500"); !errors.Is(err, wording.ErrTwoWays) || !strings.Contains(err.Error(), "6,500 or as 6500") {
		t.Errorf("the refusal does not name both readings: %v", err)
	}
	if got, err := de.AmountOf("6.500,00 eur"); err != nil || got != "6500.00 EUR" {
		t.Errorf("%q, %v", got, err)
	}
}

// What a page writes in a locale and is typed again in it is the same figure, or is
// refused: never another one.
func TestTypedAgainIsTheSame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		l := rapid.SampledFrom(wording.Locales()).Draw(rt, "locale")
		v := float64(rapid.Int64Range(-99_999_999, 99_999_999).Draw(rt, "value"))
		decimals := rapid.IntRange(0, 3).Draw(rt, "decimals")
		text := strconv.FormatFloat(v/1000, 'f', decimals, 64)
		whole, rest, _ := strings.Cut(text, ".")
		written := wording.Thousands(whole)
		if rest != "" {
			written += wording.Fixed(0, decimals)[1:][:len("\u2063.")] + rest
		}
		written = l.Written(written)
		want, err := strconv.ParseFloat(text, 64)
		if err != nil {
			rt.Fatal(err)
		}
		for name, read := range map[string]func(string) (string, error){"measure": l.Measure, "amount": l.Amount} {
			got, err := read(written)
			if errors.Is(err, wording.ErrTwoWays) {
				continue
			}
			if err != nil {
				rt.Fatal(err)
			}
			if back, err := strconv.ParseFloat(got, 64); err != nil || back != want {
				rt.Fatalf("%s %s: %s is written %q and read as %s", l.Tag, name, text, written, got)
			}
		}
	})
}

func Example() {
	german := wording.LocaleOf("de-DE", "")
	fmt.Println(german.Written("worth " + wording.Thousands("12345") + " EUR"))
	_, err := german.Measure("36.125")
	fmt.Println(err)
	// Output:
	// worth 12.345 EUR
	// "36.125" can be read two ways: as 36,125 or as 36125
}

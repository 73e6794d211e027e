package say_test

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"midcase/money"
	"midcase/say"
)

// The marks are those of the Unicode CLDR 32, which golang.org/x/text carries.
func TestLocalesWriteAsTheCLDRSays(t *testing.T) {
	t.Parallel()
	for tag, want := range map[string]string{"": "12,345.67", "en-GB": "12,345.67", "de-DE": "12.345,67",
		"de-CH": "12’345.67",
		"fr-FR": "12\u00a0345,67", "it": "12.345,67", "sv": "12\u00a0345,67", "xx": "12,345.67"} {
		if got := say.LocaleOf(tag, "").Number(12345.67, 2); got != want {
			t.Errorf("%q writes %q, want %q", tag, got, want)
		}
	}
	for accept, want := range map[string]string{"de;q=0.8, fr-CH;q=0.9": "fr-CH", "en-US,en;q=0.5": "en-US",
		"tlh": "en", "": "en", ";;;": "en"} {
		if got := say.LocaleOf("", accept).Tag; got != want {
			t.Errorf("accepting %q: %s, want %s", accept, got, want)
		}
	}
	if got := say.LocaleOf("de-DE", "en"); got.Tag != "de-DE" {
		t.Errorf("what the shop set gives way to the browser: %s", got.Tag)
	}
	if got := say.LocaleOf("de-CH", "").Sample(); got != "Swiss High German: 12’345.67" {
		t.Errorf("sample: %q", got)
	}
}

// The orders are the CLDR's, from memory.
func TestDaysFollowTheLocale(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 2, 8, 14, 5, 0, 0, time.UTC)
	for tag, want := range map[string]string{"": "8 Feb 2026", "en-GB": "8 Feb 2026", "en-US": "Feb 8, 2026",
		"de-DE": "8 Feb 2026", "sv-SE": "2026-02-08", "ja-JP": "2026-02-08"} {
		l := say.LocaleOf(tag, "")
		if got := []string{l.Day("2026-02-08"), l.DayOf(at), l.Moment(at)}; got[0] != want || got[1] != want ||
			got[2] != want+" 14:05" {
			t.Errorf("%q writes %q, want %q", tag, got, want)
		}
		if got := l.Day("1968~"); got != "1968~" {
			t.Errorf("%q writes what is no whole day as %q", tag, got)
		}
	}
	if got := say.Plain.Day("2026-02-08"); got != "2026-02-08" {
		t.Errorf("plain: %q", got)
	}
}

func TestFigures(t *testing.T) {
	t.Parallel()
	de, en, ch := say.LocaleOf("de-DE", ""), say.English, say.LocaleOf("de-CH", "")
	for i, c := range [][2]string{
		{en.Number(999, 0), "999"}, {en.Number(1000, 0), "1,000"}, {en.Number(-1234567.891, 2), "−1,234,567.89"},
		{en.Number(-0.04, 1), "0.0"}, {en.Number(math.Copysign(0, -1), 0), "0"}, {de.Number(0.125, 3), "0,125"},
		{en.Signed(4.2, 1), "+4.2"}, {en.Signed(-4.2, 1), "−4.2"}, {en.Signed(0.04, 1), "0.0"}, {en.Signed(-0.04, 1),
			"0.0"},
		{en.Range(9500, 15900, 0), "9,500–15,900"}, {de.Range(7.9, 8.5, 1), "7,9–8,5"}, {en.Range(8.01, 8.02, 1),
			"8.0"},
		{en.Range(-980, 1250, 0), "−980 … 1,250"}, {en.Range(-20, -10, 0), "−20 … −10"}, {en.Range(-0.01, 3, 0), "0–3"},
		{en.Money(money.MustParse("7310.00", "EUR")), "7,310\u00a0EUR"}, {de.Money(money.MustParse("-1234.50", "EUR")),
			"−1.234,50\u00a0EUR"},
		{ch.Money(money.MustParse("123456789012345.67", "CHF")), "123’456’789’012’345.67\u00a0CHF"},
		{en.Money(money.MustParse("120000", "JPY")), "120,000\u00a0JPY"},
		{en.Percent(0.2), "20\u00a0%"}, {de.Percent(0.125), "12,5\u00a0%"}, {say.Plain.Rate(0.0875), "8.75 %"}, {en.Rate(0.2), "20\u00a0%"}, {en.Rate(0.125), "12.5\u00a0%"}, {say.Plain.Money(money.MustParse("18500.00", "EUR")), "18,500 EUR"}, {en.Percent(0.1266), "13\u00a0%"}, {en.Percent(0.0314), "3.1\u00a0%"}, {en.Percent(-0.2), "−20\u00a0%"},
	} {
		if c[0] != c[1] {
			t.Errorf("%d: %q, want %q", i, c[0], c[1])
		}
	}
}

// A sentence has all its figures in one form: value, range and unit.
func TestASentenceHasItsFiguresInOneForm(t *testing.T) {
	t.Parallel()
	w := say.Writer{Catalogue: say.InEnglish(), Locale: say.LocaleOf("de-DE", "")}
	grade := say.Measured("share", 8.2, [2]float64{7.9, 8.5}, say.Grade, 1)
	if got, want := w.String(say.That("phrase.over", grade)), "over 8,2 of 10 (7,9–8,5)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	worth := say.Valued("share", 12313, [2]float64{9545, 15885}, "EUR")
	if got, want := w.String(say.That("phrase.over", worth)), "over 12.300\u00a0EUR (9.500–15.900)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	typed := say.Verbatim("reference 17.18 of 1967, no. 1.2, bought 8 Feb 2026")
	if got := w.String(typed); got != typed.String() {
		t.Errorf("what somebody typed becomes %q", got)
	}
}

func TestTypedFigures(t *testing.T) {
	t.Parallel()
	de, en, ch := say.LocaleOf("de-DE", ""), say.English, say.LocaleOf("de-CH", "")
	for _, c := range []struct {
		l       say.Locale
		text    string
		measure string // "" where refused
		amount  string
	}{
		{de, "36,25", "36.25", "36.25"}, {de, "36.25", "36.25", "36.25"}, {en, "36,25", "36.25", "36.25"}, {en, "36.25",
			"36.25", "36.25"},
		{de, "6.500", "", "6500"}, {en, "6.500", "6.500", ""}, {de, "6,500", "6.500", ""}, {en, "6,500", "", "6500"},
		{de, "6.500,50", "6500.50", "6500.50"}, {en, "6,500.50", "6500.50", "6500.50"}, {en, "6.500,50", "6500.50",
			"6500.50"},
		{de, "1.234.567", "1234567", "1234567"}, {en, "1,234,567", "1234567", "1234567"},
		{de, "0,125", "0.125", "0.125"}, {en, "0,125", "0.125", "0.125"}, {en, "1234,567", "1234.567", "1234.567"},
		{ch, "6’500.50", "6500.50", "6500.50"}, {de, "6 500", "6500", "6500"}, {en, "−4.5", "-4.5", "-4.5"},
		{en, "1,23,456", "", ""}, {en, "1.2,3.4", "", ""}, {en, "36,x", "36,x", "36,x"}, {en, "1+0", "1+0", "1+0"}, {en,
			"6500", "6500", "6500"},
	} {
		for _, use := range []struct {
			name string
			read func(string) (string, error)
			want string
		}{{"measure", c.l.ReadMeasure, c.measure}, {"amount", c.l.ReadAmount, c.amount}} {
			got, err := use.read(c.text)
			if (err != nil) != (use.want == "") || got != use.want {
				t.Errorf("%s %s %q: %q, %v; want %q", c.l.Tag, use.name, c.text, got, err, use.want)
			}
		}
	}
	if _, err := de.ReadMeasure("6.500"); !errors.Is(err, say.ErrTwoWays) ||
		!strings.Contains(err.Error(), "6,500 or as 6500") {
		t.Errorf("the refusal does not name both readings: %v", err)
	}
	if got, err := de.ReadMoney("6.500,00 eur"); err != nil || got != "6500.00 EUR" {
		t.Errorf("%q, %v", got, err)
	}
}

// What a locale writes and somebody types again in it is the same figure, or is refused:
// never another one.
func TestTypedAgainIsTheSame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		l := rapid.SampledFrom(say.Locales()).Draw(rt, "locale")
		v := float64(rapid.Int64Range(-99_999_999, 99_999_999).Draw(rt, "value")) / 1000
		decimals := rapid.IntRange(0, 3).Draw(rt, "decimals")
		written := l.Number(v, decimals)
		want, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64)
		if err != nil {
			rt.Fatal(err)
		}
		for name, read := range map[string]func(string) (string, error){"measure": l.ReadMeasure,
			"amount": l.ReadAmount} {
			got, err := read(written)
			if errors.Is(err, say.ErrTwoWays) {
				continue
			}
			if err != nil {
				rt.Fatal(err)
			}
			if back, err := strconv.ParseFloat(got, 64); err != nil || back != want {
				rt.Fatalf("%s %s: %v is written %q and read as %s", l.Tag, name, v, written, got)
			}
		}
	})
}

func FuzzTypedFigures(f *testing.F) {
	for _, s := range []string{"6.500,50", "1,234,567", "−4.5", "6’500", "6.500 eur", "..", ", EUR", "-", "1+0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, l := range []say.Locale{say.English, say.LocaleOf("de-DE", ""), say.LocaleOf("de-CH", "")} {
			_, _ = l.ReadMoney(text)
			for _, read := range []func(string) (string, error){l.ReadMeasure, l.ReadAmount} {
				plain, err := read(text)
				if err == nil && strings.Trim(plain, "0123456789.,") == "" &&
					(strings.Count(plain, ".") > 1 || strings.Contains(plain, ",")) {
					t.Errorf("%q is read as %q", text, plain)
				}
			}
		}
	})
}

func ExampleLocale() {
	german := say.LocaleOf("de-DE", "")
	fmt.Println("worth " + german.Number(12345, 0) + " EUR")
	_, err := german.ReadMeasure("36.125")
	fmt.Println(err)
	// Output:
	// worth 12.345 EUR
	// "36.125" can be read two ways: as 36,125 or as 36125
}

// What somebody reads is matched by BCP 47 (RFC 4647; Swiss German is told in German by CLDR's fallback).
func TestLanguageOfAReader(t *testing.T) {
	for reads, want := range map[string]string{"": "en", "de": "de", "de-CH": "de", "FR-ch": "fr", "it": "it", "gsw": "de",
		"ja": "en", "fr,en;q=0.8": "fr", "pt-BR,it;q=0.7,en;q=0.5": "it", "no language": "en"} {
		if got := say.LanguageOf(reads); got != want {
			t.Errorf("%q: told in %s; want %s", reads, got, want)
		}
	}
	for _, c := range [][3]string{{"", "fr-CH", "fr"}, {"ja", "de", "de"}, {"it", "de", "it"}, {"en", "de", "en"},
		{"ja", "", "en"}} {
		if got := say.LanguageOf(c[0], c[1]); got != c[2] {
			t.Errorf("%q, else %q: told in %s; want %s", c[0], c[1], got, c[2])
		}
	}
}

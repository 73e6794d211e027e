package wording

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/message"
	"golang.org/x/text/number"
)

// Locale is how a reader writes figures and days. The words of the pages stay as they
// are; so do the names of months.
type Locale struct {
	Tag     string // BCP 47, such as de-CH
	Group   string // between thousands
	Decimal string
	Day     string // layout of a day, as of package time
}

// Layouts of a day: by day, by month, by year (ISO 8601). All are read one way only.
const (
	dayFirst   = "2 Jan 2006"
	monthFirst = "Jan 2, 2006"
	yearFirst  = time.DateOnly
)

// English is how the pages themselves write figures.
var English = Locale{"en", ",", ".", dayFirst}

var offered = []language.Tag{language.English, language.MustParse("en-GB"), language.MustParse("en-US"), language.MustParse("de-DE"), language.MustParse("de-AT"), language.MustParse("de-CH"),
	language.MustParse("fr-FR"), language.MustParse("fr-CH"), language.MustParse("it-IT"), language.MustParse("es-ES"), language.MustParse("nl-NL"), language.MustParse("pt-PT"),
	language.MustParse("sv-SE"), language.MustParse("da-DK"), language.MustParse("nb-NO"), language.MustParse("fi-FI"), language.MustParse("pl-PL"), language.MustParse("cs-CZ"), language.MustParse("ja-JP")}

var matcher = language.NewMatcher(offered)

// Locales lists the locales to choose from, with a sample figure of each.
func Locales() []Locale {
	out := make([]Locale, len(offered))
	for i, t := range offered {
		out[i] = localeOf(t)
	}
	return out
}

// Sample is the locale's name in English with a figure as it writes it.
func (l Locale) Sample() string {
	return fmt.Sprintf("%s: 12%s345%s67", display.English.Tags().Name(language.Make(l.Tag)), l.Group, l.Decimal)
}

// LocaleOf is the locale that a shop has set, or else the best one for what a browser
// accepts (its Accept-Language header), or else English.
func LocaleOf(set, accept string) Locale {
	var wanted []language.Tag
	if set != "" {
		if t, err := language.Parse(set); err == nil {
			wanted = []language.Tag{t}
		}
	} else if all, _, err := language.ParseAcceptLanguage(accept); err == nil {
		wanted = all
	}
	if len(wanted) == 0 {
		return English
	}
	_, i, sure := matcher.Match(wanted...)
	if sure == language.No {
		return English
	}
	return localeOf(offered[i])
}

// localeOf reads the marks off a figure that the locale's rules write.
func localeOf(t language.Tag) Locale {
	l := Locale{Tag: t.String(), Group: English.Group, Decimal: English.Decimal, Day: dayOrder(t)}
	text := message.NewPrinter(t).Sprint(number.Decimal(1234567.8, number.Scale(1)))
	marks := strings.FieldsFunc(text, unicode.IsDigit)
	if len(marks) >= 2 {
		l.Group, l.Decimal = marks[0], marks[len(marks)-1]
	}
	return l
}

// dayOrder is the order in which a locale writes day, month and year. The module that
// knows the marks of figures does not tell it; this is the CLDR's order from memory.
func dayOrder(t language.Tag) string {
	if region, sure := t.Region(); sure == language.Exact && region.String() == "US" {
		return monthFirst
	}
	switch base, _ := t.Base(); base.String() {
	case "ja", "ko", "zh", "sv", "hu", "lt":
		return yearFirst
	}
	return dayFirst
}

// mark stands before days and before the separators of a figure, so that Written can
// tell them from other text. It shows nowhere.
const mark = "\u2063"

const (
	groupMark   = mark + ","
	decimalMark = mark + "."
)

// markedDay is a day as Day and Moment write it.
var markedDay = regexp.MustCompile(mark + `\d{1,2} [A-Z][a-z]{2} \d{4}`)

// Written puts the figures and days of a page into the locale's form.
func (l Locale) Written(page string) string {
	page = markedDay.ReplaceAllStringFunc(page, func(m string) string {
		text := strings.TrimPrefix(m, mark)
		t, err := time.Parse(dayFirst, text)
		if err != nil || l.Day == "" {
			return text
		}
		return t.Format(l.Day)
	})
	return strings.NewReplacer(groupMark, l.Group, decimalMark, l.Decimal).Replace(page)
}

// figure marks the separators of one figure in English form.
func figure(text string) string {
	return strings.NewReplacer(",", groupMark, ".", decimalMark).Replace(text)
}

// prose finds the figures of a sentence: with thousands, or with decimals and a unit or
// the end of a range after them. Numbers of references and marks are none.
var prose = regexp.MustCompile(`(?:^|[\s(–±+−-])((?:\d{1,3}(?:,\d{3})+(?:\.\d+)?)|(?:\d+\.\d+(?:[\s\x{a0}]?(?:mm|g|kg|%|s/d|ms|°|s a day|of 10|EUR|USD|GBP|CHF)|[\s]?(?:–|to |± )\d)))`)

// Prose is a sentence of an opinion with its figures to be put into the reader's form.
// It is not for what people typed.
func Prose(text string) string {
	return prose.ReplaceAllStringFunc(text, func(m string) string {
		i := strings.IndexAny(m, "0123456789")
		end := len(m)
		for end > i && !strings.ContainsRune("0123456789", rune(m[end-1])) {
			end--
		}
		return m[:i] + figure(m[i:end]) + m[end:]
	})
}

type contextKey struct{}

// Reading is how a request's reader wants figures.
type Reading struct {
	Locale Locale
	Inches bool // inch and ounce beside millimetre and gram
}

// With gives a request's context its reader.
func With(ctx context.Context, r Reading) context.Context {
	return context.WithValue(ctx, contextKey{}, r)
}

// ReaderOf is the reader of a request, who reads English figures where none is set.
func ReaderOf(ctx context.Context) Reading {
	if r, ok := ctx.Value(contextKey{}).(Reading); ok {
		return r
	}
	return Reading{Locale: English}
}

// The inch and the troy ounce are exact by definition: 25.4 mm (ISO 31-1) and
// 31.1034768 g (Weights and Measures Act 1985, schedule 1).
const (
	mmPerInch      = 25.4
	gramsPerTroyOz = 31.1034768
)

// AlsoInch is a length in inches beside the millimetres, for readers who asked for it.
func AlsoInch(ctx context.Context, mm float64) string {
	if !ReaderOf(ctx).Inches {
		return ""
	}
	return figure(fmt.Sprintf(" (%.3f in)", mm/mmPerInch))
}

// AlsoOunce is a mass in troy ounces beside the grams, for readers who asked for it.
func AlsoOunce(ctx context.Context, g float64) string {
	if !ReaderOf(ctx).Inches {
		return ""
	}
	return figure(fmt.Sprintf(" (%.4f oz t)", g/gramsPerTroyOz))
}

// MM is a length to hundredths, without its unit.
func MM(v float64) string { return figure(fmt.Sprintf("%.2f", v)) }

// Fixed is a figure to so many decimals.
func Fixed(v float64, decimals int) string { return Number(&v, decimals) }

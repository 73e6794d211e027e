package say

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	cldr "golang.org/x/text/message"
	"golang.org/x/text/number"
)

// Locale is how a reader writes figures and days. The names of months come with the
// words, not with the figures.
type Locale struct {
	Tag     string // BCP 47, such as de-CH
	Group   string // between thousands
	Decimal string
	Days    string // layout of a day, as of package time
}

// Layouts of a day: by day, by month, by year (ISO 8601). All are read one way only.
const (
	dayFirst   = "2 Jan 2006"
	monthFirst = "Jan 2, 2006"
	yearFirst  = time.DateOnly
)

// English writes figures and days where no reader is known. Plain is English with days
// in ISO 8601, for the terminal, CSV and JSON.
var (
	English = Locale{"en", ",", ".", dayFirst}
	Plain   = Locale{"en", ",", ".", yearFirst}
)

var offered = tags("en", "en-GB", "en-US", "de-DE", "de-AT", "de-CH", "fr-FR", "fr-CH", "it-IT", "es-ES",
	"nl-NL", "pt-PT", "sv-SE", "da-DK", "nb-NO", "fi-FI", "pl-PL", "cs-CZ", "ja-JP")

var matcher = language.NewMatcher(offered)

func tags(names ...string) []language.Tag {
	out := make([]language.Tag, len(names))
	for i, n := range names {
		out[i] = language.Make(n)
	}
	return out
}

// Locales lists the locales to choose from.
func Locales() []Locale {
	out := make([]Locale, len(offered))
	for i, t := range offered {
		out[i] = localeOf(t)
	}
	return out
}

// Sample is the locale's name in English with a figure as it writes it.
func (l Locale) Sample() string {
	return fmt.Sprintf("%s: %s", display.English.Tags().Name(language.Make(l.Tag)), l.Number(12345.67, 2))
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
	l := Locale{Tag: t.String(), Group: English.Group, Decimal: English.Decimal, Days: dayOrder(t)}
	text := cldr.NewPrinter(t).Sprint(number.Decimal(1234567.8, number.Scale(1)))
	marks := strings.FieldsFunc(text, unicode.IsDigit)
	if len(marks) >= 2 {
		l.Group, l.Decimal = marks[0], marks[len(marks)-1]
	}
	return l
}

// dayOrder is the order in which a locale writes day, month and year. The module that
// knows the marks of figures does not know it; this is the CLDR's order from memory.
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

// Day writes a day that is given in ISO 8601; what is no whole day stays as it is.
func (l Locale) Day(iso string) string {
	t, err := time.Parse(time.DateOnly, iso)
	if err != nil {
		return iso
	}
	return l.DayOf(t)
}

// DayOf writes the day of a time.
func (l Locale) DayOf(t time.Time) string { return t.Format(l.Days) }

// Moment writes day and time of day.
func (l Locale) Moment(t time.Time) string { return t.Format(l.Days + " 15:04") }

package document

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// tongue writes the figures, days and statements of a paper in its language: by the one rule of
// rounding and in the one form that pages and the command line have too.
type tongue struct{ say.Writer }

// english is the tongue of papers without a language. Its days are in figures, as they were before there were others.
var english = tongue{say.Writer{Catalogue: say.InEnglish(), Locale: say.English}}

// shortDays are the days of tables, where one in words would not fit.
var shortDays = map[string]string{"de": "02.01.2006", "fr": "02/01/2006", "it": "02/01/2006"}

// tongueOf is the tongue of a language of say.Languages; English for any other.
func tongueOf(language string) tongue {
	days, other := shortDays[language]
	w, ok := say.In(language)
	if !ok || !other {
		return english
	}
	w.Locale.Days = days
	return tongue{w}
}

// language is the tag that a file bears; empty for English.
func (t tongue) language() string {
	if t.Catalogue.Tag == english.Catalogue.Tag {
		return ""
	}
	return t.Catalogue.Tag.String()
}

const nbsp = "\u00a0"

// cannotTell stands for a figure that is none.
func (t tongue) cannotTell() string { return t.String(say.That("report.cannot")) }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func stated(i [2]float64) bool { return finite(i[0]) && finite(i[1]) && i[1] > i[0] }

// rounded writes x to so many places.
func (t tongue) rounded(x float64, places int) string {
	if !finite(x) {
		return t.cannotTell()
	}
	return t.Locale.Number(x, places)
}

// signed is rounded with a plus before what is above zero.
func (t tongue) signed(x float64, places int) string {
	if !finite(x) {
		return t.cannotTell()
	}
	return t.Locale.Signed(x, places)
}

// spaced puts a space before a unit; degrees stand close.
func spaced(unit string) string {
	if unit == "" || unit == "°" {
		return unit
	}
	return nbsp + unit
}

// within writes "8.21 ± 0.10 mm", or "8.2 (7.9–8.8) mm" where the interval is not even,
// to the places that the interval allows; a figure without one to those given.
func (t tongue) within(x float64, i [2]float64, unit string, places int) string {
	unit = spaced(unit)
	if !finite(x) {
		return t.cannotTell()
	}
	if !stated(i) {
		return t.rounded(x, places) + unit
	}
	v, low, high, r := say.Rounded(x, i[0], i[1], places)
	if half := (i[1] - i[0]) / 2; say.Even(x, i[0], i[1]) {
		return t.rounded(v, r.Decimals) + nbsp + "±" + nbsp + t.rounded(max(r.To(half), math.Pow10(-r.Decimals)),
			r.Decimals) + unit
	}
	return t.rounded(v, r.Decimals) + nbsp + "(" + t.Locale.Range(low, high, r.Decimals) + ")" + unit
}

// plusMinus writes "+4.2 ± 0.8", with a plus where the figure may have either sign.
func (t tongue) plusMinus(x, half float64, places int) string {
	v, _, _, r := say.Rounded(x, x-half, x+half, places)
	return t.signed(v, r.Decimals) + nbsp + "±" + nbsp + t.rounded(max(r.To(half), math.Pow10(-r.Decimals)), r.Decimals)
}

// span writes a range to so many places.
func (t tongue) span(i [2]float64, places int) string { return t.Locale.Range(i[0], i[1], places) }

// price writes an estimated price without a range to three figures.
func (t tongue) price(x float64) string {
	if !finite(x) {
		return t.cannotTell()
	}
	return t.Value(say.Estimate{Value: x}, "")
}

// priced writes an estimate by its range: as a value, or as the range.
func (t tongue) priced(x float64, i [2]float64, c money.Currency, style string) string {
	if !finite(x) || !finite(i[0]) || !finite(i[1]) {
		return t.cannotTell()
	}
	return t.Value(say.Estimate{Value: x, Range: estimate.Interval(i), Currency: c}, style)
}

func (t tongue) priceRange(i [2]float64, c money.Currency) string {
	return t.priced((i[0]+i[1])/2, i, c, "range")
}

// amount writes exact money: cents only where there are any.
func (t tongue) amount(m *money.Money) string {
	if m == nil || m.IsZero() {
		return t.cannotTell()
	}
	return t.Locale.Money(*m)
}

// exact writes money to its last minor unit, for columns of amounts.
func exact(m money.Money) string { return exactIn(english.Writer, m) }

// exactIn is exact with the digits of another language.
func exactIn(w say.Writer, m money.Money) string {
	if m.IsZero() {
		return "–"
	}
	return w.Locale.Digits(m.Amount()) + nbsp + string(m.Currency())
}

// rateIn writes a rate such as 0.077 as 7.7 %.
func rateIn(w say.Writer, rate string) string {
	share, err := strconv.ParseFloat(rate, 64)
	if err != nil {
		return rate
	}
	return w.Locale.Rate(share)
}

// percent writes a chance.
func (t tongue) percent(p float64) string { return t.Value(say.Probability(p), "") }

// percentOf writes a rate such as 0.20 as 20 %.
func percentOf(rate string) string {
	share, err := strconv.ParseFloat(rate, 64)
	if err != nil {
		return rate
	}
	return english.Locale.Percent(share)
}

func (t tongue) monthRange(i [2]edtf.Month) string {
	return t.Value(say.Months{First: i[0], Last: i[1]}, "")
}

// dayWords writes the day of a time, in words where the language has a form for that.
func (t tongue) dayWords(of time.Time) string {
	if of.IsZero() {
		return t.String(say.That("report.not-dated"))
	}
	return t.isoDayWords(of.Format(time.DateOnly))
}

// dayShort writes the day of a time where there is little room.
func (t tongue) dayShort(of time.Time) string {
	if of.IsZero() {
		return t.dayWords(of)
	}
	return t.Locale.DayOf(of)
}

// isoDayWords writes an ISO 8601 day as the reader does, and leaves another text alone.
func (t tongue) isoDayWords(s string) string { return t.Value(say.Date(s), "") }

// told is a statement as a sentence of its own.
func (t tongue) told(s say.Statement) string { return t.Capital(s) }

// names are proper words as a list.
func names(words []string) say.List {
	list := make(say.List, len(words))
	for i, w := range words {
		list[i] = say.Proper(w)
	}
	return list
}

// series writes "a", "a and b", "a, b and c".
func (t tongue) series(words []string) string { return t.Value(names(words), "") }

// joined are words one after the other, those that say nothing left out.
func (t tongue) joined(words ...string) string {
	words = slices.DeleteFunc(words, func(w string) bool { return w == "" })
	return t.Value(names(words), "semicolon")
}

// sentence is a statement with a capital and a stop.
func (t tongue) sentence(s say.Statement) string {
	if s.IsZero() {
		return ""
	}
	return opening(t.String(s))
}

// all are statements as sentences.
func (t tongue) all(says []say.Statement) []string {
	out := make([]string, len(says))
	for i, s := range says {
		out[i] = t.sentence(s)
	}
	return out
}

// opening gives a sentence its capital and its stop.
func opening(s string) string {
	s = say.Capital(strings.TrimSpace(s))
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") ||
		strings.HasSuffix(s, ":") {
		return s
	}
	return s + "."
}

package document

import (
	"math"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// english writes the figures, days and statements of a paper: by the one rule of
// rounding and in the one form that pages and the command line have too.
var english = say.Writer{Catalogue: say.InEnglish(), Locale: say.English}

const (
	nbsp       = "\u00a0"
	cannotTell = "cannot tell"
)

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func stated(i [2]float64) bool { return finite(i[0]) && finite(i[1]) && i[1] > i[0] }

// rounded writes x to so many places.
func rounded(x float64, places int) string {
	if !finite(x) {
		return cannotTell
	}
	return english.Locale.Number(x, places)
}

// signed is rounded with a plus before what is above zero.
func signed(x float64, places int) string {
	if !finite(x) {
		return cannotTell
	}
	return english.Locale.Signed(x, places)
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
func within(x float64, i [2]float64, unit string, places int) string {
	unit = spaced(unit)
	if !finite(x) {
		return cannotTell
	}
	if !stated(i) {
		return rounded(x, places) + unit
	}
	v, low, high, r := say.Rounded(x, i[0], i[1], places)
	if half := (i[1] - i[0]) / 2; say.Even(x, i[0], i[1]) {
		return rounded(v, r.Decimals) + nbsp + "±" + nbsp + rounded(max(r.To(half), math.Pow10(-r.Decimals)),
			r.Decimals) + unit
	}
	return rounded(v, r.Decimals) + nbsp + "(" + english.Locale.Range(low, high, r.Decimals) + ")" + unit
}

// plusMinus writes "+4.2 ± 0.8", with a plus where the figure may have either sign.
func plusMinus(x, half float64, places int) string {
	v, _, _, r := say.Rounded(x, x-half, x+half, places)
	return signed(v, r.Decimals) + nbsp + "±" + nbsp + rounded(max(r.To(half), math.Pow10(-r.Decimals)), r.Decimals)
}

// span writes a range to so many places.
func span(i [2]float64, places int) string { return english.Locale.Range(i[0], i[1], places) }

// price writes an estimated price without a range to three figures.
func price(x float64) string {
	if !finite(x) {
		return cannotTell
	}
	return english.Value(say.Estimate{Value: x}, "")
}

// priced writes an estimate by its range: as a value, or as the range.
func priced(x float64, i [2]float64, c money.Currency, style string) string {
	if !finite(x) || !finite(i[0]) || !finite(i[1]) {
		return cannotTell
	}
	return english.Value(say.Estimate{Value: x, Range: estimate.Interval(i), Currency: c}, style)
}

func priceRange(i [2]float64, c money.Currency) string {
	return priced((i[0]+i[1])/2, i, c, "range")
}

// amount writes exact money: cents only where there are any.
func amount(m *money.Money) string {
	if m == nil || m.IsZero() {
		return cannotTell
	}
	return english.Locale.Money(*m)
}

// exact writes money to its last minor unit, for columns of amounts.
func exact(m money.Money) string { return exactIn(english, m) }

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
func percent(p float64) string { return english.Value(say.Probability(p), "") }

// percentOf writes a rate such as 0.20 as 20 %.
func percentOf(rate string) string {
	share, err := strconv.ParseFloat(rate, 64)
	if err != nil {
		return rate
	}
	return english.Locale.Percent(share)
}

func monthRange(i [2]edtf.Month) string {
	return english.Value(say.Months{First: i[0], Last: i[1]}, "")
}

func dayWords(t time.Time) string {
	if t.IsZero() {
		return "not dated"
	}
	return english.Locale.DayOf(t)
}

// isoDayWords writes an ISO 8601 day as the reader does, and leaves another text alone.
func isoDayWords(s string) string { return english.Locale.Day(s) }

// told is a statement as a sentence of its own.
func told(s say.Statement) string { return english.Capital(s) }

// names are proper words as a list.
func names(words []string) say.List {
	list := make(say.List, len(words))
	for i, w := range words {
		list[i] = say.Proper(w)
	}
	return list
}

// series writes "a", "a and b", "a, b and c".
func series(words []string) string { return english.Value(names(words), "") }

// opening gives a sentence its capital and its stop.
func opening(s string) string {
	s = say.Capital(strings.TrimSpace(s))
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") ||
		strings.HasSuffix(s, ":") {
		return s
	}
	return s + "."
}

// Package wording turns figures and states into the words that all pages use.
package wording

import (
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/money"
)

const none = "–"

// State is a state in words.
func State(s shop.State) string { return strings.ReplaceAll(string(s), "_", " ") }

// Money is an amount with its currency, or a dash.
func Money(m money.Money) string {
	if m.IsZero() {
		return none
	}
	whole, cents, _ := strings.Cut(m.Amount(), ".")
	out := Thousands(whole)
	if strings.Trim(cents, "0") != "" {
		out += decimalMark + cents
	}
	return out + "\u00a0" + string(m.Currency())
}

// Exact is an amount to its minor unit, without its currency, or nothing.
func Exact(m money.Money) string {
	if m.IsZero() {
		return ""
	}
	whole, cents, ok := strings.Cut(m.Amount(), ".")
	out := Thousands(whole)
	if ok {
		out += decimalMark + cents
	}
	return out
}

// Percents is a share in percent, with as many decimals as it has, two at most.
func Percents(share float64) string {
	text := strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", 100*share), "0"), ".")
	return figure(text) + " %"
}

// MoneyPtr is Money for an amount that may not be there.
func MoneyPtr(m *money.Money) string {
	if m == nil {
		return none
	}
	return Money(*m)
}

// Amount is an estimate of money to three significant figures, thousands separated.
func Amount(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(math.Abs(v)))-2))
	return Thousands(fmt.Sprintf("%.0f", math.Round(v/unit)*unit))
}

// About is an amount of money to three significant figures with its currency.
func About(m money.Money) string { return Amount(m.Float()) + "\u00a0" + string(m.Currency()) }

// Thousands separates the thousands of a whole number written in digits.
func Thousands(digits string) string {
	sign := ""
	if strings.HasPrefix(digits, "-") {
		sign, digits = "−", digits[1:]
	}
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + groupMark + digits[i:]
	}
	return sign + digits
}

// Grade is a grade to one decimal, or a dash.
func Grade(g *float64) string {
	if g == nil {
		return none
	}
	return figure(fmt.Sprintf("%.1f", *g))
}

// Number is a figure to so many decimals, or a dash.
func Number(v *float64, decimals int) string {
	if v == nil {
		return none
	}
	return figure(strings.Replace(fmt.Sprintf("%.*f", decimals, *v), "-", "−", 1))
}

// Signed is Number with a sign.
func Signed(v *float64, decimals int) string {
	if v == nil {
		return none
	}
	return figure(strings.Replace(fmt.Sprintf("%+.*f", decimals, *v), "-", "−", 1))
}

// SignedValue is a figure with its sign, to so many decimals.
func SignedValue(v float64, decimals int) string { return Signed(&v, decimals) }

// Months is a span of months in short words; one month is one.
func Months(span [2]edtf.Month) string {
	if span[0] == span[1] {
		return Month(span[0])
	}
	return Month(span[0]) + " – " + Month(span[1])
}

var months = [...]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// Month is a month in short words: May 1968.
func Month(m edtf.Month) string { return fmt.Sprintf("%s %d", months[m.Calendar()-1], m.Year()) }

// Span is an EDTF interval of months in short words.
func Span(text string) string {
	if text == "" {
		return none
	}
	d, err := edtf.Parse(text)
	if err != nil {
		return text
	}
	first, _ := d.FirstMonth()
	last, _ := d.LastMonth()
	if first == last {
		return Month(first)
	}
	return Month(first) + " – " + Month(last)
}

// Troubles lists what is not as it should be, or says that nothing was found. Parts
// with the same verdict stand together, the gravest first.
func Troubles(b shop.Brief) string {
	switch {
	case b.Forming:
		return "opinion is being formed"
	case b.Problem != "":
		return "no opinion: " + b.Problem
	case len(b.Troubles) == 0:
		return "nothing against it"
	}
	var fitsNot, later, rest []string
	for _, t := range b.Troubles {
		if part, ok := strings.CutSuffix(t, " does not fit"); ok {
			fitsNot = append(fitsNot, part)
		} else if part, ok := strings.CutSuffix(t, " probably later"); ok {
			later = append(later, part)
		} else {
			rest = append(rest, t)
		}
	}
	var out []string
	if len(fitsNot) > 0 {
		verb := " does not fit"
		if len(fitsNot) > 1 || strings.HasSuffix(fitsNot[0], "s") {
			verb = " do not fit"
		}
		out = append(out, strings.Join(fitsNot, ", ")+verb)
	}
	out = append(out, rest...)
	if len(later) > 0 {
		out = append(out, strings.Join(later, ", ")+" probably later")
	}
	return strings.Join(out, "; ")
}

// Whole is an amount of money to the unit, without its currency, or a dash.
func Whole(m money.Money) string {
	if m.IsZero() {
		return none
	}
	return Thousands(fmt.Sprintf("%.0f", m.Float()))
}

// Underscored is a name of a list in words.
func Underscored(s string) string { return strings.ReplaceAll(s, "_", " ") }

// Title gives a word a capital.
func Title(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// Day is a day such as 2026-03-01 in short words, 1 Mar 2026; what is no whole day stays
// as it is.
func Day(text string) string {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return text
	}
	return DayOf(t)
}

// DayOf is the day of a time, in the reader's form once the page is written.
func DayOf(t time.Time) string { return mark + t.Format(dayFirst) }

// Moment is day and time of day.
func Moment(t time.Time) string { return mark + t.Format(dayFirst+" 15:04") }

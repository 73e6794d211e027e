package opinion

import (
	"fmt"
	"math"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
	"midcase/refbook"
)

var monthNames = [...]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}

// monthWords writes a month as people say it: May 1968.
func monthWords(m edtf.Month) string {
	return fmt.Sprintf("%s %d", monthNames[m.Calendar()-1], m.Year())
}

// spanWords writes a span of months: "May 1968" or "May to July 1968".
func spanWords(first, last edtf.Month) string {
	switch {
	case first == last:
		return monthWords(first)
	case first.Calendar() == 1 && last.Calendar() == 12 && first.Year() == last.Year():
		return fmt.Sprint(first.Year())
	case first.Year() == last.Year():
		return fmt.Sprintf("%s to %s", monthNames[first.Calendar()-1], monthWords(last))
	}
	return monthWords(first) + " to " + monthWords(last)
}

func markName(what string) string {
	switch what {
	case evidence.MarkSerial:
		return "serial number"
	case evidence.MarkMovementNumber:
		return "movement number"
	}
	return strings.ReplaceAll(what, "_", " ")
}

// sameNumber compares two numbers as stamped, without regard to spaces and dots.
func sameNumber(a, b string) bool {
	x, errX := refbook.ParseNumber(a)
	y, errY := refbook.ParseNumber(b)
	if errX != nil || errY != nil {
		return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
	}
	return x == y
}

// join lists words: "a", "a and b", "a, b and c".
func join(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// amount writes an estimate of money to as many digits as a price guide needs:
// three significant figures, thousands separated.
func amount(v float64) string {
	if v <= 0 {
		return "0"
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(v))-2))
	return thousands(int64(math.Round(v/unit) * unit))
}

// price writes an exact amount with thousands separated; a whole one without
// decimals.
func price(m money.Money) string {
	s, sign := m.Amount(), ""
	if rest, negative := strings.CutPrefix(s, "-"); negative {
		s, sign = rest, "−"
	}
	whole, cents, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if strings.Trim(cents, "0") != "" {
		whole += "." + cents
	}
	return sign + whole + " " + string(m.Currency())
}

func thousands(n int64) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

var powersOf10 = [...]float64{1, 10, 100, 1e3, 1e4, 1e5, 1e6}

// round rounds to at most six decimals.
func round(x float64, decimals int) float64 {
	p := powersOf10[decimals]
	return math.Round(x*p) / p
}

func or(v, otherwise float64) float64 {
	if v == 0 {
		return otherwise
	}
	return v
}

func ptr[T any](v T) *T { return &v }

// signed writes a whole amount with thousands separated and a true minus sign.
func signed(v float64) string {
	if v < 0 {
		return "−" + thousands(int64(math.Round(-v)))
	}
	return thousands(int64(math.Round(v)))
}

// sentence gives a clause a capital and a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

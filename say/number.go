package say

import (
	"math"
	"strconv"
	"strings"

	"midcase/money"
)

// Digits writes a figure given as a plain decimal, such as -12345.6: thousands apart, a
// true minus, none before zero.
func (l Locale) Digits(plain string) string {
	sign := ""
	if rest, negative := strings.CutPrefix(plain, "-"); negative {
		plain = rest
		if strings.Trim(plain, "0.") != "" {
			sign = "−"
		}
	}
	whole, rest, decimals := strings.Cut(plain, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + l.Group + whole[i:]
	}
	if decimals {
		whole += l.Decimal + rest
	}
	return sign + whole
}

// Number writes a figure to so many decimals.
func (l Locale) Number(v float64, decimals int) string {
	return l.Digits(strconv.FormatFloat(v, 'f', decimals, 64))
}

// Signed is Number with a plus before what is above zero as it is written.
func (l Locale) Signed(v float64, decimals int) string {
	text := l.Number(v, decimals)
	if v > 0 && strings.ContainsAny(text, "123456789") {
		return "+" + text
	}
	return text
}

// Range writes both ends of a range; where they are written alike, once. A dash beside a
// minus would be misread, so such a range has dots.
func (l Locale) Range(low, high float64, decimals int) string {
	from, to := l.Number(low, decimals), l.Number(high, decimals)
	switch {
	case from == to:
		return from
	case strings.HasPrefix(from, "−") || strings.HasPrefix(to, "−"):
		return from + " … " + to
	}
	return from + "–" + to
}

// Money writes an amount with its currency, a whole one without decimals.
func (l Locale) Money(m money.Money) string {
	amount := m.Amount()
	if whole, cents, _ := strings.Cut(amount, "."); strings.Trim(cents, "0") == "" {
		amount = whole
	}
	return l.Digits(amount) + l.gap() + string(m.Currency())
}

// Percent writes a share, 0.2 for 20 %. A share that was set, such as 12.5 %, is written
// as it is, and a computed one below ten percent to a tenth.
func (l Locale) Percent(share float64) string {
	return l.Number(100*share, shareDecimals(share)) + l.percent()
}

// gap is the space before a unit: one that does not break a line, except in plain text.
func (l Locale) gap() string {
	if l == Plain {
		return " "
	}
	return nbsp
}

// percent is the sign with the space before it; Italian writes none.
func (l Locale) percent() string {
	if strings.HasPrefix(l.Tag, "it") {
		return "%"
	}
	return l.gap() + "%"
}

// PercentSign is the sign as it stands after a figure.
func (l Locale) PercentSign() string { return l.percent() }

// Rate writes a rate that was set, such as 8.75 %, as it is, to two decimals at most.
func (l Locale) Rate(share float64) string {
	decimals := 2
	for d, unit := range []float64{100, 1000} {
		if isWhole(unit * share) {
			decimals = d
			break
		}
	}
	return l.Number(100*share, decimals) + l.percent()
}

func isWhole(v float64) bool { return math.Abs(v-math.Round(v)) < 1e-6 }

func shareDecimals(share float64) int {
	switch {
	case isWhole(100 * share):
		return 0
	case isWhole(1000 * share), math.Abs(share) < 0.1:
		return 1
	}
	return 0
}

package wording

import (
	"errors"
	"fmt"
	"strings"
)

// ErrTwoWays is wrapped where a typed figure can be read in two ways that differ by
// a factor of a thousand. Such a figure is never guessed at.
var ErrTwoWays = errors.New("can be read two ways")

// Measure reads a typed length, mass or rate as a plain decimal, such as 36.25. People
// do not write thousands in measurements: a single mark with three figures after it is
// taken as decimal only where it is the decimal mark of the locale, and refused else.
func (l Locale) Measure(text string) (string, error) { return l.typed(text, false) }

// Amount reads a typed amount of money as a plain decimal. A single mark with three
// figures after it separates thousands where the locale does so, and is refused else.
func (l Locale) Amount(text string) (string, error) { return l.typed(text, true) }

var spaces = strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "", "'", "", "’", "", "−", "-")

func (l Locale) typed(text string, thousands bool) (string, error) {
	plain := spaces.Replace(strings.TrimSpace(text))
	marks := strings.Trim(strings.TrimLeft(plain, "+-"), "0123456789")
	if marks == "" && !strings.ContainsAny(plain, ".,") || strings.Trim(plain, "+-0123456789.,") != "" {
		return plain, nil // nothing to decide, or no figure at all, which others say
	}
	last := strings.LastIndexAny(plain, ".,")
	whole, after := plain[:last], plain[last+1:]
	sep := plain[last]
	other := strings.ContainsAny(whole, ".,")
	switch {
	case !other && !l.twoWays(whole, after):
		return whole + "." + after, nil
	case !other && thousands && string(sep) == l.Group:
		return whole + after, nil
	case !other && string(sep) == l.Decimal && !thousands:
		return whole + "." + after, nil
	case !other:
		return "", fmt.Errorf("%q %w: as %s or as %s", text, ErrTwoWays, whole+l.Decimal+after, whole+after)
	}
	// More marks: those before the last one group in threes, and are all the same.
	first := plain[strings.IndexAny(plain, ".,")]
	groups := strings.Split(whole, string(first))
	if first == sep {
		groups, after = append(groups, after), ""
	}
	if !inThrees(groups) || strings.ContainsAny(strings.Join(groups, ""), ".,") {
		return "", fmt.Errorf("%q: the marks in it do not stand where thousands and decimals have them", text)
	}
	if after == "" {
		return strings.Join(groups, ""), nil
	}
	return strings.Join(groups, "") + "." + after, nil
}

// twoWays reports whether a single mark may be one of thousands: three figures after it,
// and one to three before it that do not begin with 0.
func (l Locale) twoWays(whole, after string) bool {
	digits := strings.TrimLeft(whole, "+-")
	return len(after) == 3 && len(digits) >= 1 && len(digits) <= 3 && digits[0] != '0'
}

func inThrees(groups []string) bool {
	for i, g := range groups {
		if i == 0 && (len(strings.TrimLeft(g, "+-")) < 1 || len(strings.TrimLeft(g, "+-")) > 3) || i > 0 && len(g) != 3 {
			return false
		}
	}
	return true
}

// AmountOf reads an amount that may have its currency after it, such as 6.500 EUR, and
// gives both as they are kept: 6500 EUR.
func (l Locale) AmountOf(text string) (string, error) {
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return "", nil
	}
	currency := ""
	if last := fields[len(fields)-1]; len(last) == 3 && strings.Trim(last, "0123456789.,'’") == last {
		currency, fields = " "+strings.ToUpper(last), fields[:len(fields)-1]
	}
	figure := strings.Join(fields, "")
	if figure == "" || !strings.ContainsAny(figure[len(figure)-1:], "0123456789") {
		return text, nil // no amount, which others say
	}
	plain, err := l.Amount(figure)
	if err != nil {
		return "", err
	}
	return plain + currency, nil
}

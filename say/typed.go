package say

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// ErrTwoWays is wrapped where a typed figure can be read in two ways that differ by
// a factor of a thousand. Such a figure is never guessed at.
var ErrTwoWays = errors.New("can be read two ways")

// ReadMeasure reads a typed length, mass or rate as a plain decimal, such as 36.25. People
// do not write thousands in measurements: a single mark with three figures after it is
// decimal only where it is the decimal mark of the locale, and refused otherwise.
func (l Locale) ReadMeasure(text string) (string, error) { return l.typed(text, false) }

// ReadAmount reads a typed amount of money as a plain decimal. A single mark with three
// figures after it separates thousands where the locale does so, and is refused otherwise.
func (l Locale) ReadAmount(text string) (string, error) { return l.typed(text, true) }

var spaces = strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "", "'", "", "’", "", "−", "-")

// marked is a figure with marks among its digits.
var marked = regexp.MustCompile(`^[+-]?[0-9.,]*[.,][0-9.,]*$`)

func (l Locale) typed(text string, thousands bool) (string, error) {
	plain := spaces.Replace(strings.TrimSpace(text))
	if !marked.MatchString(plain) {
		return plain, nil // nothing to decide, or no figure at all, which others report
	}
	last := strings.LastIndexAny(plain, ".,")
	whole, mark, after := plain[:last], plain[last:last+1], plain[last+1:]
	switch {
	case strings.ContainsAny(whole, ".,"):
		return severalMarks(text, whole, mark, after)
	case !twoWays(whole, after), mark == l.Decimal && !thousands:
		return whole + "." + after, nil
	case mark == l.Group && thousands:
		return whole + after, nil
	}
	return "", fmt.Errorf("%q %w: as %s or as %s", text, ErrTwoWays, whole+l.Decimal+after, whole+after)
}

// severalMarks reads a figure with more than one mark: those before the last one group
// in threes and are all the same; the last one may be the decimal mark.
func severalMarks(text, whole, mark, after string) (string, error) {
	group := whole[strings.IndexAny(whole, ".,"):][:1]
	groups := strings.Split(whole, group)
	if group == mark {
		groups, after = append(groups, after), ""
	}
	if !inThrees(groups) {
		return "", fmt.Errorf("%q: the marks in it do not separate thousands and decimals", text)
	}
	if after != "" {
		after = "." + after
	}
	return strings.Join(groups, "") + after, nil
}

// twoWays reports whether a single mark may be one of thousands: three digits after it,
// and one to three before it that do not begin with 0.
func twoWays(whole, after string) bool {
	digits := strings.TrimLeft(whole, "+-")
	return len(after) == 3 && len(digits) >= 1 && len(digits) <= 3 && digits[0] != '0'
}

// inThrees reports whether digits stand in groups as thousands do. A mark that is left
// within a group is none of them.
func inThrees(groups []string) bool {
	for i, g := range groups {
		digits := g
		if i == 0 {
			digits = strings.TrimLeft(g, "+-")
		}
		if strings.ContainsAny(digits, ".,") || len(digits) == 0 || len(digits) > 3 || i > 0 && len(digits) != 3 {
			return false
		}
	}
	return true
}

// ReadMoney reads an amount that may have its currency after it, such as 6.500 EUR, and
// gives both as they are kept: 6500 EUR.
func (l Locale) ReadMoney(text string) (string, error) {
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
		return text, nil // no amount, which others report
	}
	plain, err := l.ReadAmount(figure)
	if err != nil {
		return "", err
	}
	return plain + currency, nil
}

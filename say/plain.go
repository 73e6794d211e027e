package say

import (
	"strconv"
	"strings"
)

// plain writes figures as English does, and days as ISO 8601.
type plain struct{}

func (plain) Number(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	sign := ""
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		text = rest
		if strings.Trim(text, "0.") != "" {
			sign = "−"
		}
	}
	whole, rest, _ := strings.Cut(text, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest != "" {
		whole += "." + rest
	}
	return sign + whole
}

func (plain) Day(iso string) string { return iso }

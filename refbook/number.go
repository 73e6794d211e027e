package refbook

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// ParseNumber reads a serial or movement number as stamped: "1 234 567",
// "1.234.567", "A 12345". Spaces, dots and apostrophes between the figures do not
// count, nor does a prefix of letters; leading noughts are dropped. A number with a
// figure that could not be read (?) is refused, since any digit may stand there.
func ParseNumber(text string) (int64, error) {
	if strings.Contains(text, "?") {
		return 0, fmt.Errorf("number %q: a figure cannot be read; a number counts only whole", text)
	}
	var digits strings.Builder
	for _, c := range text {
		switch {
		case c >= '0' && c <= '9':
			digits.WriteRune(c)
		case unicode.IsSpace(c) || c == '.' || c == '\'' || c == '’':
		case unicode.IsLetter(c) && digits.Len() == 0:
		default:
			return 0, fmt.Errorf("number %q: %q is not part of a number; give figures, such as 1 234 567 or A 12345",
				text, c)
		}
	}
	if digits.Len() == 0 {
		return 0, fmt.Errorf("number %q: no figures; give a number such as 1 234 567", text)
	}
	n, err := strconv.ParseInt(digits.String(), 10, 64)
	if err != nil {
		return 0, fmt.Errorf("number %q: too long for a serial number", text)
	}
	if n == 0 {
		return 0, fmt.Errorf("number %q: numbers begin at 1; check whether figures are missing", text)
	}
	return n, nil
}

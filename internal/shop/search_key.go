package shop

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// letters that carry a stroke or are joined do not decompose in Unicode.
var letters = strings.NewReplacer("ø", "o", "ł", "l", "đ", "d", "æ", "ae", "œ", "oe", "ı", "i")

// SearchKey is the form in which text is searched: without regard to case and accents,
// with single spaces.
func SearchKey(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(s) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(letters.Replace(cases.Fold().String(b.String()))), " ")
}

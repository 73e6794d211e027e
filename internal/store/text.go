package store

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// caseKey is the form in which names are compared without regard to case: trimmed,
// composed, case-folded (ß becomes ss).
func caseKey(s string) string {
	return norm.NFC.String(cases.Fold().String(norm.NFC.String(plain(s))))
}

// letters that carry a stroke or are joined do not decompose in Unicode.
var letters = strings.NewReplacer("ø", "o", "ł", "l", "đ", "d", "æ", "ae", "œ", "oe", "ı", "i")

// searchKey is the form in which text is searched and names are put in order: like
// caseKey, without accents and with single spaces. Made in Go, it is the same on both
// engines, whatever collation the server has.
func searchKey(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(plain(s)) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(letters.Replace(cases.Fold().String(b.String()))), " ")
}

// plain trims s and makes it text that both engines can hold.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.TrimSpace(s)
}

var likeEscape = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

// likePattern matches the word anywhere, by LIKE … ESCAPE '\'.
func likePattern(word string) string { return "%" + likeEscape.Replace(word) + "%" }

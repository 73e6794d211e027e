package store

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"midcase/internal/shop"
)

// caseKey is the form in which names are compared without regard to case: trimmed,
// composed, case-folded (ß becomes ss).
func caseKey(s string) string {
	return norm.NFC.String(cases.Fold().String(norm.NFC.String(plain(s))))
}

// searchKey is the form in which text is searched and names are put in order. Made in
// Go, it is the same on both engines, whatever collation the server has.
func searchKey(s string) string { return shop.SearchKey(plain(s)) }

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

package metal

import (
	"strings"
)

// word is one word of a mark: as written, and folded for comparing.
type word struct{ raw, key string }

// splitMark splits at spaces and signs, joins abbreviations written with points
// (R. G. P.) and keeps fractions together.
func splitMark(text string) []word {
	text = dotted.ReplaceAllStringFunc(text, func(s string) string {
		tail := ""
		if strings.HasSuffix(s, " ") {
			tail = " "
		}
		return strings.NewReplacer(".", "", " ", "").Replace(s) + tail
	})
	text = spaced.ReplaceAllString(text, "$1%")
	var out []word
	for _, raw := range strings.FieldsFunc(text, func(c rune) bool {
		return strings.ContainsRune(" \t\r\n;|()[]&·+",
			c)
	}) {
		if key := fold(raw); karatShare.MatchString(key) || overThou.MatchString(key) {
			out = append(out, word{raw, key})
			continue
		}
		for _, part := range strings.FieldsFunc(raw, func(c rune) bool { return strings.ContainsRune("/-–", c) }) {
			out = append(out, word{part, fold(part)})
		}
	}
	return out
}

var unaccent = strings.NewReplacer("À", "A", "Á", "A", "Â", "A", "Ä", "A", "Ã", "A", "Ç", "C", "È", "E", "É", "E",
	"Ê", "E", "Ë", "E", "Í", "I", "Î", "I", "Ï", "I", "Ñ", "N", "Ó", "O", "Ô", "O", "Ö", "O", "Õ", "O", "Ú", "U",
	"Ü", "U", "\u0300", "", "\u0301", "", "\u0308", "")

// fold writes a word in capitals without accents and marks of punctuation around it; a
// point before a figure stays.
func fold(s string) string {
	key := strings.Trim(unaccent.Replace(strings.ToUpper(s)), ".,:;\"'“”’!*")
	if strings.HasPrefix(s, ".") && key != "" && key[0] >= '0' && key[0] <= '9' {
		key = "." + key
	}
	return key
}

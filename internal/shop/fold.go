package shop

import (
	"strings"
	"unicode/utf8"
)

// longestLine is the longest content line, in octets without its line break, that RFC
// 5545 (section 3.1) and RFC 6350 (section 3.2) recommend.
const longestLine = 75

// fold breaks content lines that are too long: CRLF and a space, which a reader takes
// out again. No UTF-8 sequence is broken.
func FoldLines(text string) string {
	var b strings.Builder
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		room := longestLine
		for len(line) > room {
			cut := room
			for cut > 1 && !utf8.RuneStart(line[cut]) {
				cut--
			}
			b.WriteString(line[:cut] + "\r\n ")
			line, room = line[cut:], longestLine-1 // the space counts
		}
		b.WriteString(line + "\r\n")
	}
	return b.String()
}

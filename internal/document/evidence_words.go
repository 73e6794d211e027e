package document

import (
	"strings"

	"midcase/evidence"
)

func after(sep, s string) string {
	if s == "" {
		return ""
	}
	return sep + s
}

func underscored(s string) string { return strings.ReplaceAll(s, "_", " ") }

func viewWords(view string) string {
	if view == "" {
		return "view not stated"
	}
	return underscored(view)
}

// positionWords names a position of ISO 3158 in words.
func positionWords(p string) string {
	return english.String(evidence.SayPosition(p))
}

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

// photoWords names what a photograph shows once.
func photoWords(p *evidence.Photo) string {
	if view := viewWords(p.View); !strings.EqualFold(view, p.Caption) {
		return "photograph, " + view + after(": ", p.Caption)
	}
	return "photograph, " + p.Caption
}

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

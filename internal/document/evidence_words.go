package document

import (
	"strings"

	"midcase/evidence"
	"midcase/say"
)

func after(sep, s string) string {
	if s == "" {
		return ""
	}
	return sep + s
}

func underscored(s string) string { return strings.ReplaceAll(s, "_", " ") }

// underscores makes the id of a word of the trade out of what was typed.
func underscores(s string) string {
	return strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), " ", "_")
}

func (t tongue) viewWords(view string) string {
	if view == "" {
		return t.String(say.That("report.no-view"))
	}
	return t.Value(say.Noun{Set: "view", ID: view, English: underscored(view)}, "")
}

// positionWords names a position of ISO 3158 in words.
func (t tongue) positionWords(p string) string {
	return t.String(evidence.SayPosition(p))
}

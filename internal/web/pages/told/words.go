package told

import (
	"fmt"
	"net/url"

	"midcase/evidence"
	"midcase/telling"
)

func watch(d Data) string { return "/watches/" + url.PathEscape(string(d.Watch.ID)) }

// languages are those of a text, by their own names.
var languages = []struct{ tag, name string }{{"en", "English"}, {"de", "Deutsch"}, {"fr", "Français"},
	{"it", "Italiano"}}

func formName(f telling.Form) string {
	switch f {
	case telling.Catalogue:
		return "Catalogue entry"
	case telling.Message:
		return "Message to a client"
	case telling.Post:
		return "Post"
	case telling.Talk:
		return "Talk sheet"
	}
	return "Listing page"
}

// disclosed says how much is disclosed, and where the rest is listed.
func disclosed(t telling.Told) string {
	seen := map[evidence.ID]bool{}
	for _, d := range t.Disclosed {
		seen[d.Finding] = true
	}
	text := fmt.Sprintf("%d items of evidence have to be disclosed; the text discloses all of them.", len(seen))
	if t.Elsewhere != "" {
		text += " It is short, so it names the gravest and says where all are listed."
	}
	return text
}

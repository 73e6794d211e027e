package told

import (
	"fmt"
	"net/url"
	"strings"

	"midcase/evidence"
	"midcase/hand"
	"midcase/say"
)

type evidenceID = evidence.ID

// query names the form, language and length of a text.
func query(d Data) string {
	return url.Values{"for": {string(d.For)}, "language": {d.Language}, "characters": {fmt.Sprint(d.Length)}}.Encode()
}

// shown is where the text is read, editing where it is edited.
func shown(d Data) string   { return watch(d) + "/listing?" + query(d) }
func editing(d Data) string { return watch(d) + "/listing/edit?" + query(d) }

// Shown is where the text is read.
func Shown(d Data) string { return shown(d) }

func languageName(tag string) string {
	for _, l := range languages {
		if l.tag == tag {
			return l.name
		}
	}
	return tag
}

func kindName(k hand.Kind) string {
	switch k {
	case hand.Unsupported:
		return "Nothing supports this"
	case hand.Contradicts:
		return "Contradicted"
	case hand.Adjective:
		return "No ground for this word"
	case hand.Rarity:
		return "Rarity without a count"
	}
	return "Private"
}

// why is a reason without the words that stand before it.
func why(reason, said string) string {
	if rest, ok := strings.CutPrefix(reason, "“"+said+"”: "); ok {
		return say.Capital(rest)
	}
	return reason
}

func linked(id evidence.ID) bool { return !strings.HasPrefix(string(id), "part/") && id != "" }

func orOut(sentence string) string {
	if sentence == "" {
		return "(leave it out)"
	}
	return sentence
}

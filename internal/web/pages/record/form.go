package record

import (
	"net/url"
	"strings"

	"midcase/evidence"
	"midcase/say"
)

// Kind is one kind of evidence that can be typed in.
type Kind struct {
	ID   evidence.Kind
	Name string
	Says string // what it is for
}

func back(d Data) string { return "/watches/" + url.PathEscape(string(d.Watch.ID)) }

// says is what a kind is for, as a sentence.
func says(k Kind) string { return say.Capital(k.Says) + "." }

// needsSlot reports whether the choices depend on the part.
func needsSlot(d Data) bool {
	return d.Kind.ID == evidence.KindFitted || d.Kind.ID == evidence.KindFinding
}

// save is what the button says.
func save(d Data) string { return "Save " + strings.ToLower(d.Kind.Name) }

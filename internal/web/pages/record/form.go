package record

import (
	"net/url"
	"strings"

	"github.com/a-h/templ"

	"midcase/evidence"

	fields "midcase/internal/web/pages/field"
)

func back(d Data) string { return "/watches/" + url.PathEscape(string(d.Watch.ID)) }

func words(s string) string { return strings.ReplaceAll(s, "_", " ") }

func name(k evidence.Kind) string {
	for _, x := range Kinds() {
		if x.ID == k {
			return x.Name
		}
	}
	return string(k)
}

// says is what a kind is for.
func says(k evidence.Kind) string {
	for _, x := range Kinds() {
		if x.ID == k {
			return strings.ToUpper(x.Says[:1]) + x.Says[1:] + "."
		}
	}
	return ""
}

// pictureError is what is wrong with a picture, in words.
func pictureError(d Data) string {
	for _, p := range d.Problems {
		if p.Field == "picture" {
			return "Found " + p.Found + "; want " + p.Want + "."
		}
	}
	return ""
}

func pictureAttributes(d Data) templ.Attributes {
	if pictureError(d) != "" {
		return templ.Attributes{"aria-describedby": "e-picture h-picture", "aria-invalid": "true"}
	}
	return templ.Attributes{"aria-describedby": "h-picture"}
}

// needsSlot reports whether the choices depend on the part.
func needsSlot(d Data) bool {
	return d.Kind == evidence.KindFitted || d.Kind == evidence.KindFinding
}

// offersNothing reports whether the choices begin with an empty one already.
func offersNothing(f Field) bool { return len(f.Options) > 0 && f.Options[0].Value == "" }

// described ties a field to its hint or error for those who listen to the page.
func described(f Field) templ.Attributes {
	return fields.Described(f.Name, f.Hint, f.Error)
}

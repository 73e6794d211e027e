package record

import (
	"net/url"
	"strings"

	"github.com/a-h/templ"

	"midcase/evidence"
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

// needsSlot reports whether the choices depend on the part.
func needsSlot(d Data) bool {
	return d.Kind == evidence.KindFitted || d.Kind == evidence.KindFinding
}

// offersNothing reports whether the choices begin with an empty one already.
func offersNothing(f Field) bool { return len(f.Options) > 0 && f.Options[0].Value == "" }

// described ties a field to its hint or error for those who listen to the page.
func described(f Field) templ.Attributes {
	a := templ.Attributes{}
	switch {
	case f.Error != "":
		a["aria-describedby"], a["aria-invalid"] = "e-"+f.Name, "true"
	case f.Hint != "":
		a["aria-describedby"] = "h-" + f.Name
	}
	return a
}

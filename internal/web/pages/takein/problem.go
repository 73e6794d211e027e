package takein

import "github.com/a-h/templ"

// problem is what is wrong with a field, in words.
func problem(d Data, name string) string {
	for _, p := range d.Problems {
		if p.Field == name {
			return "Found " + p.Found + "; want " + p.Want + "."
		}
	}
	return ""
}

// attributes tie a field to its hint or error for those who listen to the page.
func attributes(d Data, name, hint string) templ.Attributes {
	switch {
	case problem(d, name) != "":
		return templ.Attributes{"aria-describedby": "e-" + name, "aria-invalid": "true"}
	case hint != "":
		return templ.Attributes{"aria-describedby": "h-" + name}
	}
	return templ.Attributes{}
}

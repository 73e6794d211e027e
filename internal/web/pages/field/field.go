package field

import (
	"github.com/a-h/templ"

	"midcase/evidence"
)

// Field is one field of a form.
type Field struct {
	Name    string // as it is sent
	ID      string // of the element; Name where empty
	Label   string
	Hint    string
	Value   string
	Error   string
	Type    string // text (also where empty), number, date, area, choice, check
	List    string // id of a list of offers
	Options []Option
	Needed  bool
	Broad   bool // across the whole form
}

// Option is one thing to choose.
type Option struct{ Value, Text string }

func (f Field) id() string {
	if f.ID != "" {
		return f.ID
	}
	return f.Name
}

// Plain are options that read as they are sent.
func Plain(all ...string) []Option {
	out := make([]Option, len(all))
	for i, s := range all {
		out[i] = Option{s, s}
	}
	return out
}

// Error is what is wrong with a field, in words; empty where nothing is.
func Error(problems evidence.Problems, name string) string {
	for _, p := range problems {
		if p.Field == name {
			return "Found " + p.Found + "; want " + p.Want + "."
		}
	}
	return ""
}

// Fill puts what was typed, and what is wrong with it, into fields. The fields given are
// not changed.
func Fill(fields []Field, values map[string]string, problems evidence.Problems) []Field {
	out := append([]Field(nil), fields...)
	for i := range out {
		if v, ok := values[out[i].Name]; ok {
			out[i].Value = v
		}
		out[i].Error = Error(problems, out[i].Name)
	}
	return out
}

// Described ties the element of an id to its hint or error, for those who listen to the
// page. The hint's id begins with h-, the error's with e-.
func Described(id, hint, problem string) templ.Attributes {
	a := templ.Attributes{}
	switch {
	case problem != "":
		a["aria-describedby"], a["aria-invalid"] = "e-"+id, "true"
	case hint != "":
		a["aria-describedby"] = "h-" + id
	}
	return a
}

func described(f Field) templ.Attributes {
	a := Described(f.id(), f.Hint, f.Error)
	if f.List != "" {
		a["list"] = f.List
	}
	return a
}

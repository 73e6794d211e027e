package form

import (
	"net/http"
	"reflect"
	"strings"

	"github.com/a-h/templ"
)

// Kind is how a field is drawn.
type Kind string

// The kinds of field.
const (
	Text     Kind = "text"
	Figure   Kind = "figure"
	Day      Kind = "day"
	Choice   Kind = "choice"
	Radio    Kind = "radio"
	Check    Kind = "check"
	Area     Kind = "area"
	Password Kind = "password"
	Picked   Kind = "points" // points in a picture
	Disc     Kind = "disc"   // a middle and a point of the edge
	Upload   Kind = "file"
	Hidden   Kind = "hidden"
)

// Field is one field as it is drawn.
type Field struct {
	Name, ID    string
	Label, Hint string
	Unit        string
	Options     []Option
	List        string
	Auto        string
	Accept      string
	Pick        string
	Needed      bool
	Broad       bool
	Value       string // as it was typed, or as it stands in the struct
	Error       string
	Theirs      string // what somebody else wrote here meanwhile

	codec
	at        reflect.Value
	locale    *Reader
	low       *float64
	high      *float64
	want      string
	zero      bool
	keep      bool
	thousands bool
	dropped   bool
}

// receive takes what a request sent.
func (f *Field) receive(r *http.Request, reader *Reader) {
	f.locale = reader
	if f.Kind == Upload {
		f.upload(r)
		return
	}
	if f.Kind != Check && (!r.Form.Has(f.Name) || f.keep && strings.TrimSpace(r.Form.Get(f.Name)) == "") {
		if f.Value = f.show(); f.Value == "" && f.Needed {
			f.Error = f.enter()
		}
		return
	}
	f.Value = strings.TrimSpace(r.Form.Get(f.Name))
	f.at.SetZero()
	switch {
	case f.Value != "":
		f.Error = f.read(f)
		f.checkChoice()
	case f.Needed:
		f.Error = f.enter()
	}
}

func (f *Field) upload(r *http.Request) {
	if r.MultipartForm != nil && len(r.MultipartForm.File[f.Name]) > 0 {
		f.at.Set(reflect.ValueOf(File{r.MultipartForm.File[f.Name][0]}))
	} else if f.Needed {
		f.Error = f.enter()
	}
}

// show is the value of the struct as the reader types it.
func (f *Field) show() string {
	if f.Kind == Upload || empty(f.at) && !f.zero {
		return ""
	}
	return f.write(f)
}

func empty(v reflect.Value) bool {
	if z, ok := v.Interface().(interface{ IsZero() bool }); ok && v.Kind() != reflect.Pointer {
		return z.IsZero()
	}
	return v.IsZero()
}

func (f *Field) typed() bool {
	return f.Value != "" && (f.Kind != Choice || len(f.Options) == 0 || f.Value != f.Options[0].Value)
}

// checkChoice refuses what is not among the things to choose from.
func (f *Field) checkChoice() {
	if f.Kind != Choice && f.Kind != Radio || len(f.Options) == 0 || f.Value == "" || f.Error != "" {
		return
	}
	for _, o := range f.Options {
		if o.Value == f.Value {
			return
		}
	}
	f.Error = quoted(f.Value) + " is not on the list. Choose one of it."
}

// Caption is the label with its unit.
func (f *Field) Caption() string {
	switch {
	case f.Unit == "":
		return f.Label
	case strings.HasSuffix(f.Label, "?"):
		return f.Label + " (" + f.Unit + ")"
	case len(f.Label) <= 2: // ± mm
		return f.Label + " " + f.Unit
	}
	return f.Label + ", " + f.Unit
}

// needsChoice reports whether the choices begin with an empty one that says so.
func (f *Field) needsChoice() bool {
	return f.Needed && f.Value == "" && (len(f.Options) == 0 || f.Options[0].Value != "")
}

// attributes tie a field to its hint or error for those who listen to the page.
func (f *Field) attributes() templ.Attributes {
	a := Described(f.short(), f.Hint, f.Error)
	for name, v := range map[string]string{"list": f.List, "accept": f.Accept, "autocomplete": f.Auto} {
		if v != "" {
			a[name] = v
		}
	}
	return a
}

// short is the id without what keeps it apart from headings.
func (f *Field) short() string { return strings.TrimPrefix(f.ID, "f-") }

// Described ties an element to its hint or problem for those who listen to the page.
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

// TokenName is the name of the hidden field that [Token] draws.
const TokenName = "form_token"

// picking also tells the page's script what points a field takes.
func (f *Field) picking() templ.Attributes {
	const most = 60
	a := f.attributes()
	a["data-pick"], a["data-least"], a["data-most"] = string(f.Kind), "1", number(most)
	if f.low != nil {
		a["data-least"] = number(*f.low)
	}
	if f.high != nil {
		a["data-most"] = number(*f.high)
	}
	if f.Pick != "" {
		a["data-viewer"] = f.Pick
	}
	return a
}

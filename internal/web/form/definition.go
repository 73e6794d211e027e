package form

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Definition is a form that was checked. It is made once, as a package variable.
type Definition[T any] struct{ about }

type about struct {
	name string
	make func() *View
}

var defined []about

// Define checks the form that T describes and panics where it cannot be asked for. The tags of a member are
//
//	form     name as it is sent; then, after commas, needed, zero (0 is shown as 0), keep (emptied, it keeps
//	         its value) or broad (a whole row)
//	label    what is asked for, in a word or two
//	hint     one short sentence or example
//	unit     after the label, such as mm or %; with % a share is typed in percent
//	kind     area, day, radio, password, disc or hidden, where the type alone does not say it
//	choices  what may be chosen: value=text, apart by |
//	list     id of the list of offers, see [Offers]
//	want     what to enter, said when the field is empty or cannot be read: "the last day"
//	min, max least and greatest figure, or number of points
//	auto     the browser's autocomplete
//	accept   kinds of file
//	pick     name of the picture in which points lie
//	group    on a struct: its fields stand together and folded under this title
//	prefix   on a struct: before the names of its fields
//	rows     on a slice of structs: the name of a field in a row, * for its name and # for the row's number
//	id       of the element, where two forms of a page have a field of one name
//
// A label, hint, want, choices or is (needed, optional) on a struct take the place of those of its first field,
// so that small structs serve in many forms; [Piece] finds them again.
//
// A struct may have a method Prepare(*View), which offers choices that depend on values.
func Define[T any](name string) *Definition[T] {
	d := &Definition[T]{about{name: name}}
	d.make = func() *View {
		f := &Form[T]{}
		f.bind(reflect.ValueOf(&f.V).Elem(), place{})
		f.prepare(&f.V)
		return &f.View
	}
	if err := check(name, d.make()); err != nil {
		panic(err)
	}
	defined = append(defined, d.about)
	return d
}

// All are the forms of the program as they stand empty, by name.
func All() map[string]*View {
	out := map[string]*View{}
	for _, a := range defined {
		out[a.name] = a.make()
	}
	return out
}

func check(form string, v *View) error {
	names, ids := map[string]bool{}, map[string]bool{}
	for _, f := range v.fields {
		where := fmt.Sprintf("form %q, field %q", form, f.Name)
		switch {
		case f.Name == "":
			return fmt.Errorf("form %q: a field without a name; label %q", form, f.Label)
		case names[f.Name] || ids[f.ID]:
			return fmt.Errorf("%s: the name is used twice", where)
		case f.Label == "" && f.Kind != Hidden:
			return fmt.Errorf("%s: no label", where)
		case f.read == nil:
			return fmt.Errorf("%s: a %s cannot be read from a form", where, f.at.Type())
		}
		names[f.Name], ids[f.ID] = true, true
	}
	if len(v.fields) == 0 && len(v.parts) <= 1 {
		return fmt.Errorf("form %q has no fields", form)
	}
	return nil
}

// place is where a member stands in the form.
type place struct {
	prefix string
	rows   string // pattern of the names of a row
	row    int
	group  string
	says   []reflect.StructTag // of the structs around a first field, the innermost last
}

// tag is a tag of a member or, before it, of the structs whose first field it is.
func (p place) tag(own reflect.StructTag, key string) string {
	for _, t := range p.says {
		if v, ok := t.Lookup(key); ok {
			return v
		}
	}
	return own.Get(key)
}

func (p place) name(own string) string {
	if p.rows != "" {
		own = strings.NewReplacer("*", own, "#", strconv.Itoa(p.row)).Replace(p.rows)
	}
	return p.prefix + own
}

// bind adds the fields of a struct to the view.
func (v *View) bind(s reflect.Value, at place) {
	if v.parts == nil {
		v.parts = map[address]part{}
	}
	first := len(v.fields)
	for i := range s.NumField() {
		m := s.Type().Field(i)
		inner := at
		inner.prefix += m.Tag.Get("prefix")
		if len(v.fields) > first {
			inner.says = nil
		}
		if g, ok := m.Tag.Lookup("group"); ok {
			inner.group = g
		}
		member := s.Field(i)
		_, named := m.Tag.Lookup("form")
		switch rows, sliced := m.Tag.Lookup("rows"); {
		case sliced:
			v.bindRows(member, inner, rows)
		case !named && (m.Anonymous || m.Tag.Get("prefix")+m.Tag.Get("group") != "") && member.Kind() == reflect.Struct:
			inner.says = append(slices.Clone(inner.says), m.Tag)
			v.bind(member, inner)
		case named:
			v.add(newField(m, member, inner), inner.group)
		}
	}
	v.parts[partOf(s)] = part{first, len(v.fields)}
}

func (v *View) bindRows(rows reflect.Value, at place, pattern string) {
	first := len(v.fields)
	for i := range rows.Len() {
		at.rows, at.row, at.says = pattern, i, nil
		v.bind(rows.Index(i), at)
	}
	v.parts[partOf(rows)] = part{first, len(v.fields)}
}

func newField(m reflect.StructField, at reflect.Value, in place) *Field {
	tag := func(key string) string { return in.tag(m.Tag, key) }
	words := strings.Split(m.Tag.Get("form"), ",")
	f := &Field{Name: in.name(words[0]), Label: tag("label"), Hint: tag("hint"), Unit: tag("unit"), List: tag("list"),
		Auto: tag("auto"), Accept: tag("accept"), Pick: tag("pick"),
		Needed: slices.Contains(words, "needed"), zero: slices.Contains(words, "zero"), keep: slices.Contains(words,
			"keep"), Broad: slices.Contains(words, "broad"), want: tag("want"), at: at}
	if is := tag("is"); is != "" {
		f.Needed = is == "needed"
	}
	f.ID = "f-" + f.Name
	if id := tag("id"); id != "" {
		f.ID = id
	}
	f.low, f.high = bound(tag("min")), bound(tag("max"))
	f.Options = options(tag("choices"))
	f.codec = codecOf(f, tag("kind"))
	f.Broad = f.Broad || f.Kind == Area || f.Kind == Radio
	return f
}

func bound(text string) *float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil
	}
	return &x
}

func options(text string) []Option {
	var out []Option
	for one := range strings.SplitSeq(text, "|") {
		if text == "" {
			break
		}
		value, says, ok := strings.Cut(one, "=")
		if !ok {
			says = strings.ReplaceAll(value, "_", " ")
		}
		out = append(out, Option{Value: value, Text: says})
	}
	return out
}

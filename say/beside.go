package say

import (
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// Beside is what a document says, by the JSON pointer (RFC 6901) to the string that says
// it in English.
type Beside map[string]Whole

// BesideOf collects the statements of a value as encoding/json writes it: structs by
// their field names, lists by their index. Maps hold none. Of what is verbatim the words
// are all there is, so that it is left out.
func BesideOf(v any) Beside {
	out := Beside{}
	walk(reflect.ValueOf(v), "", func(at string, s reflect.Value) {
		if st, ok := s.Interface().(Statement); ok && !st.IsZero() && st.Kind != verbatim {
			out[at] = Whole(st)
		}
	})
	return out
}

// Restore gives the statements of a document that was read, which knows only their
// words, their kinds and arguments again. v is a pointer to it.
func (b Beside) Restore(v any) {
	walk(reflect.ValueOf(v), "", func(at string, s reflect.Value) {
		if w, ok := b[at]; ok && s.CanSet() {
			s.Set(reflect.ValueOf(Statement(w)))
		}
	})
}

var statementType = reflect.TypeFor[Statement]()

// walk calls found for each statement within v.
func walk(v reflect.Value, at string, found func(string, reflect.Value)) {
	if !v.IsValid() || !speaks(v.Type()) {
		return
	}
	if v.Type() == statementType {
		found(at, v)
		return
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		walk(v.Elem(), at, found)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			walk(v.Index(i), at+"/"+strconv.Itoa(i), found)
		}
	case reflect.Struct:
		for _, f := range fieldsOf(v.Type()) {
			walk(v.Field(f.index), at+f.at, found)
		}
	}
}

type field struct {
	index int
	at    string // "/name", or empty where the field's own fields take its place
}

var (
	knownFields sync.Map // reflect.Type → []field
	speaking    sync.Map // reflect.Type → bool
	escape      = strings.NewReplacer("~", "~0", "/", "~1")
)

// fieldsOf lists the fields that may hold statements, by their names in JSON.
func fieldsOf(t reflect.Type) []field {
	if f, ok := knownFields.Load(t); ok {
		return f.([]field)
	}
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-" || !f.IsExported() && !f.Anonymous || !speaks(f.Type):
			continue
		case f.Anonymous && name == "":
			out = append(out, field{i, ""})
			continue
		case name == "":
			name = f.Name
		}
		out = append(out, field{i, "/" + escape.Replace(name)})
	}
	knownFields.Store(t, out)
	return out
}

// speaks reports whether a value of the type can hold a statement.
func speaks(t reflect.Type) bool {
	if known, ok := speaking.Load(t); ok {
		return known.(bool)
	}
	out := reaches(t, map[reflect.Type]bool{})
	speaking.Store(t, out)
	return out
}

func reaches(t reflect.Type, seen map[reflect.Type]bool) bool {
	if t == statementType || t.Kind() == reflect.Interface {
		return true
	}
	if seen[t] {
		return false
	}
	seen[t] = true
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		return reaches(t.Elem(), seen)
	case reflect.Struct:
		for i := range t.NumField() {
			if reaches(t.Field(i).Type, seen) {
				return true
			}
		}
	}
	return false
}

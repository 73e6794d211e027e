package refbook

import (
	"encoding"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
)

// decode fills v from n. It goes by the yaml tags: a field without omitempty must
// be there. Everything wrong is reported, and the rest is filled all the same.
func (r *report) decode(n *node, v reflect.Value, path string) {
	if n == nil {
		return // reported when it was converted
	}
	r.lines[path] = n.line
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		r.decodeText(n, u, path)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		r.decode(n, v.Elem(), path)
	case reflect.Struct:
		r.decodeStruct(n, v, path)
	case reflect.Slice:
		r.decodeList(n, v, path)
	case reflect.Map:
		r.decodeMap(n, v, path)
	default:
		r.decodeScalar(n, v, path)
	}
}

func (r *report) decodeText(n *node, u encoding.TextUnmarshaler, path string) {
	if n.kind != scalarNode {
		r.add(path, n.kind.String(), "want a date such as 1968-05 or 1962/1965")
		return
	}
	if err := u.UnmarshalText([]byte(strings.TrimSpace(n.text))); err != nil {
		r.add(path, strconv.Quote(n.text), err.Error())
	}
}

func (r *report) decodeList(n *node, v reflect.Value, path string) {
	switch n.kind {
	case nullNode:
		return
	case sequenceNode:
	default:
		r.add(path, n.kind.String(), "want a list: put each entry after a dash, or in [ ]")
		return
	}
	if len(n.items) == 0 {
		return // nil, as if the key were left out
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.items), len(n.items)))
	for i, item := range n.items {
		r.decode(item, v.Index(i), fmt.Sprintf("%s[%d]", path, i))
	}
}

func (r *report) decodeMap(n *node, v reflect.Value, path string) {
	if n.kind == nullNode {
		return
	}
	if n.kind != mappingNode {
		r.add(path, n.kind.String(), "want a mapping of key: value")
		return
	}
	v.Set(reflect.MakeMapWithSize(v.Type(), len(n.entries)))
	for _, e := range n.entries {
		at := join(path, e.key)
		if v.MapIndex(reflect.ValueOf(e.key)).IsValid() {
			r.at(e.line, at, "the key twice", "keep one of them")
			continue
		}
		item := reflect.New(v.Type().Elem()).Elem()
		r.decode(e.value, item, at)
		r.lines[at] = e.line
		v.SetMapIndex(reflect.ValueOf(e.key), item)
	}
}

func (r *report) decodeScalar(n *node, v reflect.Value, path string) {
	if n.kind != scalarNode {
		r.add(path, n.kind.String(), "want "+wanted(v.Kind()))
		return
	}
	text := strings.TrimSpace(n.text)
	bad := func() { r.add(path, strconv.Quote(n.text), "want "+wanted(v.Kind())) }
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Int, reflect.Int64:
		i, err := strconv.ParseInt(strings.ReplaceAll(text, "_", ""), 10, v.Type().Bits())
		if err != nil {
			bad()
			return
		}
		v.SetInt(i)
	case reflect.Float64:
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
			bad()
			return
		}
		v.SetFloat(f)
	case reflect.Bool:
		if text != "true" && text != "false" {
			bad()
			return
		}
		v.SetBool(text == "true")
	default:
		bad()
	}
}

func wanted(k reflect.Kind) string {
	switch k {
	case reflect.Int, reflect.Int64:
		return "a whole number, such as 21600"
	case reflect.Float64:
		return "a number with a decimal point, such as 38.5"
	case reflect.Bool:
		return "true or false"
	case reflect.String:
		return "text on one line"
	}
	return "another value"
}

func (r *report) decodeStruct(n *node, v reflect.Value, path string) {
	if n.kind != mappingNode {
		r.add(path, n.kind.String(), "want a mapping with the keys "+strings.Join(keys(v.Type()), ", "))
		return
	}
	fields := fieldsOf(v.Type())
	given := map[string]bool{}
	for _, e := range n.entries {
		at := join(path, e.key)
		f, known := fields[e.key]
		switch {
		case !known:
			hint := nearest(e.key, keys(v.Type()))
			if hint == "" {
				hint = "want one of " + strings.Join(keys(v.Type()), ", ")
			}
			r.at(e.line, at, fmt.Sprintf("unknown key %q", e.key), hint)
		case given[e.key]:
			r.at(e.line, at, "the key twice", "keep one of them")
		case e.value != nil && e.value.kind == nullNode && (f.required || v.Field(f.index).Kind() != reflect.Slice):
			r.lines[at] = e.line
			r.add(at, "nothing", "give it a value, or leave the key out if it may be missing")
		default:
			r.decode(e.value, v.Field(f.index), at)
			r.lines[at] = e.line
		}
		given[e.key] = true
	}
	for _, key := range keys(v.Type()) {
		f := fields[key]
		if !f.required {
			continue
		}
		at := join(path, key)
		if !given[key] {
			r.at(n.line, at, "nothing", "the key "+key+" is required here")
		} else if x := v.Field(f.index); x.Kind() == reflect.String && x.String() == "" {
			r.add(at, "empty text", "the key "+key+" needs a value")
		}
	}
}

type field struct {
	index    int
	required bool
}

func fieldsOf(t reflect.Type) map[string]field {
	out := map[string]field{}
	for i := range t.NumField() {
		name, options, tagged := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name != "" {
			out[name] = field{i, !tagged || !strings.Contains(options, "omitempty")}
		}
	}
	return out
}

// keys lists the keys of a struct in the order of its fields.
func keys(t reflect.Type) []string {
	var out []string
	for i := range t.NumField() {
		if name, _, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ","); name != "" {
			out = append(out, name)
		}
	}
	return out
}

package typed

import (
	"encoding"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// How long a line and a text may be.
const (
	MaxLine = 200    // characters
	MaxText = 20_000 // bytes
)

// Fault is one thing wrong with a field: what was found, and what would be right.
type Fault struct{ Field, Found, Want string }

// Line is what is wrong with a name, a title or a mark: what was found and what would be right; two empty strings
// where nothing is.
func Line(s string) (found, want string) {
	if n := utf8.RuneCountInString(s); n > MaxLine {
		return fmt.Sprintf("%d characters", n), fmt.Sprintf("at most %d characters", MaxLine)
	}
	return characters(s, false)
}

// Text is what is wrong with a text of several lines, as Line.
func Text(s string) (found, want string) {
	if len(s) > MaxText {
		return fmt.Sprintf("%d bytes of text", len(s)), fmt.Sprintf("at most %d bytes; keep longer papers as files", MaxText)
	}
	return characters(s, true)
}

// characters is what is wrong with the characters of s.
func characters(s string, breaks bool) (found, want string) {
	if !utf8.ValidString(s) {
		return "bytes that are no UTF-8 text", "UTF-8 text"
	}
	for i, r := range s {
		switch {
		case breaks && (r == '\n' || r == '\r' || r == '\t'):
		case unicode.IsControl(r):
			return fmt.Sprintf("the control character U+%04X after %s", r, before(s, i)),
				"text without control characters"
		case turns(r):
			return fmt.Sprintf("U+%04X, which turns the direction of writing, after %s", r, before(s, i)),
				"text without such characters"
		}
	}
	return "", ""
}

// turns reports whether a character overrides, embeds or isolates a direction of writing (Unicode Standard Annex 9,
// 2.1 to 2.5). The marks of direction (U+200E, U+200F, U+061C), which change nothing around them, may stay.
func turns(r rune) bool {
	return r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069'
}

// before quotes the last of what stands before a place.
func before(s string, i int) string {
	const enough = 20
	head := []rune(s[:i])
	return strconv.Quote(string(head[max(0, len(head)-enough):]))
}

// Check is what is wrong with the texts of a record, which is a struct or a pointer to one. A field is named as in
// JSON. It is a line, unless its tag says otherwise: `typed:"text"` for a text, `typed:"-"` for what nobody types.
func Check(record any) []Fault {
	var all []Fault
	walk(&all, "", "", reflect.ValueOf(record))
	return all
}

func walk(all *[]Fault, field, as string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			walk(all, field, as, v.Elem())
		}
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return // bytes are no text
		}
		for i := range v.Len() {
			walk(all, field+"["+strconv.Itoa(i)+"]", as, v.Index(i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			walk(all, field, as, k)
			walk(all, field+"["+fmt.Sprint(k)+"]", as, v.MapIndex(k))
		}
	case reflect.Struct:
		walkFields(all, field, v)
	case reflect.String:
		check := Line
		if as == "text" {
			check = Text
		}
		if found, want := check(v.String()); want != "" {
			*all = append(*all, Fault{field, found, want})
		}
	}
}

func walkFields(all *[]Fault, at string, v reflect.Value) {
	if _, ok := reflect.Zero(reflect.PointerTo(v.Type())).Interface().(encoding.TextUnmarshaler); ok {
		return // it was read from text already, and holds no other
	}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		as := f.Tag.Get("typed")
		if !f.IsExported() || as == "-" {
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			name = strings.ToLower(f.Name)
		}
		switch {
		case f.Anonymous:
			name = at
		case at != "":
			name = at + "." + name
		}
		walk(all, name, as, v.Field(i))
	}
}

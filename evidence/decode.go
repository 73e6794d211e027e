package evidence

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"time"

	"midcase/typed"
)

// DecodeData reads the data of a kind from one JSON object. A field that the kind
// does not have or that stands there twice, a value of the wrong type and text after
// the object are errors that name the field, what was found and what would be right.
func DecodeData(k Kind, b []byte) (Data, error) {
	if err := typed.JSON(b); err != nil {
		return nil, fmt.Errorf("%s: %w", k, err)
	}
	return decodeData(k, b)
}

// decodeData is DecodeData of an object that names no field twice, as all do that this
// program wrote.
func decodeData(k Kind, b []byte) (Data, error) {
	data, err := New(k)
	if err != nil {
		return nil, err
	}
	if err := decodeStrict(b, data); err != nil {
		return nil, fmt.Errorf("%s: %w", k, err)
	}
	return data, nil
}

// decodeStrict decodes one JSON value and nothing else into v, a pointer to a struct.
func decodeStrict(b []byte, v any) error {
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return inWords(err, v)
	}
	if _, err := dec.Token(); err != io.EOF {
		return errors.New("there is text after the end of the object")
	}
	return nil
}

// fieldFault is a value that does not fit its field.
type fieldFault struct{ field, found, want string }

func (f *fieldFault) Error() string {
	return "field " + f.field + ": " + typed.Refusal(f.found, f.want)
}

// itemFault is an error inside the data or the frame of an item; position looks for
// the field in the item that fails.
type itemFault struct {
	id  ID
	err error
}

func (f *itemFault) Error() string { return fmt.Sprintf("item %s: %v", f.id, f.err) }
func (f *itemFault) Unwrap() error { return f.err }

var unknownField = regexp.MustCompile(`^json: unknown field (".*")$`)

// inWords says an error of decoding into the struct v in words of the file, not of
// the program.
func inWords(err error, v any) error {
	var wrong *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	var badTime *time.ParseError
	var inItem *itemFault
	if errors.As(err, &inItem) {
		return err // said already
	}
	switch m := unknownField.FindStringSubmatch(err.Error()); {
	case m != nil:
		name, unquoteErr := strconv.Unquote(m[1])
		if unquoteErr != nil {
			name = m[1]
		}
		return &fieldFault{strconv.Quote(name), "a name that is not known", "one of " + strings.Join(namesOf(v), ", ")}
	case errors.As(err, &badTime):
		return &fieldFault{"at", strconv.Quote(strings.Trim(badTime.Value, `"`)), "a time such as 2026-03-01T10:15:00Z"}
	case errors.As(err, &wrong) && wrong.Field != "":
		return &fieldFault{wrong.Field, article(wrong.Value), wanted(wrong.Type)}
	case errors.As(err, &wrong):
		return errors.New(typed.Refusal(article(wrong.Value), "an object in braces"))
	case errors.As(err, &syntax):
		return fmt.Errorf("not JSON: %s", syntaxWords(syntax))
	case errors.Is(err, io.EOF):
		return errors.New(typed.Refusal("nothing", "an object in braces"))
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("not JSON: the text ends before its last bracket is closed")
	}
	if before, _, cut := strings.Cut(err.Error(), ": json: "); cut {
		return errors.New(before)
	}
	return err
}

// syntaxWords turns "invalid character 'x' after object key:value pair" into words
// without the program's own terms.
func syntaxWords(e *json.SyntaxError) string {
	s := e.Error()
	if s == "unexpected end of JSON input" {
		return "the text ends before its last bracket is closed"
	}
	r := strings.NewReplacer("invalid character", "found", "looking for beginning of value",
		"where a value should begin",
		"looking for beginning of object key string", "where a field name in quotes should begin",
		"after object key:value pair", "after a field, where a comma or a closing brace should be", "after object key",
		"after a field name, where a colon should be",
		"after array element", "after an entry, where a comma or a closing bracket should be", "after top-level value",
		"after the end of the object")
	return r.Replace(s)
}

func article(kind string) string {
	switch {
	case kind == "bool":
		return "true or false"
	case strings.HasPrefix(kind, "number "):
		return "the " + kind
	case strings.HasPrefix(kind, "a") || strings.HasPrefix(kind, "o"):
		return "an " + kind
	}
	return "a " + kind
}

func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.String:
		return "text in quotes"
	case reflect.Bool:
		return "true or false"
	case reflect.Float32, reflect.Float64:
		return "a number"
	case reflect.Int, reflect.Int64, reflect.Uint, reflect.Uint64:
		return "a whole number"
	case reflect.Slice, reflect.Array:
		return "a list in square brackets"
	}
	return "an object in braces"
}

// namesOf lists the fields of a struct as the file spells them.
func namesOf(v any) []string {
	t := reflect.TypeOf(v)
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	var out []string
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if name != "" && name != "-" {
			out = append(out, name)
		}
	}
	return out
}

// position finds where in the file an error of decoding lies, as ":line:column";
// empty where that cannot be told.
func position(b []byte, err error) string {
	var any any
	var syntax *json.SyntaxError
	if e := json.NewDecoder(bytes.NewReader(b)).Decode(&any); errors.As(e, &syntax) {
		return lineColumn(b, int(syntax.Offset))
	} else if e != nil {
		return lineColumn(b, len(b)+1)
	}
	var inItem *itemFault
	var fault *fieldFault
	start, part := 0, b
	if errors.As(err, &inItem) {
		start, part = failingItem(b)
	}
	at := 0
	if errors.As(err, &fault) {
		leaf := strings.Trim(fault.field, `"`)
		leaf = leaf[strings.LastIndexByte(leaf, '.')+1:]
		if loc := regexp.MustCompile(regexp.QuoteMeta(strconv.Quote(leaf)) + `\s*:`).FindIndex(part); loc != nil {
			at = loc[0]
		}
	}
	return lineColumn(b, start+at+1)
}

// failingItem finds the first item that cannot be read.
func failingItem(b []byte) (start int, item []byte) {
	dec := json.NewDecoder(bytes.NewReader(b))
	for depth := 0; ; {
		t, err := dec.Token()
		if err != nil {
			return 0, b
		}
		switch t {
		case json.Delim('{'), json.Delim('['):
			depth++
		case json.Delim('}'), json.Delim(']'):
			depth--
		case "evidence":
			if depth != 1 {
				continue
			}
			if t, err := dec.Token(); err != nil || t != json.Delim('[') {
				return 0, b
			}
			for dec.More() {
				var raw json.RawMessage
				if dec.Decode(&raw) != nil {
					return 0, b
				}
				if json.Unmarshal(raw, new(Item)) != nil {
					return int(dec.InputOffset()) - len(raw), raw
				}
			}
			return 0, b
		}
	}
}

// lineColumn is the place of the nth byte, counted from 1.
func lineColumn(b []byte, n int) string {
	head := b[:min(max(n-1, 0), len(b))]
	return fmt.Sprintf(":%d:%d", 1+bytes.Count(head, []byte("\n")), len(head)-bytes.LastIndexByte(head, '\n'))
}

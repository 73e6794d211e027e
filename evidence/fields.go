package evidence

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"midcase/money"
)

// FromFields makes the data of a kind from named fields as people type them: in a
// form, or as name=value on the command line. Empty values count as not given. A
// decimal comma is refused, since guessing it moves a figure by powers of ten. It
// returns every problem with its field; the data is nil if there are any in reading
// them, and is not yet checked otherwise.
func FromFields(kind Kind, fields map[string]string) (Data, Problems) {
	data, err := New(kind)
	if err != nil {
		return nil, Problems{{"kind", quote(string(kind)), "one of " + list(Kinds())}}
	}
	var p Problems
	v := reflect.ValueOf(data).Elem()
	names := fieldNames(v.Type())
	for name, text := range fields {
		i, ok := names[name]
		if !ok {
			p.add(name, "a field that a "+string(kind)+" does not have",
				"one of "+strings.Join(orderedNames(v.Type()), ", "))
			continue
		}
		if text = strings.TrimSpace(text); text == "" {
			continue
		}
		if want := setField(v.Field(i), text); want != "" {
			p.add(name, strconv.Quote(text), want)
		}
	}
	if len(p) > 0 {
		return nil, p
	}
	return data, nil
}

func fieldNames(t reflect.Type) map[string]int {
	out := map[string]int{}
	for i, name := range orderedNames(t) {
		out[name] = i
	}
	return out
}

func orderedNames(t reflect.Type) []string {
	out := make([]string, t.NumField())
	for i := range out {
		out[i], _, _ = strings.Cut(t.Field(i).Tag.Get("json"), ",")
	}
	return out
}

// setField reads text into one field and returns what would have been right, or "".
func setField(f reflect.Value, text string) string {
	switch target := f.Addr().Interface().(type) {
	case *money.Money:
		m, err := parseMoney(text)
		if err != nil {
			return "an amount with its currency, such as 6500 EUR"
		}
		*target = m
		return ""
	case encoding.TextUnmarshaler:
		if err := target.UnmarshalText([]byte(text)); err != nil {
			return "a date such as 1968, 1968-05, 1965~ or 1962/1965"
		}
		return ""
	}
	switch f.Kind() {
	case reflect.String:
		f.SetString(text)
	case reflect.Bool:
		b, err := strconv.ParseBool(text)
		if err != nil && text != "on" {
			return "true or false"
		}
		f.SetBool(b || text == "on")
	case reflect.Int:
		n, err := strconv.Atoi(text)
		if err != nil {
			return "a whole number"
		}
		f.SetInt(int64(n))
	case reflect.Float64:
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return "a number with a decimal point, such as 36.4"
		}
		f.SetFloat(x)
	default:
		if err := json.Unmarshal([]byte(text), f.Addr().Interface()); err != nil {
			return fmt.Sprintf("JSON for this field (%v)", err)
		}
	}
	return ""
}

// parseMoney reads "6500 EUR" and "6500EUR".
func parseMoney(text string) (money.Money, error) {
	if len(text) < 4 {
		return money.Money{}, fmt.Errorf("too short")
	}
	return money.Parse(text[:len(text)-3], text[len(text)-3:])
}

package form

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"mime/multipart"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
	"midcase/say"
)

// codec reads what was typed into the struct, and writes the struct as it is typed. read gives what is wrong in
// a sentence, or nothing.
type codec struct {
	Kind    Kind
	read    func(*Field) string
	write   func(*Field) string
	example string // what to enter, where the tags do not say it
}

// File is a file that a form brings; the zero File is none.
type File struct{ *multipart.FileHeader }

// codecOf chooses by the member's type, then by the kind that its tag names.
func codecOf(f *Field, kind string) codec {
	t := f.at.Type()
	c := byType(f, t)
	switch {
	case c.read == nil:
	case kind == string(Day):
		c.Kind, c.example = Day, "a day, for example 2026-03-01"
		if t.Kind() == reflect.String {
			c.read = readDay
		}
	case kind == "amount": // of money, in a currency that the page says
		f.thousands = true
	case kind != "":
		c.Kind = Kind(kind)
	case len(f.Options) > 0 || c.Kind == Choice:
		c.Kind = Choice
	}
	return c
}

func byType(f *Field, t reflect.Type) codec {
	switch f.at.Addr().Interface().(type) {
	case *money.Money:
		return codec{Figure, readMoney, writeMoney, "an amount above zero, for example 6500 or 6500 CHF"}
	case *decimal.Decimal, **decimal.Decimal:
		return codec{Figure, readDecimal, writeDecimal, "a number above zero, for example 0.9512"}
	case *File:
		return codec{Upload, func(*Field) string { return "" }, func(*Field) string { return "" }, ""}
	case *[]string:
		return codec{Area, readLines, func(f *Field) string { return strings.Join(f.at.Interface().([]string), "\n") },
			""}
	case encoding.TextUnmarshaler:
		return codec{Text, readText, writeText, "a day, a month or a year, for example 2026-03-01, 2026-03 or 2026"}
	}
	switch t.Kind() {
	case reflect.String:
		return codec{Text, func(f *Field) string { f.at.SetString(f.Value); return "" },
			func(f *Field) string { return f.at.String() }, ""}
	case reflect.Bool:
		return codec{Check, func(f *Field) string { f.at.SetBool(true); return "" },
			func(*Field) string { return "true" }, ""}
	case reflect.Int:
		return codec{Figure, readWhole, func(f *Field) string { return strconv.FormatInt(f.at.Int(), 10) }, ""}
	case reflect.Float64:
		return codec{Figure, readFloat, writeFloat, ""}
	case reflect.Pointer:
		if k := t.Elem().Kind(); k == reflect.Float64 {
			return codec{Figure, readFloat, writeFloat, ""}
		}
	case reflect.Slice:
		if t.Elem().Kind() == reflect.Array && t.Elem().Len() == 2 {
			return codec{Picked, readPoints, writePoints, ""}
		}
	}
	return codec{}
}

// target is the value within a pointer, made where it is nil.
func (f *Field) target() reflect.Value {
	if f.at.Kind() != reflect.Pointer {
		return f.at
	}
	if f.at.IsNil() {
		f.at.Set(reflect.New(f.at.Type().Elem()))
	}
	return f.at.Elem()
}

func (f *Field) percent() bool { return f.Unit == "%" || strings.HasPrefix(f.Unit, "% ") }

// plain is the typed figure with a decimal point; says is what is wrong with it.
func (f *Field) plain() (text, says string) {
	typed := f.Value
	if f.percent() {
		typed = strings.TrimSpace(strings.TrimSuffix(typed, "%"))
	}
	read := f.locale.Locale.ReadMeasure
	if f.thousands {
		read = f.locale.Locale.ReadAmount
	}
	plain, err := read(typed)
	if err != nil {
		return "", f.twoWays(err)
	}
	return plain, ""
}

func (f *Field) twoWays(err error) string {
	if errors.Is(err, say.ErrTwoWays) {
		return "The figure " + err.Error() + ". Enter it so that it can be read one way only, such as " + f.locale.local("36.25") + "."
	}
	return f.isNot("a number")
}

func readFloat(f *Field) string {
	plain, says := f.plain()
	if says != "" {
		return says
	}
	x, err := strconv.ParseFloat(plain, 64)
	switch {
	case err != nil || math.IsNaN(x) || math.IsInf(x, 0):
		return f.isNot("a number")
	case f.low != nil && x < *f.low || f.high != nil && x > *f.high:
		return quoted(f.Value) + " is out of range. " + f.enter()
	}
	if f.percent() {
		x /= 100
	}
	f.target().SetFloat(x)
	return ""
}

// writeFloat writes the shortest figure that reads as the same to nine digits: shares are kept as binary
// fractions, whose last digits nobody typed.
func writeFloat(f *Field) string {
	x := f.target().Float()
	if f.percent() {
		x *= 100
	}
	const digits = 9
	if short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64); err == nil {
		x = short
	}
	return f.locale.local(strconv.FormatFloat(x, 'f', -1, 64))
}

func readWhole(f *Field) string {
	plain, says := f.plain()
	if says != "" {
		return says
	}
	n, err := strconv.Atoi(plain)
	switch {
	case err != nil:
		return f.isNot("a whole number")
	case f.low != nil && float64(n) < *f.low || f.high != nil && float64(n) > *f.high:
		return quoted(f.Value) + " is out of range. " + f.enter()
	}
	f.at.SetInt(int64(n))
	return ""
}

func readMoney(f *Field) string {
	plain, err := f.locale.Locale.ReadMoney(f.Value)
	if err != nil {
		return f.twoWays(err)
	}
	m, err := Amount(plain, f.locale.Currency)
	if errors.Is(err, errNotAbove) {
		return quoted(f.Value) + " is not above zero. " + f.enter()
	}
	if err != nil {
		return f.isNot("an amount")
	}
	f.at.Set(reflect.ValueOf(m))
	return ""
}

var errNotAbove = errors.New("not above zero")

// Amount reads 6500 or 6500 CHF, with a decimal point; nothing is no amount.
func Amount(plain string, currency money.Currency) (money.Money, error) {
	if plain == "" {
		return money.Money{}, nil
	}
	figure, named, ok := strings.Cut(plain, " ")
	if ok {
		currency = money.Currency(named)
	}
	m, err := money.Parse(figure, string(currency))
	if err == nil && m.Sign() <= 0 {
		return money.Money{}, fmt.Errorf("amount %s: %w", plain, errNotAbove)
	}
	return m, err
}

func writeMoney(f *Field) string {
	m := f.at.Interface().(money.Money)
	return f.locale.local(m.Amount()) + " " + string(m.Currency())
}

func readDecimal(f *Field) string {
	plain, says := f.plain()
	if says != "" {
		return says
	}
	d, err := decimal.Parse(plain)
	if err == nil && f.percent() {
		d, err = d.Quo(decimal.MustNew(100, 0))
	}
	if err != nil {
		return f.isNot("a number")
	}
	share := f.percent()
	if share && (d.IsNeg() || d.Cmp(decimal.One) > 0) || !share && d.Sign() <= 0 {
		return quoted(f.Value) + " is out of range. " + f.enter()
	}
	f.target().Set(reflect.ValueOf(d))
	return ""
}

func writeDecimal(f *Field) string {
	d := f.target().Interface().(decimal.Decimal)
	if f.percent() {
		if hundred, err := d.Mul(decimal.MustNew(100, 0)); err == nil {
			d = hundred
		}
	}
	return f.locale.local(d.Trim(0).String())
}

func readDay(f *Field) string {
	if _, err := time.Parse(time.DateOnly, f.Value); err != nil {
		return f.isNot("a day")
	}
	f.at.SetString(f.Value)
	return ""
}

func readText(f *Field) string {
	if err := f.at.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(f.Value)); err != nil {
		if f.Kind == Day {
			return f.isNot("a day")
		}
		return f.isNot("a date")
	}
	return ""
}

func writeText(f *Field) string {
	text, err := f.at.Interface().(encoding.TextMarshaler).MarshalText()
	if err != nil {
		return ""
	}
	return string(text)
}

func readLines(f *Field) string {
	var out []string
	for line := range strings.Lines(f.Value) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	f.at.Set(reflect.ValueOf(out))
	return ""
}

// readPoints reads places in a picture: 412.5 300; 618 302.25.
func readPoints(f *Field) string {
	out := reflect.MakeSlice(f.at.Type(), 0, 4)
	for part := range strings.FieldsFuncSeq(f.Value, func(r rune) bool { return r == ';' || r == '\n' }) {
		words := strings.FieldsFunc(part, func(r rune) bool { return strings.ContainsRune(" ,\t\r", r) })
		if len(words) == 0 {
			continue
		}
		p := reflect.New(f.at.Type().Elem()).Elem()
		for i, w := range words {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil || math.IsNaN(v) || math.Abs(v) > 1e6 || len(words) != 2 {
				return quoted(strings.TrimSpace(part)) + " is not a point. Click in the picture, or enter x and y in pixels, for example 412.5 300; 618 302."
			}
			p.Index(i).SetFloat(v)
		}
		out = reflect.Append(out, p)
	}
	if n := float64(out.Len()); f.low != nil && n < *f.low || f.high != nil && n > *f.high {
		return fmt.Sprintf("%d points are marked. Mark %s.", out.Len(), f.points())
	}
	f.at.Set(out)
	return ""
}

func writePoints(f *Field) string {
	var out []string
	for i := range f.at.Len() {
		p := f.at.Index(i)
		out = append(out, number(p.Index(0).Float())+" "+number(p.Index(1).Float()))
	}
	return strings.Join(out, "; ")
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// local writes a plain figure as the reader types it: with their decimal mark, without marks of thousands.
func (r *Reader) local(plain string) string { return strings.Replace(plain, ".", r.Locale.Decimal, 1) }

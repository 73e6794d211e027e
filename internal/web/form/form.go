package form

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"unsafe"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/money"
	"midcase/say"
)

// Reader is the one who fills a form in.
type Reader struct {
	Locale   say.Locale     // how figures are typed and shown
	Currency money.Currency // of amounts without one
	Token    func() string  // makes the token by which a form sent twice is known; nil for none
}

type readerKey struct{}

// With adds the reader to a context.
func With(ctx context.Context, r Reader) context.Context {
	return context.WithValue(ctx, readerKey{}, r)
}

// ReaderOf is the reader of a context; without one, figures are English.
func ReaderOf(ctx context.Context) Reader {
	if r, ok := ctx.Value(readerKey{}).(Reader); ok {
		return r
	}
	return Reader{Locale: say.English, Currency: "EUR"}
}

// Form is one form being filled in.
type Form[T any] struct {
	V T // what the fields hold
	View
}

// View is a form as a page draws it.
type View struct {
	Rest   []string // what is wrong with no field that the form shows
	Sent   bool     // values came from a request
	fields []*Field
	groups []*Group
	parts  map[address]part
	reader Reader
}

// Group are fields that stand together; one with a title is folded until it is needed.
type Group struct {
	Title  string
	Fields []*Field
	Open   bool
}

// Option is one thing to choose; Says explains it on a card.
type Option struct{ Value, Text, Says string }

// Plain are choices that are named as they are sent.
func Plain(all ...string) []Option {
	out := make([]Option, len(all))
	for i, s := range all {
		out[i] = Option{Value: s, Text: strings.ReplaceAll(s, "_", " ")}
	}
	return out
}

// address names a member by where it lies.
type address struct {
	at unsafe.Pointer
	of reflect.Type
}

type part struct{ first, end int }

func partOf(m reflect.Value) address { return address{m.Addr().UnsafePointer(), m.Type()} }

type preparing interface{ Prepare(*View) }

// Of is the form showing v.
func (d *Definition[T]) Of(ctx context.Context, v T) *Form[T] {
	f := d.start(ctx, v)
	for _, x := range f.fields {
		x.Value = x.show()
	}
	f.prepare(&f.V)
	f.unfold()
	return f
}

// Read is the form holding what a request sent over v. A field that was not sent keeps the value in v, but for a
// box, which browsers send only when it is ticked.
func (d *Definition[T]) Read(r *http.Request, v T) (*Form[T], error) {
	const inMemory = 1 << 20 // the server has read the form already; this is for whoever calls without it
	if err := r.ParseMultipartForm(inMemory); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return nil, err
	}
	f := d.start(r.Context(), v)
	f.grow(reflect.ValueOf(&f.V).Elem(), place{}, r.Form)
	f.Sent = true
	for _, x := range f.fields {
		x.receive(r, &f.reader)
	}
	f.prepare(&f.V)
	f.unfold()
	return f, nil
}

func (d *Definition[T]) start(ctx context.Context, v T) *Form[T] {
	f := &Form[T]{V: v}
	f.reader = ReaderOf(ctx)
	f.bind(reflect.ValueOf(&f.V).Elem(), place{})
	return f
}

func (v *View) prepare(s any) {
	if p, ok := s.(preparing); ok {
		p.Prepare(v)
	}
}

// mostRows is how many rows a request may bring.
const mostRows = 100

// grow lengthens slices of rows to what was sent, and binds the form anew where it did.
func (v *View) grow(s reflect.Value, at place, sent url.Values) {
	grown := false
	for i := range s.NumField() {
		pattern, ok := s.Type().Field(i).Tag.Lookup("rows")
		if !ok {
			continue
		}
		rows := s.Field(i)
		for rows.Len() < mostRows && v.rowSent(rows.Type().Elem(), place{prefix: at.prefix, rows: pattern,
			row: rows.Len()}, sent) {
			rows.Set(reflect.Append(rows, reflect.Zero(rows.Type().Elem())))
			grown = true
		}
	}
	if grown {
		v.fields, v.groups, v.parts = nil, nil, nil
		v.bind(s, at)
	}
}

func (v *View) rowSent(row reflect.Type, at place, sent url.Values) bool {
	for i := range row.NumField() {
		if name, ok := row.Field(i).Tag.Lookup("form"); ok && sent.Has(at.name(strings.Split(name, ",")[0])) {
			return true
		}
	}
	return false
}

func (v *View) add(f *Field, group string) {
	f.locale = &v.reader
	v.fields = append(v.fields, f)
	v.parts[partOf(f.at)] = part{len(v.fields) - 1, len(v.fields)}
	if len(v.groups) == 0 || v.groups[len(v.groups)-1].Title != group {
		v.groups = append(v.groups, &Group{Title: group})
	}
	last := v.groups[len(v.groups)-1]
	last.Fields = append(last.Fields, f)
}

// unfold opens the groups in which something stands or is wrong.
func (v *View) unfold() {
	for _, g := range v.groups {
		g.Open = g.Open || slices.ContainsFunc(g.Fields, func(f *Field) bool { return f.Error != "" || f.typed() })
	}
}

// Groups are the fields to draw. Those that were dropped are not among them.
func (v *View) Groups() []*Group { return v.groups }

// Part are the fields of a member of the form's struct: one, or those of a struct or of rows within it.
func (v *View) Part(member any) []*Field {
	m := reflect.ValueOf(member).Elem()
	p, ok := v.parts[partOf(m)]
	if !ok {
		panic("form: " + m.Type().String() + " is no part of this form")
	}
	return slices.DeleteFunc(slices.Clone(v.fields[p.first:p.end]), func(f *Field) bool { return f.dropped })
}

// Field is the field of a member of the form's struct.
func (v *View) Field(member any) *Field {
	if all := v.Part(member); len(all) == 1 {
		return all[0]
	}
	panic("form: " + reflect.TypeOf(member).String() + " is no field of this form")
}

// Piece is the member of a type anywhere in the form's struct, nil where it has none.
func Piece[P any](v *View) *P {
	of := reflect.TypeFor[P]()
	for a := range v.parts {
		if a.of == of {
			return (*P)(a.at)
		}
	}
	return nil
}

// Drop leaves fields out of the page.
func (v *View) Drop(members ...any) {
	for _, m := range members {
		for _, f := range v.Part(m) {
			f.dropped = true
			for _, g := range v.groups {
				g.Fields = slices.DeleteFunc(g.Fields, func(x *Field) bool { return x == f })
			}
		}
	}
	v.groups = slices.DeleteFunc(v.groups, func(g *Group) bool { return len(g.Fields) == 0 })
}

// Offer sets what may be chosen, and refuses anything else that was sent.
func (v *View) Offer(member any, offered ...Option) {
	f := v.Field(member)
	f.Options = offered
	f.checkChoice()
}

// Show shows the value of a field anew, where a handler has changed it.
func (v *View) Show(member any) {
	f := v.Field(member)
	f.Value = f.show()
}

// Beside shows what stands in a field now where it differs from what was typed.
func (v *View) Beside(now *View) {
	for i, f := range v.fields {
		if i < len(now.fields) && f.Kind != Hidden && now.fields[i].show() != f.show() {
			f.Theirs = cmp.Or(now.fields[i].show(), "nothing")
		}
	}
}

// Wrong says what is wrong with a field: a whole sentence or two. The first word about a field stays.
func (v *View) Wrong(member any, says string) { v.wrong(v.Field(member), says) }

func (v *View) wrong(f *Field, says string) {
	if f.Error == "" {
		f.Error = says
	}
	v.unfold()
}

// Missing says that a field must be filled in.
func (v *View) Missing(member any) {
	f := v.Field(member)
	v.wrong(f, f.enter())
}

// Invalid takes what the shop found wrong to its fields; renamed gives the name of a field that has another one
// in the form.
func (v *View) Invalid(problems evidence.Problems, renamed map[string]string) {
	for _, p := range problems {
		name := p.Field
		if to, ok := renamed[name]; ok {
			name = to
		}
		i := slices.IndexFunc(v.fields, func(f *Field) bool { return f.Name == name && !f.dropped })
		if i < 0 {
			v.Rest = append(v.Rest, Says(p))
			continue
		}
		v.wrong(v.fields[i], Says(p))
	}
}

// Refused takes an error of the shop to the fields. It reports whether the form now says what is wrong; any
// other error is the caller's.
func (v *View) Refused(err error, renamed map[string]string) bool {
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		v.Invalid(invalid.Problems, renamed)
		return true
	}
	return false
}

// unseen are what is wrong with fields that the page does not show.
func (v *View) unseen() []string {
	out := slices.Clone(v.Rest)
	for _, f := range v.fields {
		if f.Error != "" && (f.Kind == Hidden || f.dropped) {
			out = append(out, f.Error)
		}
	}
	return out
}

// OK reports whether nothing is wrong.
func (v *View) OK() bool {
	return len(v.Rest) == 0 && !slices.ContainsFunc(v.fields, func(f *Field) bool { return f.Error != "" })
}

// Problems are what is wrong, by the name of the field.
func (v *View) Problems() map[string]string {
	out := map[string]string{}
	for _, f := range v.fields {
		if f.Error != "" {
			out[f.Name] = f.Error
		}
	}
	return out
}

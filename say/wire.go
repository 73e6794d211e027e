package say

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
)

// MarshalText writes the statement in English, so that in JSON it is a string.
func (s Statement) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads a statement of which only the words were kept.
func (s *Statement) UnmarshalText(b []byte) error {
	*s = Verbatim(string(b))
	return nil
}

// Whole is a statement that in JSON keeps its kind and arguments:
// {"kind":"…","args":{"made":{"type":"months","first":"1968-05","last":"1969-07"}}}.
type Whole Statement

// wireStatement is a Whole as it is written.
type wireStatement struct {
	Kind Kind                 `json:"kind"`
	Args map[string]wireValue `json:"args,omitempty"`
}

// wireValue is an argument as it is written: its type and the fields of that type.
type wireValue struct {
	Type      string             `json:"type"`
	Money     *money.Money       `json:"money,omitempty"`
	Value     *float64           `json:"value,omitempty"`
	Interval  *estimate.Interval `json:"interval,omitempty"`
	Currency  money.Currency     `json:"currency,omitempty"`
	Unit      Unit               `json:"unit,omitempty"`
	Decimals  int                `json:"decimals,omitempty"`
	Signed    bool               `json:"signed,omitempty"`
	Day       string             `json:"day,omitempty"`
	First     *edtf.Month        `json:"first,omitempty"`
	Last      *edtf.Month        `json:"last,omitempty"`
	Set       string             `json:"set,omitempty"`
	ID        string             `json:"id,omitempty"`
	Text      string             `json:"text,omitempty"`
	Items     []wireValue        `json:"items,omitempty"`
	Statement *Whole             `json:"statement,omitempty"`
	Basis     []estimate.Basis   `json:"basis,omitempty"`
}

// MarshalJSON writes kind and arguments.
func (w Whole) MarshalJSON() ([]byte, error) {
	out := wireStatement{Kind: w.Kind}
	if len(w.Args) > 0 {
		out.Args = make(map[string]wireValue, len(w.Args))
	}
	for _, a := range w.Args {
		v := wireOf(a.Value)
		v.Basis = a.Basis
		out.Args[a.Name] = v
	}
	return json.Marshal(out)
}

func wireOf(v Value) wireValue {
	out := wireValue{Type: v.typeName()}
	number := func(x float64) { out.Value = &x }
	ranged := func(r estimate.Interval) {
		if r.High() > r.Low() {
			out.Interval = &r
		}
	}
	switch v := v.(type) {
	case Exact:
		out.Money = &v.Money
	case Estimate:
		number(v.Value)
		ranged(v.Range)
		out.Currency = v.Currency
	case Measure:
		number(v.Value)
		ranged(v.Range)
		out.Unit, out.Decimals, out.Signed = v.Unit, v.Decimals, v.Signed
	case Percentage:
		number(float64(v))
	case Probability:
		number(float64(v))
	case Number:
		number(float64(v))
	case Date:
		out.Day = string(v)
	case Months:
		out.First, out.Last = known(v.First), known(v.Last)
	case Noun:
		out.Set, out.ID, out.Text = v.Set, v.ID, v.English
	case Proper:
		out.Text = string(v)
	case List:
		for _, x := range v {
			out.Items = append(out.Items, wireOf(x))
		}
	case Statement:
		w := Whole(v)
		out.Statement = &w
	}
	return out
}

func known(m edtf.Month) *edtf.Month {
	if m == 0 {
		return nil
	}
	return &m
}

// UnmarshalJSON reads what MarshalJSON writes; arguments come in the order of their
// names.
func (w *Whole) UnmarshalJSON(b []byte) error {
	var in wireStatement
	if err := json.Unmarshal(b, &in); err != nil {
		return fmt.Errorf("statement: %w", err)
	}
	*w = Whole{Kind: in.Kind}
	for _, name := range slices.Sorted(maps.Keys(in.Args)) {
		v, err := in.Args[name].value()
		if err != nil {
			return fmt.Errorf("statement %s: argument %s: %w", in.Kind, name, err)
		}
		w.Args = append(w.Args, Arg{name, v, in.Args[name].Basis})
	}
	return nil
}

func (w wireValue) value() (Value, error) {
	var x float64
	if w.Value != nil {
		x = *w.Value
	}
	var r estimate.Interval
	if w.Interval != nil {
		r = *w.Interval
	}
	switch w.Type {
	case "money":
		if w.Money == nil {
			return nil, fmt.Errorf("type money: want the field money")
		}
		return Exact{*w.Money}, nil
	case "estimate":
		return Estimate{x, r, w.Currency}, nil
	case "measure":
		return Measure{x, r, w.Unit, w.Decimals, w.Signed}, nil
	case "share":
		return Percentage(x), nil
	case "chance":
		return Probability(x), nil
	case "count":
		return Number(x), nil
	case "day":
		return Date(w.Day), nil
	case "months":
		return w.months(), nil
	case "term":
		return Noun{w.Set, w.ID, w.Text}, nil
	case "name":
		return Proper(w.Text), nil
	case "list":
		return w.list()
	case "statement":
		if w.Statement == nil {
			return Statement{}, nil
		}
		return Statement(*w.Statement), nil
	}
	return nil, fmt.Errorf("type %q: want one of money, estimate, measure, share, chance, count, day, months, term, name, list, statement", w.Type)
}

func (w wireValue) months() Months {
	var m Months
	if w.First != nil {
		m.First = *w.First
	}
	if w.Last != nil {
		m.Last = *w.Last
	}
	return m
}

func (w wireValue) list() (Value, error) {
	out := List{}
	for i, item := range w.Items {
		v, err := item.value()
		if err != nil {
			return nil, fmt.Errorf("item %d: %w", i, err)
		}
		out = append(out, v)
	}
	return out, nil
}

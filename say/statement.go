package say

import (
	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
)

// Kind names a sentence of the catalogue, such as "parts.too-late".
type Kind string

// verbatim is the kind of a statement of which only the words are known.
const verbatim Kind = "phrase.verbatim"

// Statement is what is said: its kind and the arguments that the sentence needs. The
// zero Statement says nothing.
type Statement struct {
	Kind Kind
	Args []Arg
}

// Arg is one argument of a statement. Basis is what a reader may open to see where the
// figure comes from.
type Arg struct {
	Name  string
	Value Value
	Basis []estimate.Basis
}

// On says what the argument stands on.
func (a Arg) On(basis ...estimate.Basis) Arg {
	a.Basis = append(a.Basis[:len(a.Basis):len(a.Basis)], basis...)
	return a
}

// That makes a statement. Kind and names of arguments are written out where it is
// called, so that a test can hold them against the catalogue.
func That(kind Kind, args ...Arg) Statement { return Statement{Kind: kind, Args: args} }

// Verbatim is a statement whose words are given, such as a rule that a book states.
func Verbatim(text string) Statement {
	if text == "" {
		return Statement{}
	}
	return That("phrase.verbatim", Name("text", text))
}

// IsZero reports whether nothing is said.
func (s Statement) IsZero() bool { return s.Kind == "" }

// Arg is the value of the argument so named.
func (s Statement) Arg(name string) (Value, bool) {
	for _, a := range s.Args {
		if a.Name == name {
			return a.Value, true
		}
	}
	return nil, false
}

// Money is an exact amount: it is never rounded.
func Money(name string, m money.Money) Arg { return Arg{Name: name, Value: Exact{m}} }

// Amount is an estimate of money without a range of its own, to three significant
// figures.
func Amount(name string, v float64, c money.Currency) Arg {
	return Arg{Name: name, Value: Estimate{Value: v, Currency: c}}
}

// Valued is an estimate of money with its range.
func Valued(name string, v float64, r estimate.Interval, c money.Currency) Arg {
	return Arg{Name: name, Value: Estimate{v, r, c}}
}

// Measured is a figure with a unit and its range, to so many decimals at most. A range
// of no width is not shown.
func Measured(name string, v float64, r estimate.Interval, u Unit, decimals int) Arg {
	return Arg{Name: name, Value: Measure{Value: v, Range: r, Unit: u, Decimals: decimals}}
}

// Moved is a change in per cent, signed, with its range.
func Moved(name string, v, low, high float64) Arg {
	return Arg{Name: name, Value: Measure{Value: v, Range: estimate.Interval{low, high}, Unit: Percent, Signed: true}}
}

// Fixed is a figure with a unit to so many decimals.
func Fixed(name string, v float64, u Unit, decimals int) Arg {
	return Arg{Name: name, Value: Measure{Value: v, Unit: u, Decimals: decimals}}
}

// Share is a share of a whole, 0.2 for 20 %.
func Share(name string, share float64) Arg { return Arg{Name: name, Value: Percentage(share)} }

// Chance is a probability, which is never written as certain.
func Chance(name string, p float64) Arg { return Arg{Name: name, Value: Probability(p)} }

// Count is a number of things; the sentence chooses singular or plural by it.
func Count(name string, n int) Arg { return Arg{Name: name, Value: Number(n)} }

// Day is a day, ISO 8601.
func Day(name, day string) Arg { return Arg{Name: name, Value: Date(day)} }

// Month is one month.
func Month(name string, m edtf.Month) Arg { return Arg{Name: name, Value: Months{m, m}} }

// Span is the months from the first to the last.
func Span(name string, first, last edtf.Month) Arg {
	return Arg{Name: name, Value: Months{first, last}}
}

// Term is a word of the trade that each language has its own word for: the slot crown
// is Term("part", "slot", "crown"). English is the word where the English catalogue
// leaves it to the caller, as it does for terms that are listed elsewhere.
func Term(name, set, id, english string) Arg {
	return Arg{Name: name, Value: Noun{set, id, english}}
}

// Name is a proper name or words typed by somebody: it stays as it is in every
// language.
func Name(name, text string) Arg { return Arg{Name: name, Value: Proper(text)} }

// All is a list: "a, b and c".
func All(name string, values ...Value) Arg { return Arg{Name: name, Value: List(values)} }

// Saying is a statement within the statement.
func Saying(name string, s Statement) Arg { return Arg{Name: name, Value: s} }

// Strings are statements in English.
func Strings(all []Statement) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = s.String()
	}
	return out
}

// Quoted are statements whose words are given.
func Quoted(texts []string) []Statement {
	out := make([]Statement, len(texts))
	for i, text := range texts {
		out[i] = Verbatim(text)
	}
	return out
}

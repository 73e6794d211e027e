package say

import (
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/edtf"
)

// written is a figure that has been written already, for the phrases around it.
type written string

func (written) typeName() string { return "figure" }

func figure(name, text string) Arg { return Arg{Name: name, Value: written(text)} }

// value writes an argument.
func (t *typing) value(v Value, style string) {
	switch v := v.(type) {
	case Exact:
		t.put(Figure, t.w.Locale.Money(v.Money))
	case Estimate:
		t.estimate(v, style)
	case Measure:
		t.measure(v, style)
	case Percentage:
		t.put(Figure, t.w.Locale.Percent(float64(v)))
	case Probability:
		t.chance(float64(v), style)
	case Number:
		t.put(Figure, t.w.Locale.Number(float64(v), 0))
	case Date:
		t.put(Figure, t.w.day(string(v)))
	case Months:
		t.months(v, style)
	case Noun:
		t.put(Words, t.noun(v, style))
	case Proper:
		t.put(Given, string(v))
	case List:
		t.list(v, style)
	case Statement:
		t.statement(v, style)
	case written:
		t.put(Figure, string(v))
	}
}

// estimate writes an estimate of money: "12,300 EUR (9,500–15,900)", with the style
// value or range one of the two.
func (t *typing) estimate(e Estimate, style string) {
	currency := ""
	if e.Currency != "" {
		currency = nbsp + string(e.Currency)
	}
	if e.Range.High() <= e.Range.Low() {
		r := significant(e.Value, 3)
		t.put(Figure, t.w.Locale.Number(r.To(e.Value), r.Decimals)+currency)
		return
	}
	v, low, high, r := Rounded(e.Value, e.Range.Low(), e.Range.High(), 0)
	t.ranged(t.w.Locale.Number(v, r.Decimals), currency, t.w.Locale.Range(low, high, r.Decimals), style)
}

// measure writes a figure with its unit: "36.4 mm (36.3–36.5)", with the style value or
// range one of the two, and with the style half "36.4 ± 0.1 mm", where the range is even.
func (t *typing) measure(m Measure, style string) {
	unit := t.w.Catalogue.units[m.Unit]
	if m.Range.High() <= m.Range.Low() {
		t.put(Figure, t.signed(m.Value, m.Decimals, m.Signed)+unit)
		return
	}
	v, low, high, r := Rounded(m.Value, m.Range.Low(), m.Range.High(), m.Decimals)
	if style == "half" && Even(m.Value, m.Range.Low(), m.Range.High()) {
		half := max(r.To((m.Range.High()-m.Range.Low())/2), math.Pow10(-r.Decimals)) // never ± 0
		t.put(Figure, t.signed(v, r.Decimals, m.Signed)+nbsp+"±"+nbsp+t.w.Locale.Number(half, r.Decimals)+unit)
		return
	}
	t.ranged(t.signed(v, r.Decimals, m.Signed), unit, t.w.Locale.Range(low, high, r.Decimals), style)
}

// Even reports whether a range is about as wide on one side of its figure as on the other, so that ± says all of it;
// where it is not, both ends are given.
func Even(value, low, high float64) bool { return math.Abs(low+high-2*value) < 0.4*(high-low)/2 }

func (t *typing) ranged(value, unit, span, style string) {
	switch style {
	case "value":
		t.put(Figure, value+unit)
	case "range":
		t.put(Figure, span+unit)
	default:
		t.put(Figure, value+unit+" ("+span+")")
	}
}

func (t *typing) signed(v float64, decimals int, signed bool) string {
	if signed {
		return t.w.Locale.Signed(v, decimals)
	}
	return t.w.Locale.Number(v, decimals)
}

// chance writes a probability in percent that never claims certainty.
func (t *typing) chance(p float64, style string) {
	switch {
	case math.IsNaN(p):
		t.statement(That("phrase.unknown"), style)
	case p < 0.01:
		t.statement(That("phrase.under", Share("share", 0.01)), style)
	case p > 0.99:
		t.statement(That("phrase.over", Share("share", 0.99)), style)
	default:
		t.value(Percentage(math.Round(100*p)/100), "")
	}
}

// months writes a span of months; the style within puts the preposition before it. An
// open end is said.
func (t *typing) months(m Months, style string) {
	switch {
	case m.First == 0 && m.Last == 0:
		t.statement(That("phrase.unknown"), "")
	case m.Last == 0:
		t.statement(That("phrase.from", figure("first", t.month(m.First))), "")
	case m.First == 0:
		t.statement(That("phrase.until", figure("last", t.month(m.Last))), "")
	case style == "within" && m.First == m.Last:
		t.statement(That("phrase.in", figure("month", t.month(m.First))), "")
	case style == "within" && wholeYear(m):
		t.statement(That("phrase.in-year", figure("year", fmt.Sprint(m.First.Year()))), "")
	case style == "within":
		first := t.month(m.First)
		if m.First.Year() == m.Last.Year() {
			first = t.w.Catalogue.months[m.First.Calendar()-1]
		}
		t.statement(That("phrase.between", figure("first", first), figure("last", t.month(m.Last))), "")
	case style == "from" && m.First != m.Last:
		t.statement(That("phrase.from-to", figure("first", t.month(m.First)), figure("last", t.month(m.Last))), "")
	default:
		t.put(Figure, t.plainMonths(m))
	}
}

func wholeYear(m Months) bool {
	return m.First.Year() == m.Last.Year() && m.First.Calendar() == 1 && m.Last.Calendar() == 12
}

func (t *typing) plainMonths(m Months) string {
	sameYear := m.First.Year() == m.Last.Year()
	switch {
	case m.First == m.Last:
		return t.month(m.First)
	case wholeYear(m):
		return fmt.Sprint(m.First.Year())
	case sameYear:
		return t.w.Catalogue.months[m.First.Calendar()-1] + "–" + t.month(m.Last)
	}
	return t.month(m.First) + " – " + t.month(m.Last)
}

// day writes a day in the words of the language, where it has a form for it.
func (w Writer) day(iso string) string {
	d, err := time.Parse(time.DateOnly, iso)
	form := w.Catalogue.days.Any
	if err == nil && d.Day() == 1 && w.Catalogue.days.First != "" {
		form = w.Catalogue.days.First
	}
	if err != nil || form == "" {
		return w.Locale.Day(iso)
	}
	return strings.NewReplacer("{day}", fmt.Sprint(d.Day()), "{month}", w.Catalogue.months[d.Month()-1], "{year}",
		fmt.Sprint(d.Year()), " ", nbsp).Replace(form)
}

// month writes a month as people say it: May 1968.
func (t *typing) month(m edtf.Month) string {
	return fmt.Sprintf("%s%s%d", t.w.Catalogue.months[m.Calendar()-1], nbsp, m.Year())
}

// noun is a word of the trade in the form that the style asks for. A word that the
// catalogue does not have is its English, else its id with spaces.
func (t *typing) noun(n Noun, style string) string {
	if style == "" {
		style = "name"
	}
	if lower := strings.ToLower(style); lower != style && t.w.Catalogue.forms[style] == nil &&
		t.w.Catalogue.nouns[n.Set][n.ID].forms[style] == "" {
		return Capital(t.noun(n, lower)) // Name and The are name and the at the head of a sentence
	}
	word, listed := t.w.Catalogue.nouns[n.Set][n.ID]
	switch {
	case listed && word.forms[style] != "":
		return word.forms[style]
	case listed:
		n.English = word.forms["name"]
	case n.English == "":
		n.English = strings.ReplaceAll(n.ID, "_", " ")
	}
	form, ok := t.w.Catalogue.forms[style]
	if !ok {
		return n.English
	}
	inner := &typing{w: t.w}
	inner.message(form, Statement{Args: []Arg{Name("name", n.English)}})
	return inner.out.String()
}

// list writes "a, b and c"; the style is one of the catalogue's ways of joining.
func (t *typing) list(l List, style string) {
	if style == "" {
		style = "and"
	}
	style, inner, _ := strings.Cut(style, ".")
	join, arg := t.w.Catalogue.lists[style], t.arg
	for i, v := range l {
		switch {
		case i == 0:
		case i == len(l)-1:
			t.put(Words, join.Last)
		default:
			t.put(Words, join.Between)
		}
		t.value(v, inner)
		t.arg = arg
	}
}

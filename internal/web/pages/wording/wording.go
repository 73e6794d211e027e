package wording

import (
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

const none = "–"

// State is a state in words.
func State(s shop.State) string { return strings.ReplaceAll(string(s), "_", " ") }

// Money is an amount with its currency, or a dash.
func Money(ctx context.Context, m money.Money) string {
	if m.IsZero() {
		return none
	}
	return figures(ctx).Money(m)
}

// MoneyPtr is Money for an amount that may not be there.
func MoneyPtr(ctx context.Context, m *money.Money) string {
	if m == nil {
		return none
	}
	return Money(ctx, *m)
}

// Exact is an amount to its minor unit, without its currency, or nothing.
func Exact(ctx context.Context, m money.Money) string {
	if m.IsZero() {
		return ""
	}
	return figures(ctx).Digits(m.Amount())
}

// Whole is an amount of money to the unit, without its currency, or a dash.
func Whole(ctx context.Context, m money.Money) string {
	if m.IsZero() {
		return none
	}
	return Fixed(ctx, m.Float(), 0)
}

// Rate is a rate in percent, 0.125 for 12.5 %.
func Rate(ctx context.Context, share float64) string { return figures(ctx).Rate(share) }

// Amount is an estimate of money to three significant figures, thousands separated.
func Amount(ctx context.Context, v float64) string {
	return Fixed(ctx, rounded3(v), 0)
}

// AmountRange is a range of estimates of money, each end as Amount writes it.
func AmountRange(ctx context.Context, low, high float64) string {
	return figures(ctx).Range(rounded3(low), rounded3(high), 0)
}

// rounded3 rounds to three significant figures, and to whole units at most.
func rounded3(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(math.Abs(v)))-2))
	return math.Round(v/unit) * unit
}

// About is an amount of money to three significant figures with its currency.
func About(ctx context.Context, m money.Money) string {
	return Amount(ctx, m.Float()) + "\u00a0" + string(m.Currency())
}

// Count is a number of things.
func Count[T int | int64](ctx context.Context, n T) string { return Fixed(ctx, float64(n), 0) }

// MM is a length to hundredths, without its unit.
func MM(ctx context.Context, v float64) string { return Fixed(ctx, v, 2) }

// Fixed is a figure to so many decimals.
func Fixed(ctx context.Context, v float64, decimals int) string {
	return figures(ctx).Number(v, decimals)
}

// Hours are hours that were noted, or a dash.
func Hours(ctx context.Context, v float64) string {
	if v == 0 {
		return none
	}
	return Fixed(ctx, v, 0)
}

// Grade is a grade to one decimal, or a dash.
func Grade(ctx context.Context, g *float64) string { return Number(ctx, g, 1) }

// Number is a figure to so many decimals, or a dash.
func Number(ctx context.Context, v *float64, decimals int) string {
	if v == nil {
		return none
	}
	return Fixed(ctx, *v, decimals)
}

// Signed is Number with a sign.
func Signed(ctx context.Context, v *float64, decimals int) string {
	if v == nil {
		return none
	}
	return SignedValue(ctx, *v, decimals)
}

// SignedValue is a figure with its sign, to so many decimals.
func SignedValue(ctx context.Context, v float64, decimals int) string {
	return figures(ctx).Signed(v, decimals)
}

// half90 times a standard error is half the 90 % range of a normal figure.
const half90 = 1.645

// PlusMinus is half the 90 % range of a rate with these independent standard errors, or nothing where they are none.
func PlusMinus(ctx context.Context, ses ...float64) string {
	squares := 0.0
	for _, se := range ses {
		squares += se * se
	}
	if squares == 0 {
		return ""
	}
	return "±\u00a0" + Fixed(ctx, math.Max(half90*math.Sqrt(squares), 0.1), 1)
}

// Day is a day such as 2026-03-01 as the reader writes days; what is no whole day stays
// as it is.
func Day(ctx context.Context, iso string) string { return figures(ctx).Day(iso) }

// DayOf is the day of a time.
func DayOf(ctx context.Context, t time.Time) string { return figures(ctx).DayOf(t) }

// Moment is day and time of day.
func Moment(ctx context.Context, t time.Time) string { return figures(ctx).Moment(t) }

// Months is a span of months in short words; one month is one.
func Months(span [2]edtf.Month) string {
	if span[0] == span[1] {
		return Month(span[0])
	}
	return Month(span[0]) + " – " + Month(span[1])
}

var months = [...]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// Month is a month in short words: May 1968.
func Month(m edtf.Month) string { return fmt.Sprintf("%s %d", months[m.Calendar()-1], m.Year()) }

// Span is an EDTF interval of months in short words.
func Span(text string) string {
	if text == "" {
		return none
	}
	d, err := edtf.Parse(text)
	if err != nil {
		return text
	}
	first, _ := d.FirstMonth()
	last, _ := d.LastMonth()
	if first == last {
		return Month(first)
	}
	return Month(first) + " – " + Month(last)
}

// Troubles lists what is not as it should be, or says that nothing was found. Parts
// with the same verdict stand together, the gravest first.
func Troubles(b desk.Brief) string {
	switch {
	case b.Forming:
		return "opinion is being formed"
	case b.Problem != "":
		return "no opinion: " + b.Problem
	case len(b.Troubles) == 0:
		return "nothing against it"
	}
	var wrong, later, rest []string
	for _, t := range b.Troubles {
		if part, ok := strings.CutSuffix(t, " "+opinion.DoesNotBelong); ok {
			wrong = append(wrong, part)
		} else if part, ok := strings.CutSuffix(t, " "+opinion.ProbablyReplaced); ok {
			later = append(later, part)
		} else {
			rest = append(rest, t)
		}
	}
	var out []string
	if len(wrong) > 0 {
		verb := " does not belong"
		if len(wrong) > 1 || strings.HasSuffix(wrong[0], "s") {
			verb = " do not belong"
		}
		out = append(out, strings.Join(wrong, ", ")+verb)
	}
	out = append(out, rest...)
	if len(later) > 0 {
		out = append(out, strings.Join(later, ", ")+" "+opinion.ProbablyReplaced)
	}
	return strings.Join(out, "; ")
}

// Underscored is a name of a list in words.
func Underscored(s string) string { return strings.ReplaceAll(s, "_", " ") }

// Paper is a kind of paper as a title.
func Paper(k shop.PaperKind) string {
	switch k {
	case shop.PaperReport:
		return "Report on condition and originality"
	case shop.PaperValuation:
		return "Statement of value"
	case shop.PaperIdentification:
		return "Identification sheet"
	case shop.PaperTrace:
		return "Record of running"
	}
	return say.Capital(string(k))
}

package cli

import (
	"strconv"
	"strings"
	"sync"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// plain writes what is said for a terminal: figures as pages and papers have them, days
// in ISO 8601, spaces that are nothing but spaces.
var plain = sync.OnceValue(func() say.Writer { return say.Writer{Catalogue: say.InEnglish(), Locale: say.Plain} })

func value(v say.Value, style string) string {
	return strings.ReplaceAll(plain().Value(v, style), "\u00a0", " ")
}

// figure writes a figure to so many decimals.
func figure(v float64, decimals int) string { return say.Plain.Number(v, decimals) }

// machine writes a figure for other programs: a plain decimal.
func machine(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

// exact writes an amount that was booked or agreed: cents only where there are any.
func exact(m money.Money) string { return say.Plain.Money(m) }

// span writes a range to so many decimals.
func span(low, high float64, decimals int) string { return say.Plain.Range(low, high, decimals) }

// plus writes a figure with its sign.
func plus(v float64, decimals int) string { return say.Plain.Signed(v, decimals) }

// price writes an estimate of money to what its range allows; style is "value" or "range".
func price(v float64, r [2]float64, c money.Currency, style string) string {
	return value(say.Estimate{Value: v, Range: estimate.Interval(r), Currency: c}, style)
}

// percent writes a share of a whole to whole percents.
func percent(v float64) string { return figure(100*v, 0) + " %" }

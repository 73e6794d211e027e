package opinion

import (
	"math"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/say"
)

// mark is the name of what is marked on a watch, such as its serial number.
func mark(name, what string) say.Arg { return say.Term(name, "mark", what, "") }

// dated is a date that somebody wrote: a day, or the months that it may be.
func dated(name string, d edtf.Date) say.Arg {
	if _, err := time.Parse(time.DateOnly, d.String()); err == nil {
		return say.Day(name, d.String())
	}
	first, _ := knownMonth(d.FirstMonth())
	last, _ := knownMonth(d.LastMonth())
	return say.Span(name, first, last)
}

// sameText compares two texts without regard to case and to space at the ends.
func sameText(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

var powersOf10 = [...]float64{1, 10, 100, 1e3, 1e4, 1e5, 1e6}

// round rounds to at most six decimals.
func round(x float64, decimals int) float64 {
	p := powersOf10[decimals]
	return math.Round(x*p) / p
}

func or(v, otherwise float64) float64 {
	if v == 0 {
		return otherwise
	}
	return v
}

func ptr[T any](v T) *T { return &v }

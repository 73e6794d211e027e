package wording

import (
	"context"

	"midcase/say"
)

type contextKey struct{}

// Reading is how a request's reader wants figures.
type Reading struct {
	Locale say.Locale
	Inches bool // inch and ounce beside millimetre and gram
}

// With gives a request's context its reader.
func With(ctx context.Context, r Reading) context.Context {
	return context.WithValue(ctx, contextKey{}, r)
}

// ReaderOf is the reader of a request, who reads English figures where none is set.
func ReaderOf(ctx context.Context) Reading {
	if r, ok := ctx.Value(contextKey{}).(Reading); ok {
		return r
	}
	return Reading{Locale: say.English}
}

func figures(ctx context.Context) say.Locale { return ReaderOf(ctx).Locale }

// The inch and the troy ounce are exact by definition: 25.4 mm (ISO 31-1) and
// 31.1034768 g (Weights and Measures Act 1985, schedule 1).
const (
	mmPerInch      = 25.4
	gramsPerTroyOz = 31.1034768
)

// AlsoInch is a length in inches beside the millimetres, for readers who asked for it.
func AlsoInch(ctx context.Context, mm float64) string {
	if !ReaderOf(ctx).Inches {
		return ""
	}
	return " (" + Fixed(ctx, mm/mmPerInch, 3) + " in)"
}

// AlsoOunce is a mass in troy ounces beside the grams, for readers who asked for it.
func AlsoOunce(ctx context.Context, g float64) string {
	if !ReaderOf(ctx).Inches {
		return ""
	}
	return " (" + Fixed(ctx, g/gramsPerTroyOz, 4) + " oz t)"
}

package web

import (
	"context"
	"net/http"
	"strings"

	"midcase/evidence"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/wording"
	"midcase/say"
)

// reader adds to a request how its reader wants figures written: as the shop has set it,
// else as the browser asks. Where the settings cannot be read it is English.
func (s *site) reader(ctx context.Context, r *http.Request) context.Context {
	if _, err := s.shop.Revision(ctx); err != nil { // also tells in which currency the books are
		return ctx
	}
	set, err := s.shop.Settings(ctx)
	if err != nil {
		return ctx // the page itself will say what is wrong
	}
	l := say.LocaleOf(set.Locale, r.Header.Get("Accept-Language"))
	ctx = form.With(ctx, form.Reader{Locale: l, Currency: s.shop.Currency()})
	return wording.With(ctx, wording.Reading{Locale: l, Inches: set.Inches})
}

// readFigures puts typed figures into the plain form in which they are kept: values of
// measures and of amounts of money, by the names of their fields. What can be read two
// ways is a problem; the values given are not changed.
func readFigures(ctx context.Context, values map[string]string, measures, amounts []string) (map[string]string,
	evidence.Problems) {
	l := wording.ReaderOf(ctx).Locale
	out := make(map[string]string, len(values))
	for name, v := range values {
		out[name] = v
	}
	var problems evidence.Problems
	read := func(names []string, plain func(string) (string, error)) {
		for _, name := range names {
			v, ok := values[name]
			if !ok || strings.TrimSpace(v) == "" {
				continue
			}
			text, err := plain(v)
			if err != nil {
				problems = append(problems, evidence.Problem{Field: name, Found: err.Error(),
					Want: "a figure that can be read one way, such as 36" + l.Decimal + "25"})
				continue
			}
			out[name] = text
		}
	}
	read(measures, l.ReadMeasure)
	read(amounts, l.ReadMoney)
	return out, problems
}

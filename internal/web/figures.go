package web

import (
	"context"
	"net/http"

	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/wording"
	"midcase/say"
)

// reader adds to a request how its reader wants figures written: as the shop has set it,
// else as the browser asks. Where the settings cannot be read it is English.
func (s *site) reader(ctx context.Context, r *http.Request) context.Context {
	if _, err := s.shop.Revision(ctx); err != nil { // also tells in which currency the books are
		return ctx
	}
	if err := s.shop.BookProblem(ctx); err != nil {
		ctx = frame.WithBookProblem(ctx, err)
	}
	set, err := s.shop.Settings(ctx)
	if err != nil {
		return ctx // the page itself will say what is wrong
	}
	l := say.LocaleOf(set.Locale, r.Header.Get("Accept-Language"))
	ctx = form.With(ctx, form.Reader{Locale: l, Currency: s.shop.Currency()})
	return wording.With(ctx, wording.Reading{Locale: l, Inches: set.Inches})
}

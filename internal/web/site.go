package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/wording"
)

// site is what the areas of the site share: the shop, the frame around a page, and who is asking.
type site struct {
	cards heldFiles // files of clients between being read and being brought in
	shop  *rooms.Shop
	opt   Options
}

func (s *site) frame(place, title string) frame.Data {
	d := frame.Data{Shop: s.shop.Name(), Title: title, Place: place}
	if s.opt.Notices != nil {
		d.Notices = s.opt.Notices()
	}
	return d
}

// frameOf is the frame of a page that follows changes of what it shows.
func (s *site) frameOf(ctx context.Context, place, title, of string) frame.Data {
	d := s.frame(place, title)
	d.Now = s.now(ctx, of)
	return d
}

func (s *site) nowhere(http.ResponseWriter, *http.Request) error {
	return fmt.Errorf("page: %w", shop.ErrNotFound)
}

// user is who does what the request asks for: the person signed in, else the one who
// started the server.
func (s *site) user(ctx context.Context) string {
	if name := frame.User(ctx); name != "" {
		return name
	}
	return s.opt.User
}

// who records: the name typed, else the person signed in or the one that the server was
// started for.
func (s *site) who(r *http.Request) string {
	if by := strings.TrimSpace(r.FormValue("by")); by != "" {
		return by
	}
	return s.user(r.Context())
}

// asOf is the day asked for at its end, or now; the text is empty for now.
func (s *site) asOf(r *http.Request) (time.Time, string, error) {
	text := r.FormValue("as-of")
	now := s.shop.Now()
	if text == "" {
		return now, "", nil
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil || t.After(now.Add(24*time.Hour)) {
		return now, "", &shop.Invalid{What: "opinion as of another day",
			Problems: evidence.Problems{{Field: "as-of", Found: fmt.Sprintf("%q", text),
				Want: "a day that is not in the future, such as 2026-03-01"}}}
	}
	return t.Add(24*time.Hour - time.Nanosecond), text, nil
}

// metals lists the metals that the book names, once each.
func (s *site) metals(ctx context.Context) []frame.Choice {
	var out []frame.Choice
	for _, mk := range s.shop.Book(ctx).Makers {
		for _, x := range mk.Metals {
			known := slices.ContainsFunc(out, func(c frame.Choice) bool { return c.Value == x.ID })
			if !known {
				out = append(out, frame.Choice{Value: x.ID, Text: cmp.Or(x.Name, wording.Underscored(x.ID))})
			}
		}
	}
	slices.SortFunc(out, func(a, b frame.Choice) int { return cmp.Compare(a.Text, b.Text) })
	return out
}

package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/clients"
)

func (s *clientPages) matchesPage(w http.ResponseWriter, r *http.Request) error {
	record, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	d := clients.Matches{Watch: record, Values: map[string]string{"client": r.FormValue("client"), "kind": shop.Shown,
		"price": "", "until": "", "channel": "in the shop"}}
	if record.Asking.Sign() > 0 {
		d.Values["price"] = record.Asking.String()
	}
	switch r.FormValue("done") {
	case "recorded":
		d.Notice = "Recorded."
	case "private":
		d.Notice = "Saved: the last day on which it is shown privately only."
	case "public":
		d.Notice = "It may be shown to all once it is listed."
	}
	return s.matchesForm(w, r, d)
}

// matchesForm fills the page in; what is told already stays.
func (s *clientPages) matchesForm(w http.ResponseWriter, r *http.Request, d clients.Matches) error {
	ctx := r.Context()
	d.Frame, d.Now, d.All = s.frame("stock", "Who wants "+d.Watch.Title), s.shop.Now(), r.FormValue("all") != ""
	var err error
	if d.Found, err = s.shop.People.MatchWatch(ctx, d.Watch.ID); err != nil {
		return err
	}
	if d.Showings, err = s.shop.People.Showings(ctx, d.Watch.ID, ""); err != nil {
		return err
	}
	if d.Names, d.People, err = s.shop.Names(ctx, "matches"); err != nil {
		return err
	}
	for _, v := range d.Showings {
		if v.Client != "" && v.Kind != shop.Withdrawn {
			d.First = v.Client
			break
		}
	}
	if d.Until == "" && d.Watch.PrivateOn(d.Now) {
		d.Until = d.Watch.PrivateTo.String()
	}
	if len(d.Problems)+len(d.Private) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return clients.MatchesPage(d).Render(ctx, w)
}

// recordShowing records that the watch was shown, offered or promised.
func (s *clientPages) recordShowing(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	d := clients.Matches{Watch: record, Values: map[string]string{}}
	for _, name := range []string{"client", "other", "kind", "price", "until", "channel"} {
		d.Values[name] = strings.TrimSpace(r.PostFormValue(name))
	}
	if d.Values["other"] != "" {
		found, err := s.shop.People.Find(ctx, d.Values["other"])
		switch {
		case errors.Is(err, shop.ErrNotFound), errors.Is(err, shop.ErrAmbiguous):
			d.Problems = append(d.Problems, evidence.Problem{Field: "other", Found: strconv.Quote(d.Values["other"]),
				Want: "the name or e-mail address of one client"})
		case err != nil:
			return err
		default:
			d.Values["client"] = found.ID
		}
	}
	v := shop.Showing{Watch: record.ID, Client: d.Values["client"], Kind: d.Values["kind"],
		Channel: d.Values["channel"]}
	if v.Kind == shop.OfferedTo || v.Kind == shop.Promised || v.Kind == shop.Accepted {
		plain, problems := readFigures(ctx, d.Values, nil, []string{"price"})
		if d.Problems = append(d.Problems, problems...); len(problems) > 0 {
			// The figure itself cannot be read.
		} else if v.Price, err = form.Amount(plain["price"], s.shop.Currency()); err != nil {
			d.Problems = append(d.Problems, evidence.Problem{Field: "price", Found: strconv.Quote(d.Values["price"]),
				Want: "an amount above zero, such as 6500 or 6500 EUR"})
		}
	}
	var problems evidence.Problems
	if v.Until, problems = dateField(d.Values, "until"); len(problems) > 0 {
		d.Problems = append(d.Problems, problems...)
	}
	if len(d.Problems) == 0 {
		_, err = s.shop.People.Show(ctx, v, s.user(ctx))
		var invalid *shop.Invalid
		if !errors.As(err, &invalid) {
			if err != nil {
				return err
			}
			http.Redirect(w, r, "/watches/"+string(record.ID)+"/matches?done=recorded#passed", http.StatusSeeOther)
			return nil
		}
		d.Problems = invalid.Problems
	}
	return s.matchesForm(w, r, d)
}

// privateFirst sets or ends the time in which the watch is shown privately only.
func (s *clientPages) privateFirst(w http.ResponseWriter, r *http.Request) error {
	ctx, id := r.Context(), shop.WatchID(r.PathValue("id"))
	done := "private"
	var err error
	typed := map[string]string{"until": strings.TrimSpace(r.PostFormValue("until"))}
	if r.PostFormValue("public") != "" {
		done = "public"
		_, err = s.shop.People.GoPublic(ctx, id, s.user(ctx))
	} else {
		until, problems := dateField(typed, "until")
		if len(problems) > 0 {
			err = &shop.Invalid{What: "show privately first", Problems: problems}
		} else {
			_, err = s.shop.People.PrivateFirst(ctx, id, until, s.user(ctx))
		}
	}
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		record, err := s.shop.Watch(ctx, id)
		if err != nil {
			return err
		}
		return s.matchesForm(w, r, clients.Matches{Watch: record, Private: invalid.Problems, Until: typed["until"],
			Values: map[string]string{"kind": shop.Shown}})
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(id)+"/matches?done="+done+"#private", http.StatusSeeOther)
	return nil
}

// wanted is a line for a watch's file: how many clients look for such a watch. It names
// nobody, since that page is shown over the counter too.
func (s *site) wanted(ctx context.Context, record shop.Watch) (string, error) {
	switch record.State {
	case shop.Sold, shop.Returned:
		return "", nil
	}
	found, err := s.shop.People.MatchWatch(ctx, record.ID)
	if err != nil || len(found) == 0 {
		return "", err
	}
	first := 0
	for _, m := range found {
		if m.CallFirst && m.MayContact {
			first++
		}
	}
	says := fmt.Sprintf("%d clients look for such a watch", len(found))
	if len(found) == 1 {
		says = "One client looks for such a watch"
	}
	switch {
	case first == 1:
		says += "; one asked to be called first"
	case first > 1:
		says += fmt.Sprintf("; %d asked to be called first", first)
	}
	return says, nil
}

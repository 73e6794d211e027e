package web

import (
	"fmt"
	"net/http"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/watch"
	"midcase/opinion"
)

// asOf is the day asked for at its end, or now; the text is empty for now.
func (s *Server) asOf(r *http.Request) (time.Time, string, error) {
	text := r.FormValue("as-of")
	now := s.shop.Now()
	if text == "" {
		return now, "", nil
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil || t.After(now.Add(24*time.Hour)) {
		return now, "", &shop.Invalid{What: "opinion as of another day", Problems: evidence.Problems{{Field: "as-of", Found: fmt.Sprintf("%q", text), Want: "a day that is not in the future, such as 2026-03-01"}}}
	}
	return t.Add(24*time.Hour - time.Nanosecond), text, nil
}

func (s *Server) watchPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	asOf, text, err := s.asOf(r)
	if err != nil {
		return err
	}
	o, file, err := s.shop.OpinionOn(ctx, record.ID, asOf, opinion.Settings{})
	if err != nil {
		return err
	}
	d := watch.Data{Frame: s.frame("stock", record.Title), Watch: record, Opinion: o, File: file, Book: s.shop.Book(), AsOf: text}
	if text == "" {
		if d.Looks, err = s.shop.NextLooks(ctx, record.ID); err != nil {
			return err
		}
	}
	if added := r.FormValue("added"); added != "" {
		d.Notice, d.Added = "Added; the opinion below counts it.", []evidence.ID{evidence.ID(added)}
	}
	if r.FormValue("changed") != "" {
		d.Notice = "Saved."
	}
	if r.FormValue("withdrawn") != "" {
		d.Notice = "Withdrawn. The item stays on the record; the opinion below no longer counts it."
	}
	return watch.Page(d).Render(ctx, w)
}

func (s *Server) withdraw(w http.ResponseWriter, r *http.Request) error {
	id := shop.WatchID(r.PathValue("id"))
	if _, err := s.shop.Withdraw(r.Context(), id, evidence.ID(r.FormValue("of")), r.FormValue("reason"), s.opt.User); err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(id)+"?withdrawn=1", http.StatusSeeOther)
	return nil
}

package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/watch"
	"midcase/opinion"
)

// watchPages hold a watch: its file, its record, its pictures and the report on it.
type watchPages struct {
	*site
	small *thumbnails
}

func (s *watchPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /take-in", s.page(s.takeInPage))
	mux.Handle("POST /take-in", s.page(s.takeIn))
	mux.Handle("GET /watches/{id}", s.page(s.watchPage))
	mux.Handle("GET /watches/{id}/change", s.page(s.changePage))
	mux.Handle("POST /watches/{id}/change", s.page(s.saveChange))
	mux.Handle("POST /watches/{id}/correct", s.page(s.correct))
	mux.Handle("GET /watches/{id}/record", s.page(s.recordPage))
	mux.Handle("POST /watches/{id}/record", s.page(s.record))
	mux.Handle("POST /watches/{id}/photos", s.page(s.addPhoto))
	mux.Handle("POST /watches/{id}/withdraw", s.page(s.withdraw))
	mux.Handle("GET /watches/{id}/report.pdf", s.page(s.reportPDF))
	mux.Handle("GET /watches/{id}/report.md", s.page(s.reportMarkdown))
	mux.Handle("GET /watches/{id}/listing", s.page(s.listingPage))
	mux.Handle("GET /watches/{id}/listing/edit", s.page(s.editText))
	mux.Handle("POST /watches/{id}/listing/edit", s.page(s.keepText))
	mux.Handle("GET /pictures/{sha}", s.page(s.picture))
}

func (s *watchPages) watchPage(w http.ResponseWriter, r *http.Request) error {
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
	d := watch.Data{Frame: s.frameOf(ctx, "stock", record.Title, watchOf+string(record.ID)), Watch: shop.SeenWatch(ctx, record),
		Opinion: shop.SeenOpinion(ctx, o), File: shop.SeenFile(ctx, file),
		Book: s.shop.Book(r.Context()), AsOf: text}
	if text == "" {
		if d.Standing, err = s.standing(ctx, record); err != nil {
			return err
		}
		if d.Wanted, err = s.wanted(ctx, record); err != nil {
			return err
		}
		if d.Opened, err = s.opened(ctx, record.ID); err != nil {
			return err
		}
		if d.Looks, err = s.shop.NextLooks(ctx, record.ID); err != nil {
			return err
		}
	}
	if added := r.FormValue("added"); added != "" {
		d.Notice, d.Added = "Added. The opinion is unchanged.", []evidence.ID{evidence.ID(added)}
	}
	if r.FormValue("changed") != "" {
		d.Notice = "Saved."
	}
	if d.Learned = r.FormValue("learned"); d.Learned != "" {
		d.Notice = "Added. The opinion is unchanged."
	}
	if r.FormValue("withdrawn") != "" {
		d.Notice = "Withdrawn; the item stays on the record. The opinion is unchanged."
	}
	if text == "" {
		if err := s.history(ctx, &d); err != nil {
			return err
		}
	}
	if len(d.Changed) > 0 {
		d.Notice = strings.Replace(d.Notice, "The opinion is unchanged.", "What it changes:", 1)
	}
	return watch.Page(d).Render(ctx, w)
}

// standing gathers how a watch stands in the shop today, with the names that whoever asks may see.
func (s *watchPages) standing(ctx context.Context, w shop.Watch) (*watch.Standing, error) {
	l, err := s.shop.Trade.Life(ctx, w.ID)
	if err != nil {
		return nil, err
	}
	out := &watch.Standing{Life: l.Seen(ctx), Today: s.shop.Now().Format(time.DateOnly)}
	if (w.Client != "" || w.Holder != "") && w.State != shop.Sold {
		if out.Names, _, err = s.shop.Names(ctx, "file of a watch"); err != nil {
			return nil, err
		}
	}
	return out, nil
}

const earlierShown = 5

// history fills in what the latest item changed, where one was just added or
// withdrawn, and the opinions that were kept.
func (s *watchPages) history(ctx context.Context, d *watch.Data) error {
	if d.Notice != "" {
		log, err := s.shop.Log(ctx, d.Watch.ID)
		if err != nil {
			return err
		}
		var latest time.Time
		for _, it := range log.Evidence {
			if it.At.After(latest) {
				latest = it.At
			}
		}
		before, _, err := s.shop.OpinionOn(ctx, d.Watch.ID, latest.Add(-time.Nanosecond), opinion.Settings{})
		if err != nil {
			return err
		}
		d.Changed = watch.Changes(ctx, shop.SeenOpinion(ctx, before), d.Opinion)
	}
	kept, err := s.shop.Opinions(ctx, d.Watch.ID)
	if err != nil {
		return err
	}
	for _, k := range kept[:min(len(kept), earlierShown)] {
		var o opinion.Opinion
		if err := json.Unmarshal(k.JSON, &o); err != nil {
			return fmt.Errorf("opinion kept on %s: %w", k.Formed.Format(time.DateOnly), err)
		}
		d.Earlier = append(d.Earlier, watch.Earlier{AsOf: k.AsOf, Formed: k.Formed, Items: k.Evidence,
			Changes: watch.Changes(ctx, shop.SeenOpinion(ctx, o), d.Opinion)})
	}
	return nil
}

func (s *watchPages) withdraw(w http.ResponseWriter, r *http.Request) error {
	id := shop.WatchID(r.PathValue("id"))
	if _, err := s.shop.Intake.Withdraw(r.Context(), id, evidence.ID(r.FormValue("of")), r.FormValue("reason"),
		s.user(r.Context())); err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(id)+"?withdrawn=1", http.StatusSeeOther)
	return nil
}

package web

import (
	"fmt"
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/web/pages/calendar"
)

// calendarPages show what is due, as a page and as a feed.
type calendarPages struct{ *site }

func (s *calendarPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /calendar", s.page(s.calendarPage))
	mux.Handle("GET /calendar.ics", s.page(s.calendarFile))
	mux.Handle("POST /calendar/address", s.page(s.newFeedAddress))
	mux.Handle("GET /feeds/{key}/calendar.ics", s.page(s.calendarFeed))
}

func (s *calendarPages) calendarPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	d := calendar.Data{Frame: s.frame("calendar", "Calendar"), Now: s.shop.Now(), Renewed: r.FormValue("renewed") != ""}
	var err error
	if d.Overdue, d.Today, d.Later, err = s.shop.Desk.Agenda(ctx); err != nil {
		return err
	}
	for _, all := range [][]desk.Appointment{d.Overdue, d.Today, d.Later} {
		for _, a := range all {
			d.Named = d.Named || a.Client != ""
		}
	}
	if d.Named {
		if d.Names, _, err = s.shop.Names(ctx, "calendar"); err != nil {
			return err
		}
	}
	if d.Pictures, err = s.shop.Desk.Pictures(ctx); err != nil {
		return err
	}
	key, err := s.shop.Desk.FeedKey(ctx)
	if err != nil {
		return err
	}
	d.Feed = fmt.Sprintf("%s/feeds/%s/calendar.ics", s.opt.Address, key)
	return calendar.Page(d).Render(ctx, w)
}

func (s *calendarPages) calendarFile(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Disposition", `attachment; filename="calendar.ics"`)
	return s.writeCalendar(w, r)
}

// calendarFeed is the calendar for programs that cannot sign in: whoever has its address
// may read it.
func (s *calendarPages) calendarFeed(w http.ResponseWriter, r *http.Request) error {
	ok, err := s.shop.Desk.IsFeedKey(r.Context(), r.PathValue("key"))
	if err != nil {
		return err
	}
	if !ok {
		return fmt.Errorf("calendar under this address: %w", shop.ErrNotFound)
	}
	return s.writeCalendar(w, r)
}

func (s *calendarPages) writeCalendar(w http.ResponseWriter, r *http.Request) error {
	overdue, today, later, err := s.shop.Desk.Agenda(r.Context())
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	all := append(append(overdue, today...), later...)
	return desk.WriteICalendar(w, s.shop.Name(), all, s.shop.Now())
}

func (s *calendarPages) newFeedAddress(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.shop.Desk.NewFeedKey(r.Context()); err != nil {
		return err
	}
	http.Redirect(w, r, "/calendar?renewed=1#subscribe", http.StatusSeeOther)
	return nil
}

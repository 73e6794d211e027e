package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/web/pages/ear"
	"midcase/timing"
)

// hearing serves the page on which a movement is heard. It keeps the latest analyses,
// so that looking at a page again does not read the sound again.
type hearing struct {
	*Server
	mu   sync.Mutex
	kept map[string]timing.Analysis
}

// hearings is how many analyses are kept at most.
const hearings = 16

func (s *Server) ear(mux *http.ServeMux) {
	h := &hearing{Server: s, kept: map[string]timing.Analysis{}}
	mux.Handle("GET /watches/{id}/ear", s.page(h.show))
	mux.Handle("POST /watches/{id}/ear", s.page(h.add))
}

func (h *hearing) data(r *http.Request) (ear.Data, error) {
	ctx := r.Context()
	watch, err := h.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return ear.Data{}, err
	}
	d := ear.Data{Frame: h.frame("stock", "The sound of "+watch.Title), Watch: watch, Values: map[string]string{"by": h.opt.User}}
	c, ok, err := h.shop.Calibre(ctx, watch.ID)
	if err != nil {
		return ear.Data{}, err
	}
	d.Book = "the book does not tell the calibre; 52° is a common default"
	if ok {
		d.Book = fmt.Sprintf("the book, calibre %s: %d beats an hour", c.ID, c.BeatsPerHour)
		d.Values["book_beats"] = strconv.Itoa(c.BeatsPerHour)
		if c.LiftAngleDeg > 0 {
			d.Book += fmt.Sprintf(", %g°", c.LiftAngleDeg)
		}
	}
	return d, h.last(ctx, &d)
}

// last sets the latest recording in force with what was read from it.
func (h *hearing) last(ctx context.Context, d *ear.Data) error {
	log, err := h.shop.Log(ctx, d.Watch.ID)
	if err != nil {
		return err
	}
	file := evidence.Fold(log, h.shop.Now())
	all := evidence.All[*evidence.Recording](file)
	if len(all) == 0 {
		return nil
	}
	rec := all[0]
	a, err := h.again(ctx, rec.Data)
	if err != nil {
		d.Failed = "The latest recording cannot be heard again: " + err.Error() + "."
		return nil
	}
	d.Last = &ear.Reading{Recording: rec.Item.ID, Position: rec.Data.Position, Analysis: a}
	for _, r := range evidence.All[*evidence.Rate](file) {
		if r.Data.Recording == rec.Item.ID {
			d.Last.Rate = r.Item.ID
		}
	}
	if book := d.Values["book_beats"]; book != "" && book != fmt.Sprintf("%.0f", a.BeatsPerHour) {
		d.Last.Says = append(d.Last.Says, fmt.Sprintf("beats %.0f an hour where the book says %s: is it the calibre that it should be?", a.BeatsPerHour, book))
	}
	return nil
}

// again reads a kept recording, or remembers how it was read.
func (h *hearing) again(ctx context.Context, rec *evidence.Recording) (timing.Analysis, error) {
	key := fmt.Sprintf("%s %d %g", rec.Blob, rec.BeatsPerHour, rec.LiftAngleDeg)
	h.mu.Lock()
	a, ok := h.kept[key]
	h.mu.Unlock()
	if ok {
		return a, nil
	}
	a, err := h.shop.HearAgain(ctx, rec)
	if err != nil {
		return a, err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.kept) >= hearings {
		clear(h.kept)
	}
	h.kept[key] = a
	return a, nil
}

func (h *hearing) show(w http.ResponseWriter, r *http.Request) error {
	d, err := h.data(r)
	if err != nil {
		return err
	}
	d.New = r.FormValue("added") != ""
	return ear.Page(d).Render(r.Context(), w)
}

// earFields are the fields of the form, as they come back when something is wrong.
var earFields = []string{"position", "hours_since_wind", "lift_angle_deg", "beats_per_hour", "clock_ppm", "clock_se", "by"}

func (h *hearing) add(w http.ResponseWriter, r *http.Request) error {
	take, problems := takeOf(r)
	file, _, err := r.FormFile("sound")
	switch {
	case errors.Is(err, http.ErrMissingFile), errors.Is(err, http.ErrNotMultipart):
		problems = append(problems, evidence.Problem{Field: "sound", Found: "no sound file was chosen", Want: "a WAV, FLAC or MP3 recording"})
	case err != nil:
		return err
	default:
		defer file.Close()
	}
	if len(problems) > 0 {
		return h.wrong(w, r, problems)
	}
	by := r.FormValue("by")
	if strings.TrimSpace(by) == "" {
		by = h.opt.User
	}
	id := shop.WatchID(r.PathValue("id"))
	heard, err := h.shop.AddRecording(r.Context(), id, file, take, by)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return h.wrong(w, r, invalid.Problems)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(id))+"/ear?added="+url.QueryEscape(string(heard.Rate.ID)), http.StatusSeeOther)
	return nil
}

// wrong shows the page again with what was typed and what is wrong.
func (h *hearing) wrong(w http.ResponseWriter, r *http.Request, problems evidence.Problems) error {
	d, err := h.data(r)
	if err != nil {
		return err
	}
	for _, f := range earFields {
		if v := r.FormValue(f); v != "" {
			d.Values[f] = v
		}
	}
	d.Problems = problems
	w.WriteHeader(http.StatusUnprocessableEntity)
	return ear.Page(d).Render(r.Context(), w)
}

// takeOf reads how a recording was taken from the form.
func takeOf(r *http.Request) (shop.RecordingTake, evidence.Problems) {
	var problems evidence.Problems
	number := func(name string) float64 {
		text := strings.Replace(strings.TrimSpace(r.FormValue(name)), ",", ".", 1)
		if text == "" {
			return 0
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			problems = append(problems, evidence.Problem{Field: name, Found: fmt.Sprintf("%q", text), Want: "a number"})
		}
		return v
	}
	return shop.RecordingTake{Position: r.FormValue("position"), HoursSinceWind: number("hours_since_wind"), LiftAngleDeg: number("lift_angle_deg"),
		BeatsPerHour: number("beats_per_hour"), ClockPPM: number("clock_ppm"), ClockPPMSE: number("clock_se")}, problems
}

// traces reads the latest recording of a file for the report. One that cannot be read
// is left out and logged.
func (s *Server) traces(ctx context.Context, file evidence.File) []document.Trace {
	for _, r := range evidence.All[*evidence.Recording](file) {
		a, err := s.shop.HearAgain(ctx, r.Data)
		if err != nil {
			s.opt.Log.Warn("recording left out of a report", "blob", r.Data.Blob, "error", err)
			continue
		}
		return []document.Trace{{Recording: r.Item.ID, Position: r.Data.Position, Analysis: a}}
	}
	return nil
}

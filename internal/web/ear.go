package web

import (
	"context"
	"errors"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"sync"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/ear"
	"midcase/opinion"
	"midcase/timing"
)

// hearing serves the page on which a movement is heard. It keeps the latest analyses,
// so that looking at a page again does not read the sound again.
type hearing struct {
	*site
	mu   sync.Mutex
	kept map[string]timing.Analysis
}

func newHearing(s *site) *hearing { return &hearing{site: s, kept: map[string]timing.Analysis{}} }

// hearings is how many analyses are kept at most.
const hearings = 16

func (h *hearing) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/ear", h.page(h.show))
	mux.Handle("POST /watches/{id}/ear", h.page(h.add))
	mux.Handle("GET /watches/{id}/recordings/{item}", h.page(h.play))
	mux.Handle("GET /ear/clocks", h.page(h.clockPage))
	mux.Handle("POST /ear/clocks", h.page(h.changeClocks))
}

func (h *hearing) data(r *http.Request) (ear.Data, error) {
	ctx := r.Context()
	watch, err := h.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return ear.Data{}, err
	}
	d := ear.Data{Frame: h.frame("stock", "The sound of "+watch.Title), Watch: watch,
		Values: map[string]string{"by": h.who(r)}}
	c, ok, err := h.shop.Intake.Calibre(ctx, watch.ID)
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
	if d.Recorders, err = h.shop.Intake.Recorders(ctx); err != nil {
		return ear.Data{}, err
	}
	d.Values["recorder"] = intake.NoRecorder
	for _, r := range d.Recorders {
		if r.Usual {
			d.Values["recorder"] = r.Name
		}
	}
	o, file, err := h.shop.OpinionOn(ctx, watch.ID, h.shop.Now(), opinion.Settings{})
	if err != nil {
		return ear.Data{}, err
	}
	d.Running = o.Running
	if err := beforeAfter(r, file, &d); err != nil {
		return ear.Data{}, err
	}
	return d, h.last(ctx, &d, file, r.FormValue("recording"))
}

// beforeAfter sets the running before and after what was asked for: a piece of work, a day,
// else the latest service.
func beforeAfter(r *http.Request, file evidence.File, d *ear.Data) error {
	d.Works, d.Change = opinion.Works(file), d.Running.Service
	d.Since, d.SinceWork = r.FormValue("since"), r.FormValue("work")
	asked := d.Since != "" || d.SinceWork != ""
	var c opinion.ServiceChange
	ok := false
	switch {
	case d.Since != "":
		day, err := time.Parse(time.DateOnly, d.Since)
		if err != nil {
			return &shop.Invalid{What: "before and after a day", Problems: evidence.Problems{{Field: "since",
				Found: fmt.Sprintf("%q", d.Since), Want: "a day such as 2026-05-20"}}}
		}
		c, ok = opinion.SinceDay(file, day)
	case d.SinceWork != "":
		for _, w := range d.Works {
			if string(w.Item.ID) == d.SinceWork {
				c, ok = opinion.SinceWork(file, w)
			}
		}
	}
	if ok {
		d.Change = &c
	} else if asked {
		d.Change, d.NoChange = nil, true
	}
	return nil
}

// last sets the recording asked for, else the latest in force, with what was read from
// it, and lists the others.
func (h *hearing) last(ctx context.Context, d *ear.Data, file evidence.File, asked string) error {
	all := evidence.All[*evidence.Recording](file)
	if len(all) == 0 {
		return nil
	}
	rec := all[0]
	for _, r := range all {
		d.Kept = append(d.Kept, ear.Kept{ID: r.Item.ID, At: r.Item.At, Position: r.Data.Position,
			Seconds: r.Data.Seconds, Hours: r.Data.HoursSinceWind})
		if string(r.Item.ID) == asked {
			rec = r
			d.Asked = r.Item.ID != all[0].Item.ID
		}
	}
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
		d.Last.Says = append(d.Last.Says,
			fmt.Sprintf("beats %.0f an hour where the book says %s: is it the calibre that it should be?",
				a.BeatsPerHour, book))
	}
	return nil
}

// again reads a kept recording, or remembers how it was read.
func (h *hearing) again(ctx context.Context, rec *evidence.Recording) (timing.Analysis, error) {
	key := fmt.Sprintf("%s %d %g %g %g", rec.Blob, rec.BeatsPerHour, rec.LiftAngleDeg, rec.ClockPPM, rec.ClockPPMSE)
	h.mu.Lock()
	a, ok := h.kept[key]
	h.mu.Unlock()
	if ok {
		return a, nil
	}
	a, err := h.shop.Intake.HearAgain(ctx, rec)
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
var earFields = []string{"position", "hours_since_wind", "lift_angle_deg", "beats_per_hour", "recorder", "clock_ppm",
	"clock_se", "by"}

// soundFile is the sound that a form brings. Where it brings none it is nil and a problem.
func soundFile(r *http.Request, want string) (multipart.File, evidence.Problems, error) {
	file, _, err := r.FormFile("sound")
	switch {
	case errors.Is(err, http.ErrMissingFile), errors.Is(err, http.ErrNotMultipart):
		return nil, evidence.Problems{{Field: "sound", Found: "no sound file was chosen", Want: want}}, nil
	case err != nil:
		return nil, nil, err
	}
	return file, nil, nil
}

func (h *hearing) add(w http.ResponseWriter, r *http.Request) error {
	take, problems := takeOf(r)
	file, missing, err := soundFile(r, "a WAV, FLAC or MP3 recording")
	if err != nil {
		return err
	}
	if file != nil {
		defer file.Close()
	}
	if problems = append(problems, missing...); len(problems) > 0 {
		return h.wrong(w, r, problems)
	}
	id := shop.WatchID(r.PathValue("id"))
	heard, err := h.shop.Intake.AddRecording(r.Context(), id, file, take, h.who(r))
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return h.wrong(w, r, invalid.Problems)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(id))+"/ear?added="+url.QueryEscape(string(heard.Rate.ID)),
		http.StatusSeeOther)
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
func takeOf(r *http.Request) (intake.Take, evidence.Problems) {
	var problems evidence.Problems
	number := func(name string) float64 {
		v, more := formNumber(r, name)
		problems = append(problems, more...)
		return v
	}
	return intake.Take{Position: r.FormValue("position"), HoursSinceWind: number("hours_since_wind"),
		LiftAngleDeg: number("lift_angle_deg"),
		BeatsPerHour: number("beats_per_hour"), ClockPPM: number("clock_ppm"), ClockPPMSE: number("clock_se"), Recorder: r.FormValue("recorder")}, problems
}

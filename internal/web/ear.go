package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"sync"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/ear"
	"midcase/internal/web/pages/wording"
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

func (h *hearing) data(r *http.Request) (ear.Data, *form.Form[earForm], error) {
	ctx := r.Context()
	watch, err := h.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return ear.Data{}, nil, err
	}
	d := ear.Data{Frame: h.frame("stock", "The sound of "+watch.Title), Watch: watch}
	if d.Recorders, err = h.shop.Intake.Recorders(ctx); err != nil {
		return d, nil, err
	}
	f := hearingForm.Of(ctx, earForm{earTaken{Recorder: intake.NoRecorder}, earSound{By: h.who(r)}})
	for _, x := range d.Recorders {
		if x.Usual {
			f.V.Recorder = x.Name
			f.Show(&f.V.Recorder)
		}
	}
	if err := h.fromBook(ctx, f, &d); err != nil {
		return d, nil, err
	}
	o, file, err := h.shop.OpinionOn(ctx, watch.ID, h.shop.Now(), opinion.Settings{})
	if err != nil {
		return d, nil, err
	}
	d.Running = o.Running
	if err := beforeAfter(r, file, &d); err != nil {
		return d, nil, err
	}
	return d, f, h.last(ctx, &d, file, r.FormValue("recording"))
}

// fromBook offers the recorders, and says what the book has of the movement.
func (h *hearing) fromBook(ctx context.Context, f *form.Form[earForm], d *ear.Data) error {
	f.Offer(&f.V.Recorder, ear.RecorderOptions(ctx, d.Recorders)...)
	c, ok, err := h.shop.Intake.Calibre(ctx, d.Watch.ID)
	if err != nil {
		return err
	}
	lift, beats := f.Field(&f.V.Lift), f.Field(&f.V.Beats)
	if !ok {
		lift.Hint, beats.Hint = "leave empty for 52°, a common value", "leave empty to find it from the sound"
		return nil
	}
	d.BookBeats = c.BeatsPerHour
	lift.Hint = fmt.Sprintf("leave empty for 52°, a common value; calibre %s has none in the book", c.ID)
	if c.LiftAngleDeg > 0 {
		lift.Hint = fmt.Sprintf("leave empty for %s° of calibre %s in the book", wording.ReaderOf(ctx).Locale.Digits(strconv.FormatFloat(c.LiftAngleDeg, 'f', -1, 64)), c.ID)
	}
	beats.Hint = fmt.Sprintf("leave empty for %s of calibre %s in the book", wording.Count(ctx, c.BeatsPerHour), c.ID)
	return nil
}

// beforeAfter sets the running before and after what was asked for: a piece of work, a day, else the latest
// service.
func beforeAfter(r *http.Request, file evidence.File, d *ear.Data) error {
	f, err := comparingRuns.Read(r, runsForm{})
	if err != nil {
		return err
	}
	works := opinion.Works(file)
	d.Compare, d.Change = &f.View, d.Running.Service
	if len(works) == 0 {
		f.Drop(&f.V.Work)
	} else {
		f.Offer(&f.V.Work, ear.WorkOptions(r.Context(), works)...)
	}
	if !f.OK() {
		d.Change = nil
		return nil
	}
	var c opinion.ServiceChange
	ok := false
	switch {
	case f.V.Since != "":
		day, err := time.Parse(time.DateOnly, f.V.Since)
		if err != nil {
			return err
		}
		c, ok = opinion.SinceDay(file, day)
		d.Since = f.V.Since
	case f.V.Work != "":
		for _, w := range works {
			if string(w.Item.ID) == f.V.Work {
				c, ok = opinion.SinceWork(file, w)
			}
		}
	default:
		return nil
	}
	d.Change, d.NoChange = nil, !ok
	if ok {
		d.Change = &c
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
	if book := d.BookBeats; book != 0 && fmt.Sprint(book) != fmt.Sprintf("%.0f", a.BeatsPerHour) {
		d.Last.Says = append(d.Last.Says,
			fmt.Sprintf("%s beats per hour; the book gives %s. Check that the calibre is the right one.",
				wording.Fixed(ctx, a.BeatsPerHour, 0), wording.Count(ctx, book)))
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
	d, f, err := h.data(r)
	if err != nil {
		return err
	}
	d.New = r.FormValue("added") != ""
	return showEar(w, r, d, f)
}

// showEar shows the page with what is wrong in its forms.
func showEar(w http.ResponseWriter, r *http.Request, d ear.Data, f *form.Form[earForm]) error {
	d.Form, d.Taken, d.Sound = &f.View, f.Part(&f.V.earTaken), f.Part(&f.V.earSound)
	if !f.OK() || !d.Compare.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return ear.Page(d).Render(r.Context(), w)
}

func (h *hearing) add(w http.ResponseWriter, r *http.Request) error {
	ctx, id := r.Context(), shop.WatchID(r.PathValue("id"))
	f, err := hearingForm.Read(r, earForm{})
	if err != nil {
		return err
	}
	var heard intake.Heard
	if f.OK() {
		heard, err = h.hear(ctx, id, f.V, h.who(r))
	}
	if f.Refused(err, map[string]string{"recording": "sound"}) || !f.OK() {
		d, _, err := h.data(r)
		if err != nil {
			return err
		}
		if err := h.fromBook(ctx, f, &d); err != nil {
			return err
		}
		return showEar(w, r, d, f)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(id))+"/ear?added="+url.QueryEscape(string(heard.Rate.ID)),
		http.StatusSeeOther)
	return nil
}

func (h *hearing) hear(ctx context.Context, id shop.WatchID, v earForm, by string) (intake.Heard, error) {
	file, err := v.Sound.Open()
	if err != nil {
		return intake.Heard{}, fmt.Errorf("sound file: %w", err)
	}
	defer file.Close()
	return h.shop.Intake.AddRecording(ctx, id, file, intake.Take{Position: v.Position, HoursSinceWind: v.Hours,
		LiftAngleDeg: v.Lift, BeatsPerHour: v.Beats, ClockPPM: v.PPM, ClockPPMSE: v.SE, Recorder: v.Recorder}, by)
}

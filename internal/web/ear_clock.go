package web

import (
	"fmt"
	"net/http"
	"net/url"

	"midcase/internal/shop/intake"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/ear"
	"midcase/timing"
)

// usualReference is how far a quartz watch may be off, in parts in a million.
const usualReference = 4

// clockForms are the two forms of the page of clocks.
type clockForms struct {
	measure *form.Form[clockForm]
	figures *form.Form[clockFigures]
}

// clockPage lists the recorders whose clocks were measured, and takes a new measurement.
func (h *hearing) clockPage(w http.ResponseWriter, r *http.Request) error {
	return h.showClocks(w, r, clockForms{})
}

func (h *hearing) showClocks(w http.ResponseWriter, r *http.Request, f clockForms) error {
	ctx := r.Context()
	all, err := h.shop.Intake.Recorders(ctx)
	if err != nil {
		return err
	}
	if f.measure == nil {
		f.measure = measuringClock.Of(ctx, clockForm{clockMeasured: clockMeasured{Reference: usualReference}})
	}
	if f.figures == nil {
		f.figures = typingClock.Of(ctx, clockFigures{})
	}
	if !f.measure.OK() || !f.figures.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return ear.ClockPage(ear.ClockData{Frame: h.frame("settings", "Recorder clocks"), Recorders: all,
		Watch: r.FormValue("watch"), Said: r.FormValue("kept"), Measure: &f.measure.View,
		Measured: f.measure.Part(&f.measure.V.clockMeasured), Sound: f.measure.Field(&f.measure.V.Sound),
		Figures: &f.figures.View}).Render(ctx, w)
}

// changeClocks does what the button pressed says: measure, type, usual or forget.
func (h *hearing) changeClocks(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	name, f := r.FormValue("recorder"), clockForms{}
	var err error
	switch r.FormValue("do") {
	case "usual":
		err = h.shop.Intake.UsualRecorder(ctx, name)
	case "forget":
		err = h.shop.Intake.ForgetRecorder(ctx, name)
		name = ""
	case "type":
		if f.figures, err = typingClock.Read(r, clockFigures{}); err == nil && f.figures.OK() {
			err = h.setClock(r, f.figures.V)
		}
		if err != nil && f.figures != nil && f.figures.Refused(err, map[string]string{"se": "half"}) {
			err = nil
		}
	default:
		if f.measure, err = measuringClock.Read(r, clockForm{}); err == nil && f.measure.OK() {
			err = h.measureClock(r, f.measure.V)
		}
		if err != nil && f.measure != nil && f.measure.Refused(err, nil) {
			err = nil
		}
	}
	if err != nil {
		return err
	}
	if f.measure != nil && !f.measure.OK() || f.figures != nil && !f.figures.OK() {
		return h.showClocks(w, r, f)
	}
	q := url.Values{}
	if name != "" {
		q.Set("kept", name)
	}
	if watch := r.FormValue("watch"); watch != "" {
		q.Set("watch", watch)
	}
	http.Redirect(w, r, "/ear/clocks?"+q.Encode(), http.StatusSeeOther)
	return nil
}

func (h *hearing) measureClock(r *http.Request, v clockForm) error {
	file, err := v.Sound.Open()
	if err != nil {
		return fmt.Errorf("sound file: %w", err)
	}
	defer file.Close()
	_, _, err = h.shop.Intake.MeasureRecorder(r.Context(), v.Recorder, file, v.Reference, h.who(r))
	return err
}

// setClock keeps figures measured elsewhere, such as by the command line.
func (h *hearing) setClock(r *http.Request, v clockFigures) error {
	return h.shop.Intake.SetRecorder(r.Context(), intake.Recorder{Name: v.Recorder, PPM: v.PPM,
		SE: v.Half / (timing.Figure{SE: 1}).Half(), By: h.who(r)})
}

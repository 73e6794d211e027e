package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/ear"
	"midcase/internal/web/pages/wording"
	"midcase/say"
	"midcase/timing"
)

// clockPage lists the recorders whose clocks were measured, and takes a new measurement.
func (h *hearing) clockPage(w http.ResponseWriter, r *http.Request) error {
	d, err := h.clockData(r)
	if err != nil {
		return err
	}
	return ear.ClockPage(d).Render(r.Context(), w)
}

func (h *hearing) clockData(r *http.Request) (ear.ClockData, error) {
	all, err := h.shop.Intake.Recorders(r.Context())
	if err != nil {
		return ear.ClockData{}, err
	}
	d := ear.ClockData{Frame: h.frame("settings", "Clocks of the recorders"), Recorders: all,
		Values: map[string]string{"reference": "4"}, Watch: r.FormValue("watch"), Said: r.FormValue("kept")}
	return d, nil
}

// changeClocks does what the button pressed says: measure, type, usual or forget.
func (h *hearing) changeClocks(w http.ResponseWriter, r *http.Request) error {
	name := strings.TrimSpace(r.FormValue("recorder"))
	var err error
	switch r.FormValue("do") {
	case "usual":
		err = h.shop.Intake.UsualRecorder(r.Context(), name)
	case "forget":
		err = h.shop.Intake.ForgetRecorder(r.Context(), name)
		name = ""
	case "type":
		err = h.typeClock(r, name)
	default:
		err = h.measureClock(r, name)
	}
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return h.clockWrong(w, r, invalid.Problems)
	}
	if err != nil {
		return err
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

func (h *hearing) measureClock(r *http.Request, name string) error {
	reference, problems := formNumber(r, "reference")
	file, missing, err := soundFile(r, "a WAV, FLAC or MP3 recording of a quartz watch or time pips")
	if err != nil {
		return err
	}
	if file != nil {
		defer file.Close()
	}
	if problems = append(problems, missing...); len(problems) > 0 {
		return &shop.Invalid{What: "measure a recorder's clock", Problems: problems}
	}
	_, _, err = h.shop.Intake.MeasureRecorder(r.Context(), name, file, reference, h.who(r))
	return err
}

// typeClock keeps figures measured elsewhere, such as by the command line. What is
// typed is half the 90 % range, as pages and commands state it.
func (h *hearing) typeClock(r *http.Request, name string) error {
	ppm, problems := formNumber(r, "ppm")
	half, more := formNumber(r, "half")
	if problems = append(problems, more...); len(problems) > 0 {
		return &shop.Invalid{What: "type a recorder's clock", Problems: problems}
	}
	return h.shop.Intake.SetRecorder(r.Context(), intake.Recorder{Name: name, PPM: ppm,
		SE: half / (timing.Figure{SE: 1}).Half(), By: h.who(r)})
}

func (h *hearing) clockWrong(w http.ResponseWriter, r *http.Request, problems evidence.Problems) error {
	d, err := h.clockData(r)
	if err != nil {
		return err
	}
	d.Problems = problems
	for _, f := range []string{"recorder", "reference", "ppm", "half", "do"} {
		if v := r.FormValue(f); v != "" {
			d.Values[f] = v
		}
	}
	w.WriteHeader(http.StatusUnprocessableEntity)
	return ear.ClockPage(d).Render(r.Context(), w)
}

// formNumber reads a number in the reader's form; an empty field is 0.
func formNumber(r *http.Request, name string) (float64, evidence.Problems) {
	typed := strings.TrimSpace(r.FormValue(name))
	if typed == "" {
		return 0, nil
	}
	text, err := wording.ReaderOf(r.Context()).Locale.ReadMeasure(typed)
	v := 0.0
	if err == nil {
		v, err = strconv.ParseFloat(text, 64)
	}
	if errors.Is(err, say.ErrTwoWays) {
		return 0, evidence.Problems{{Field: name, Found: err.Error(), Want: "a number that reads one way"}}
	}
	if err != nil {
		return 0, evidence.Problems{{Field: name, Found: fmt.Sprintf("%q", typed), Want: "a number"}}
	}
	return v, nil
}

package opinion

import (
	"strings"
	"time"

	"midcase/evidence"
	"midcase/timing"
)

// ServiceChange is the running before something was done to the watch beside the
// running after.
type ServiceChange struct {
	What     string        `json:"what"`           // "service", or "day" where a day was asked for
	By       string        `json:"by,omitempty"`   // who did it
	Date     string        `json:"date,omitempty"` // when, EDTF
	Work     evidence.ID   `json:"work,omitempty"` // the item that records it
	Before   []string      `json:"before"`         // days of the readings, first and last, ISO 8601
	After    []string      `json:"after"`          // the same
	Compared timing.Change `json:"compared"`
	Basis    []Basis       `json:"basis,omitempty"`
}

// Works lists the work on record that may have changed the running, latest first.
// Estimates and other work that touches nothing do not count.
func Works(file evidence.File) []evidence.Entry[*evidence.Work] {
	var out []evidence.Entry[*evidence.Work]
	for _, w := range evidence.All[*evidence.Work](file) {
		if strings.Contains(strings.ToLower(w.Data.What), "estimate") {
			continue
		}
		out = append(out, w)
	}
	return out
}

// isService tells a service from other work.
func isService(w *evidence.Work) bool { return strings.Contains(strings.ToLower(w.What), "service") }

// side says whether a reading was taken before (-1) or after (+1) the work, and 0 where
// the date of the work is too vague to tell. On the day itself, and where no date is
// given, the order of recording decides.
func workSide(w evidence.Entry[*evidence.Work], r evidence.Item) int {
	first, ok1 := w.Data.Date.First()
	last, ok2 := w.Data.Date.Last()
	recorded := -1
	if r.At.After(w.Item.At) {
		recorded = 1
	}
	if w.Data.Date.IsZero() || !ok1 || !ok2 {
		return recorded
	}
	day := r.At.UTC().Truncate(24 * time.Hour)
	switch {
	case day.Before(first):
		return -1
	case day.After(last):
		return 1
	}
	written := w.Item.At.UTC().Truncate(24 * time.Hour)
	if written.Before(first) || written.After(last) {
		return 0
	}
	return recorded
}

// SinceWork sets the running before a piece of work beside that after it; ok is false
// where no position was read on both sides.
func SinceWork(file evidence.File, w evidence.Entry[*evidence.Work]) (ServiceChange, bool) {
	out := ServiceChange{What: w.Data.What, By: w.Data.By, Date: w.Data.Date.String(), Work: w.Item.ID,
		Basis: fromEvidence(w.Item.ID)}
	return out, out.fill(file, func(r evidence.Item) int { return workSide(w, r) })
}

// SinceDay sets the running before a day beside that from this day on.
func SinceDay(file evidence.File, day time.Time) (ServiceChange, bool) {
	out := ServiceChange{What: "day", Date: day.Format(time.DateOnly)}
	return out, out.fill(file, func(r evidence.Item) int {
		if r.At.Before(day) {
			return -1
		}
		return 1
	})
}

// fill compares the latest reading of each position on either side.
func (c *ServiceChange) fill(file evidence.File, side func(evidence.Item) int) bool {
	var before, after []timing.PositionReading
	var days [2][]string
	seen := map[[3]any]bool{}
	for _, r := range evidence.All[*evidence.Rate](file) {
		s := side(r.Item)
		key := [3]any{s, r.Data.Position, dayLater(r.Data)}
		if s == 0 || seen[key] {
			continue
		}
		seen[key] = true
		day := r.Item.At.Format(time.DateOnly)
		if s < 0 {
			before, days[0] = append(before, readingOf(r)), append(days[0], day)
		} else {
			after, days[1] = append(after, readingOf(r)), append(days[1], day)
		}
		c.Basis = append(c.Basis, fromEvidence(r.Item.ID)...)
	}
	compared, err := timing.Compare(before, after, timing.CommonPractice())
	if err != nil {
		return false
	}
	c.Before, c.After, c.Compared = ends(days[0]), ends(days[1]), compared
	return true
}

// dayLater says whether a reading belongs to the state a day after winding.
func dayLater(r *evidence.Rate) bool { return r.HoursSinceWind >= timing.CommonPractice().RunDownFrom }

// ends are the first and last of some days, one where they are the same.
func ends(days []string) []string {
	lo, hi := days[0], days[0]
	for _, d := range days {
		lo, hi = min(lo, d), max(hi, d)
	}
	if lo == hi {
		return []string{lo}
	}
	return []string{lo, hi}
}

// readingOf translates a reading. One by sound whose clock was not corrected bears the
// common term, also where it was recorded before that was kept.
func readingOf(r evidence.Entry[*evidence.Rate]) timing.PositionReading {
	d := r.Data
	out := timing.PositionReading{ID: string(r.Item.ID), Position: d.Position, SecPerDay: d.SecPerDay,
		AmplitudeDeg: d.AmplitudeDeg, BeatErrorMS: d.BeatErrorMS,
		HoursSinceWind: d.HoursSinceWind, SecPerDaySE: d.SecPerDaySE, AmplitudeDegSE: d.AmplitudeDegSE, BeatErrorMSSE: d.BeatErrorMSSE, ClockSE: d.ClockSE, Clock: d.Clock}
	if d.ClockSE == 0 && d.Recording != "" && strings.Contains(d.Instrument, "clock not corrected") {
		out.ClockSE = timing.Options{}.Term().SE
	}
	return out
}

// sinceService is the change over the latest service with readings on both sides, and
// the readings that stand: those before it no longer do.
func (f *forming) sinceService(out *Running) (stands func(evidence.Item) bool) {
	stands = func(evidence.Item) bool { return true }
	for _, w := range Works(f.file) {
		if !isService(w.Data) {
			continue
		}
		if c, ok := SinceWork(f.file, w); ok {
			out.Service = &c
		}
		for _, r := range evidence.All[*evidence.Rate](f.file) {
			if workSide(w, r.Item) > 0 { // timed since
				return func(it evidence.Item) bool { return workSide(w, it) >= 0 }
			}
		}
		return stands
	}
	return stands
}

package cli

import (
	"fmt"
	"strings"
	"time"

	"midcase/internal/shop/intake"
	"midcase/opinion"
	"midcase/timing"
)

// recorder is the clock that the shop has measured of the recorder named.
func (c timingAnalyseCmd) recorder(a *app) (ppm, se float64, err error) {
	s, err := a.open(false)
	if err != nil {
		return 0, 0, err
	}
	defer s.close()
	all, err := s.Intake.Recorders(a.ctx)
	if err != nil {
		return 0, 0, err
	}
	var names []string
	for _, r := range all {
		if strings.EqualFold(r.Name, c.Recorder) {
			return r.PPM, r.SE, nil
		}
		names = append(names, r.Name)
	}
	if len(names) == 0 {
		return 0, 0, wrong("recorder %q: the shop has measured no recorder's clock; measure one by 'timing clock FILE --keep NAME'", c.Recorder)
	}
	return 0, 0, wrong("recorder %q: want one of %s", c.Recorder, strings.Join(names, ", "))
}

// keep keeps the clock in the shop's settings.
func (c timingClockCmd) keep(a *app, r timing.ClockReading) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	return s.Intake.SetRecorder(a.ctx, intake.Recorder{Name: c.Keep, PPM: r.PPM, SE: r.SE, Seconds: r.Seconds,
		By: user(c.By)})
}

type timingClocksCmd struct {
	Usual  string `help:"Take this recorder where a recording names none." placeholder:"NAME" xor:"do"`
	Forget string `help:"Take this recorder off the list." placeholder:"NAME" xor:"do"`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run lists the recorders, after a change where one was asked for.
func (c timingClocksCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	switch {
	case c.Forget != "":
		err = s.Intake.ForgetRecorder(a.ctx, c.Forget)
	case c.Usual != "":
		err = s.Intake.UsualRecorder(a.ctx, c.Usual)
	}
	if err != nil {
		return err
	}
	all, err := s.Intake.Recorders(a.ctx)
	if err != nil {
		return err
	}
	if c.JSON {
		if all == nil {
			all = []intake.Recorder{}
		}
		return a.printJSON(all)
	}
	if len(all) == 0 {
		_, err := fmt.Fprintf(a.out, "No recorder's clock measured yet; rates from sound are assumed ± %.1f s/day for it. Measure one with 'timing clock FILE --keep NAME'.\n", timing.UncorrectedPPM*timing.PPMToSecPerDay)
		return err
	}
	rows := [][]string{{"RECORDER", "FAST BY, PPM", "S/D", "MEASURED", ""}}
	for _, r := range all {
		usual := ""
		if r.Usual {
			usual = "usual"
		}
		rows = append(rows, []string{r.Name, fmt.Sprintf("%+.1f ± %.1f", r.PPM, timing.Figure{SE: r.SE}.Half()),
			fmt.Sprintf("%+.2f", r.PPM*timing.PPMToSecPerDay), r.Measured, usual})
	}
	return a.table(rows)
}

type timingChangeCmd struct {
	subjectFlags
	Since string `help:"Compare before and from this day on; default the latest service on record." placeholder:"2026-05-20"`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run prints the running before and after.
func (c timingChangeCmd) Run(a *app) error {
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	defer s.close()
	change := s.opinion.Running.Service
	if c.Since != "" {
		day, err := time.Parse(time.DateOnly, c.Since)
		if err != nil {
			return wrong("day %q: want a day such as 2026-05-20", c.Since)
		}
		if got, ok := opinion.SinceDay(s.file, day); ok {
			change = &got
		} else {
			return fmt.Errorf("no position was timed both before %s and from that day on", c.Since)
		}
	}
	if c.JSON {
		return a.printJSON(change)
	}
	if change == nil {
		_, err := fmt.Fprintln(a.out,
			"No position was timed both before and after a service on record. Give --since DAY for another day.")
		return err
	}
	return a.printChange(*change)
}

func (a *app) printChange(c opinion.ServiceChange) error {
	title := "Before " + c.Date + " and from then on"
	if c.What != "day" {
		title = "Before and after the " + c.What
		if c.Date != "" {
			title += " of " + c.Date
		}
	}
	fmt.Fprintf(a.out, "%s: read on %s and on %s.\n\n", title, strings.Join(c.Before, " to "),
		strings.Join(c.After, " to "))
	rows := [][]string{{"POSITION", "RATE, S/D", "CHANGE", "AMPLITUDE, °", "CHANGE", "BEAT ERROR, MS", "CHANGE"}}
	add := func(name string, r timing.ChangeRow) {
		cells := []string{name}
		for i, s := range []*timing.Step{r.Rate, r.Amplitude, r.BeatError} {
			if s == nil {
				cells = append(cells, "–", "–")
				continue
			}
			f := []string{"%+.1f to %+.1f", "%.0f to %.0f", "%.1f to %.1f"}[i]
			if name == "Greatest difference" {
				f = "%.1f to %.1f"
			}
			cells = append(cells, fmt.Sprintf(f, s.Before.Value, s.After.Value), figureWords("%+.*f", s.Change, ""))
		}
		rows = append(rows, cells)
	}
	for _, r := range c.Compared.Rows {
		name := r.Position
		if r.DayLater {
			name += ", a day later"
		}
		add(name, r)
	}
	add("Mean, wound", c.Compared.Mean)
	if c.Compared.Delta != nil {
		add("Greatest difference", timing.ChangeRow{Rate: c.Compared.Delta})
	}
	if err := a.table(rows); err != nil {
		return err
	}
	fmt.Fprintln(a.out, "\nWhat follows ± is half the 90 % range.")
	for _, s := range c.Compared.Says {
		fmt.Fprintf(a.out, "- %s\n", s)
	}
	return nil
}

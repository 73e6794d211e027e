package cli

import (
	"fmt"
	"strings"
	"time"

	"midcase/internal/shop/intake"
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

// recorder is the clock that the shop has measured of the recorder named.
func (c timingAnalyseCmd) recorder(a *app) (ppm, se float64, err error) {
	s, err := a.hold(a.open(false))
	if err != nil {
		return 0, 0, err
	}
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
		return 0, 0, wrong("--recorder: the shop has not measured the clock of “%s”. Measure it with 'midcase timing clock FILE --keep NAME'", c.Recorder)
	}
	return 0, 0, misuse{fmt.Errorf("--recorder: %w", unlisted("measured recorder", c.Recorder, names))}
}

// keep saves the clock in the shop's settings.
func (c timingClockCmd) keep(a *app, r timing.ClockReading) error {
	s, err := a.hold(a.open(false))
	if err != nil {
		return err
	}
	return s.Intake.SetRecorder(a.ctx, intake.Recorder{Name: c.Keep, PPM: r.PPM, SE: r.SE, Seconds: r.Seconds,
		By: c.who()})
}

type timingClocksCmd struct {
	table
	Usual  string `help:"Use this recorder for recordings that name none." placeholder:"NAME" xor:"do"`
	Forget string `help:"Remove this recorder." placeholder:"NAME" xor:"do"`
}

// Run lists the recorders, after a change if one was asked for.
func (c timingClocksCmd) Run(a *app, s *opened) error {
	var err error
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
	none := "No recorder's clock measured yet: rates from sound are taken to be off by up to " +
		figure(timing.UncorrectedPPM*timing.PPMToSecPerDay, 1) + " s/day. Measure one with 'midcase timing clock FILE --keep NAME'."
	return list(a, c.table, all, err, none, "RECORDER|FAST BY|S/DAY|MEASURED|", func(r intake.Recorder) cells {
		usual := ""
		if r.Usual {
			usual = "usual"
		}
		return cells{r.Name, partsInAMillion(r.PPM, r.SE), plus(r.PPM*timing.PPMToSecPerDay, 2), r.Measured, usual}
	})
}

type timingChangeCmd struct {
	subjectFlags
	output
	Since string `help:"Compare before this day and from it on (default: before and after the latest service)." placeholder:"2026-05-20"`
}

// Run prints the running before and after.
func (c timingChangeCmd) Run(a *app) error {
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	change := s.opinion.Running.Service
	if c.Since != "" {
		day, err := time.Parse(time.DateOnly, c.Since)
		if err != nil {
			return misuse{notADay(c.Since)}
		}
		got, ok := opinion.SinceDay(s.file, day)
		if !ok {
			return fmt.Errorf("no position was timed both before %s and from that day on", c.Since)
		}
		change = &got
	}
	return c.print(a, change, nil, func() error {
		if change == nil {
			_, err := fmt.Fprintln(a.out,
				"No position was timed both before and after a service. Give --since DAY for another day.")
			return err
		}
		return a.printChange(*change)
	})
}

func (a *app) printChange(c opinion.ServiceChange) error {
	title := "Before " + c.Date + " and from then on"
	if c.What != "day" {
		title = "Before and after the " + c.What
		if c.Date != "" {
			title += " of " + c.Date
		}
	}
	fmt.Fprintf(a.out, "%s: timed on %s and on %s.\n\n", title, strings.Join(c.Before, " to "),
		strings.Join(c.After, " to "))
	rows := [][]string{strings.Split("POSITION|RATE, S/DAY|CHANGE|AMPLITUDE, °|CHANGE|BEAT ERROR, MS|CHANGE", "|")}
	for _, r := range c.Compared.Rows {
		name := r.Position
		if r.DayLater {
			name += ", a day later"
		}
		rows = append(rows, changeRow(name, r, plus))
	}
	rows = append(rows, changeRow("Mean, wound", c.Compared.Mean, plus))
	if c.Compared.Delta != nil {
		rows = append(rows, changeRow("Greatest difference", timing.ChangeRow{Rate: c.Compared.Delta}, figure))
	}
	if err := a.table(rows); err != nil {
		return err
	}
	fmt.Fprintln(a.out, "\n± is half the 90 % range.")
	return lines(a, c.Compared.Says)
}

// changeRow is a row of the table; rate writes a rate.
func changeRow(name string, r timing.ChangeRow, rate func(float64, int) string) []string {
	cells := []string{name}
	add := func(s *timing.Step, write func(float64, int) string, decimals int, of func(timing.Figure) say.Measure) {
		if s == nil {
			cells = append(cells, "–", "–")
			return
		}
		change := of(s.Change)
		change.Unit = say.None
		cells = append(cells, write(s.Before.Value, decimals)+" to "+write(s.After.Value, decimals), measure(change))
	}
	add(r.Rate, rate, 1, timing.RateOf)
	add(r.Amplitude, figure, 0, timing.AmplitudeOf)
	add(r.BeatError, figure, 1, timing.BeatErrorOf)
	return cells
}

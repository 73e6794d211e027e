package document

import (
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

// serviceChange is the running before and after the latest service, as blocks of the
// section on running; nothing where the watch was not timed on both sides.
func (w *writer) serviceChange(c *opinion.ServiceChange) []block {
	if c == nil || len(c.Compared.Rows) == 0 {
		return nil
	}
	after, change := w.String(say.That("report.after-column")), w.String(say.That("report.change-column"))
	t := table{caption: w.changeTitle(c), full: true, columns: []column{
		{w.String(say.That("report.position-column")), 46, left},
		{w.String(say.That("report.rate-before-column")), 25, right}, {after, 25, right}, {change, 25, right},
		{w.String(say.That("report.amplitude-before-column")), 29, right}, {after, 20, right}, {change, 24, right},
		{w.String(say.That("report.beat-before-column")), 32, right}, {after, 20, right}, {change, 24, right}}}
	for _, r := range c.Compared.Rows {
		t.rows = append(t.rows, w.changeRow(w.changeName(r), r, w.signed))
	}
	if len(c.Compared.Rows) > 1 {
		t.rows = append(t.rows, w.changeRow(w.String(say.That("report.mean-wound")), c.Compared.Mean, w.signed))
		if d := c.Compared.Delta; d != nil {
			t.rows = append(t.rows, w.changeRow(w.String(say.That("report.greatest-difference")),
				timing.ChangeRow{Rate: d}, w.rounded))
		}
	}
	note := w.String(say.That("report.half-range-of-change"))
	if c.Compared.Unstated {
		note += " " + w.String(say.That("report.usual-error"))
	}
	return []block{t, para{note: true, text: note}}
}

// changeTitle says of which work or day it is before and after, and when was read.
func (t tongue) changeTitle(c *opinion.ServiceChange) string {
	of := t.isoDayWords(c.Date)
	if c.What != "day" {
		of = t.workWords(c.What)
		if c.Date != "" {
			of = t.String(say.That("report.work-of", say.Name("work", of), say.Day("day", c.Date)))
		}
		if c.By != "" {
			of = t.String(say.That("report.work-by", say.Name("work", of), say.Name("by", c.By)))
		}
	}
	return t.told(say.That("report.before-and-after", say.Name("of", of), say.Name("before", t.dayRange(c.Before)),
		say.Name("after", t.dayRange(c.After))))
}

// workWords is a piece of work as a word of the trade, or as it was typed.
func (t tongue) workWords(what string) string {
	work := t.Value(say.Noun{Set: "work", ID: underscores(what), English: what}, "")
	if t.language() == "" {
		return t.String(say.That("report.the-work", say.Name("work", work)))
	}
	return work
}

func (t tongue) dayRange(days []string) string {
	switch len(days) {
	case 0:
		return ""
	case 1:
		return t.isoDayWords(days[0])
	}
	return t.String(say.That("report.from-to", say.Name("low", t.isoDayWords(days[0])),
		say.Name("high", t.isoDayWords(days[1]))))
}

func (t tongue) changeName(r timing.ChangeRow) string {
	s := say.Capital(t.positionWords(r.Position))
	if r.DayLater {
		s += ", " + t.String(say.That("report.a-day-later"))
	}
	return s
}

// changeRow is a row of figures; rate writes the rates, which have a sign unless they are a difference.
func (t tongue) changeRow(name string, r timing.ChangeRow, rate func(float64, int) string) row {
	cells := plain(name)
	add := func(s *timing.Step, write func(float64, int) string, places int, of func(timing.Figure) say.Measure) {
		if s == nil {
			cells = append(cells, plain("–", "–", "–")...)
			return
		}
		change := of(s.Change)
		change.Unit, change.Signed = say.None, true
		cells = append(cells, plain(write(s.Before.Value, places), write(s.After.Value, places),
			t.Value(change, "half"))...)
	}
	add(r.Rate, rate, 1, timing.RateOf)
	add(r.Amplitude, t.rounded, 0, timing.AmplitudeOf)
	add(r.BeatError, t.rounded, 1, timing.BeatErrorOf)
	return row{cells: cells}
}

// statedRate is the rate of a recording with the ± that stands for all of it, and
// what that is made of.
func (t tongue) statedRate(a timing.Analysis) (text, sub string) {
	if a.Rate == nil {
		return t.cannotTell(), ""
	}
	f := *a.Rate
	if a.Stated != nil {
		f = *a.Stated
	}
	return t.Value(timing.RateOf(f), "half"), t.clockWords(*a.Rate, a.Clock)
}

// clockWords says what the ± of a rate is made of.
func (t tongue) clockWords(rate timing.Figure, c *timing.ClockTerm) string {
	if c == nil {
		return ""
	}
	if c.Corrected {
		return t.String(say.That("report.clock-corrected", say.Name("ppm",
			t.within(c.PPM, [2]float64{c.PPM - 1.645*c.PPMSE, c.PPM + 1.645*c.PPMSE}, "", 1))))
	}
	return t.String(say.That("report.clock-not-corrected", say.Fixed("own", rate.Half(), say.None, 1),
		say.Fixed("clock", timing.Figure{SE: c.SE}.Half(), say.None, 1)))
}

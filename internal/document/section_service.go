package document

import (
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

// serviceChange is the running before and after the latest service, as blocks of the
// section on running; nothing where the watch was not timed on both sides.
func serviceChange(c *opinion.ServiceChange) []block {
	if c == nil || len(c.Compared.Rows) == 0 {
		return nil
	}
	t := table{caption: say.Capital(changeTitle(c)), full: true,
		columns: []column{{"Position", 46, left}, {"Rate before, s/day", 25, right}, {"after", 25, right},
			{"Change", 25, right}, {"Amplitude before, °", 29, right}, {"after", 20, right}, {"Change", 24, right},
			{"Beat error before, ms", 32, right}, {"after", 20, right}, {"Change", 24, right}}}
	for _, r := range c.Compared.Rows {
		t.rows = append(t.rows, changeRow(changeName(r), r))
	}
	if len(c.Compared.Rows) > 1 {
		t.rows = append(t.rows, changeRow("Mean, wound", c.Compared.Mean))
		if d := c.Compared.Delta; d != nil {
			t.rows = append(t.rows, changeRow("Greatest difference", timing.ChangeRow{Rate: d}))
		}
	}
	note := "± is half the 90" + nbsp + "% range of the change. Each side uses the latest reading of each position."
	if c.Compared.Unstated {
		note += " A reading without an error of its own is given a usual one."
	}
	return []block{t, para{note: true, text: note}}
}

func changeTitle(c *opinion.ServiceChange) string {
	s := "before and after " + isoDayWords(c.Date)
	if c.What != "day" {
		s = "before and after the " + c.What + after(" of ", isoDayWords(c.Date)) + after(" by ", c.By)
	}
	return s + ", read on " + dayRange(c.Before) + " and on " + dayRange(c.After)
}

func dayRange(days []string) string {
	if len(days) == 0 {
		return ""
	}
	s := isoDayWords(days[0])
	if len(days) > 1 {
		s += " to " + isoDayWords(days[1])
	}
	return s
}

func changeName(r timing.ChangeRow) string {
	s := say.Capital(positionWords(r.Position))
	if r.DayLater {
		s += ", a day after winding"
	}
	return s
}

func changeRow(name string, r timing.ChangeRow) row {
	cells := plain(name)
	rate := signed
	if name == "Greatest difference" {
		rate = rounded
	}
	add := func(s *timing.Step, write func(float64, int) string, places int, of func(timing.Figure) say.Measure) {
		if s == nil {
			cells = append(cells, plain("–", "–", "–")...)
			return
		}
		change := of(s.Change)
		change.Unit, change.Signed = say.None, true
		cells = append(cells, plain(write(s.Before.Value, places), write(s.After.Value, places),
			english.Value(change, "half"))...)
	}
	add(r.Rate, rate, 1, timing.RateOf)
	add(r.Amplitude, rounded, 0, timing.AmplitudeOf)
	add(r.BeatError, rounded, 1, timing.BeatErrorOf)
	return row{cells: cells}
}

// statedRate is the rate of a recording with the ± that stands for all of it, and
// what that is made of.
func statedRate(a timing.Analysis) (text, sub string) {
	if a.Rate == nil {
		return "cannot tell", ""
	}
	f := *a.Rate
	if a.Stated != nil {
		f = *a.Stated
	}
	text = english.Value(timing.RateOf(f), "half")
	return text, clockWords(*a.Rate, a.Clock)
}

// clockWords says what the ± of a rate is made of.
func clockWords(rate timing.Figure, c *timing.ClockTerm) string {
	if c == nil {
		return ""
	}
	own := rate.Half()
	if c.Corrected {
		return "clock corrected by " + within(c.PPM, [2]float64{c.PPM - 1.645*c.PPMSE, c.PPM + 1.645*c.PPMSE},
			"parts in a million", 1)
	}
	return "reading ±" + nbsp + rounded(own,
		1) + ", clock not corrected ±" + nbsp + rounded(timing.Figure{SE: c.SE}.Half(), 1)
}

package ear

import (
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop/intake"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/timing"
)

const half90 = 1.645

// sound is the address of a kept recording.
func sound(d Data, id evidence.ID) string { return back(d) + "/recordings/" + string(id) }

// uncorrected says what stands for a clock that was not measured.
func uncorrected(ctx context.Context) string {
	return fmt.Sprintf("assumed ± %.0f parts in a million (± %s s/day)", timing.UncorrectedPPM,
		wording.Fixed(ctx, timing.UncorrectedPPM*timing.PPMToSecPerDay, 1))
}

func recorderWords(ctx context.Context, r intake.Recorder) string {
	return fmt.Sprintf("%s: fast by %s ± %s parts in a million, measured %s", r.Name,
		wording.SignedValue(ctx, r.PPM, 1), wording.Fixed(ctx, timing.Figure{SE: r.SE}.Half(), 1), isoDay(ctx,
			r.Measured))
}

// RecorderOptions are the recorders whose clocks were measured, and none of them.
func RecorderOptions(ctx context.Context, all []intake.Recorder) []form.Option {
	var out []form.Option
	for _, r := range all {
		out = append(out, form.Option{Value: r.Name, Text: recorderWords(ctx, r)})
	}
	return append(out, form.Option{Value: intake.NoRecorder, Text: "Another recorder, clock not corrected"})
}

// WorkOptions are the pieces of work by which the running can be compared; the first stands for the latest service.
func WorkOptions(ctx context.Context, works []evidence.Entry[*evidence.Work]) []form.Option {
	out := []form.Option{{Value: "", Text: "the latest service"}}
	for _, w := range works {
		out = append(out, form.Option{Value: string(w.Item.ID), Text: workWords(ctx, w)})
	}
	return out
}

func measuredWords(ctx context.Context, r intake.Recorder) string {
	s := r.Measured
	s = isoDay(ctx, s)
	if r.By != "" {
		s += " by " + r.By
	}
	if r.Seconds > 0 {
		s += fmt.Sprintf(", over %.0f s", r.Seconds)
	}
	return s
}

// clockLine says what the ± of the rate is made of.
func clockLine(ctx context.Context, a timing.Analysis) string {
	if a.Rate == nil || a.Clock == nil {
		return ""
	}
	if a.Clock.Corrected {
		return fmt.Sprintf("Rate: clock corrected by %s ± %s parts in a million, in the ± above.",
			wording.SignedValue(ctx, a.Clock.PPM, 1), wording.Fixed(ctx, timing.Figure{SE: a.Clock.PPMSE}.Half(), 1))
	}
	own := a.Rate.Half()
	places := 1
	if own < 0.1 {
		places = 2
	}
	return fmt.Sprintf("Rate: the reading itself ± %s s/day; the recorder's clock, not corrected, ± %s s/day.",
		wording.Fixed(ctx, math.Max(own, math.Pow(10, -float64(places))), places), wording.Fixed(ctx,
			timing.Figure{SE: a.Clock.SE}.Half(), 1))
}

func degrees(v float64) string {
	if v == 0 {
		return "–"
	}
	return fmt.Sprintf("%.0f°", v)
}

func within(ok bool) string {
	if ok {
		return "within"
	}
	return "outside"
}

// regulation lists the figures over positions.
func regulation(ctx context.Context, r opinion.Running) []figure {
	var out []figure
	add := func(name string, v *float64, unit string, places int, plus bool, more string) {
		if v == nil {
			return
		}
		text := wording.Fixed(ctx, *v, places)
		if plus {
			text = wording.SignedValue(ctx, *v, places)
		}
		out = append(out, figure{name, text + unit, more, ""})
	}
	mean := ""
	if r.MeanSE != nil {
		mean = wording.PlusMinus(ctx, *r.MeanSE)
	}
	add("Mean rate", r.Mean, " s/day", 1, true, mean)
	add("Greatest difference", r.Delta, " s/day", 1, false, "")
	add("Vertical minus horizontal", r.VerticalMinusHorizontal, " s/day", 1, true, "")
	add("A day after winding", r.Isochronism, " s/day", 1, true, "against fully wound")
	add("Amplitude", r.Amplitude, "°", 0, false, fmt.Sprintf("lift angle %g°, %s", r.LiftAngleDeg, r.LiftAngleFrom))
	add("Beat error", r.BeatError, " ms", 1, false, "")
	return out
}

// clockNote says how much of the ± of the table is the clock's.
func clockNote(ctx context.Context, r opinion.Running) string {
	most := 0.0
	for _, p := range r.Positions {
		most = math.Max(most, p.ClockSE)
	}
	if most == 0 {
		return ""
	}
	return fmt.Sprintf("What follows ± is half the 90 %% range. The recorder's clock is in it by up to ± %s s/day, which moves all positions alike.", wording.Fixed(ctx, half90*most, 1))
}

func workWords(ctx context.Context, w evidence.Entry[*evidence.Work]) string {
	s := w.Data.What
	if d := w.Data.Date.String(); d != "" {
		s += " of " + d
	} else {
		s += ", recorded " + wording.Day(ctx, w.Item.At.Format(time.DateOnly))
	}
	if w.Data.By != "" {
		s += ", " + w.Data.By
	}
	return s
}

func changeTitle(ctx context.Context, c opinion.ServiceChange) string {
	s := "Before " + isoDay(ctx, c.Date) + " and from then on"
	if c.What != "day" {
		s = "Before and after the " + c.What
		if c.Date != "" {
			s += " of " + isoDay(ctx, c.Date)
		}
		if c.By != "" {
			s += " by " + c.By
		}
	}
	return s + ", read on " + days(ctx, c.Before) + " and on " + days(ctx, c.After) + "."
}

func days(ctx context.Context, of []string) string {
	var out []string
	for _, d := range of {
		out = append(out, isoDay(ctx, d))
	}
	return strings.Join(out, " to ")
}

func isoDay(ctx context.Context, s string) string {
	if _, err := time.Parse(time.DateOnly, s); err == nil {
		return wording.Day(ctx, s)
	}
	return s
}

// namedRow is one row of the table before and after.
type namedRow struct {
	name   string
	row    timing.ChangeRow
	signed bool
}

func changeRows(c timing.Change) []namedRow {
	var out []namedRow
	for _, r := range c.Rows {
		name := PositionWords(r.Position)
		if r.DayLater {
			name += ", a day after winding"
		}
		out = append(out, namedRow{name, r, true})
	}
	if len(out) > 1 && c.Mean.Rate != nil {
		out = append(out, namedRow{"Mean while wound", c.Mean, true})
	}
	if c.Delta != nil {
		out = append(out, namedRow{"Greatest difference", timing.ChangeRow{Rate: c.Delta}, false})
	}
	return out
}

func value(ctx context.Context, v float64, places int, signed bool) string {
	if signed {
		return wording.SignedValue(ctx, v, places)
	}
	return wording.Fixed(ctx, v, places)
}

func changed(ctx context.Context, s timing.Step, places int) string {
	h := s.Change.Half()
	if h < 0.095 && places == 1 {
		places = 2
	}
	v := wording.SignedValue(ctx, s.Change.Value, places)
	if math.Abs(s.Change.Value) < 0.5*math.Pow(10, -float64(places)) {
		v = wording.Fixed(ctx, 0, places)
	}
	return v + "\u00a0±\u00a0" + wording.Fixed(ctx, math.Max(h, math.Pow(10, -float64(places))), places)
}

// rates is the drawing of the rate over positions.
type rates struct {
	narrow        bool
	width, height float64
	foot          float64
	zero, mean    float64
	hasMean       bool
	x             []mark
	rows          []rateRow
}

type rateRow struct {
	name     string
	y, x     float64
	from, to float64
	class    string
}

const rateRows = 14 // at most

func newRates(ctx context.Context, r opinion.Running, narrow bool) rates {
	t := rates{narrow: narrow, width: 760}
	left, step := 190.0, 26.0
	if narrow {
		t.width, left, step = 360, 60, 24
	}
	ps := r.Positions[:min(len(r.Positions), rateRows)]
	lo, hi := 0.0, 0.0
	for _, p := range ps {
		h := half90 * math.Hypot(p.SE, p.ClockSE)
		lo, hi = math.Min(lo, p.SecPerDay-h), math.Max(hi, p.SecPerDay+h)
	}
	room := math.Max(0.06*(hi-lo), 1)
	lo, hi = lo-room, hi+room
	at := func(v float64) float64 { return left + (t.width-left-10)*(v-lo)/(hi-lo) }
	t.foot = 10 + step*float64(len(ps))
	t.height = t.foot + 22
	t.zero = at(0)
	if r.Mean != nil {
		t.mean, t.hasMean = at(*r.Mean), true
	}
	n := 7.0
	if narrow {
		n = 4
	}
	s := plot.Step((hi - lo) / n)
	for k := math.Ceil(lo / s); k*s <= hi; k++ {
		text := "0 s/d"
		if k != 0 {
			text = wording.SignedValue(ctx, k*s, 0)
		}
		t.x = append(t.x, mark{at(k * s), text})
	}
	for i, p := range ps {
		h := half90 * math.Hypot(p.SE, p.ClockSE)
		row := rateRow{name: PositionWords(p.Position), y: 6 + step*(float64(i)+0.5), x: at(p.SecPerDay),
			from: at(p.SecPerDay - h), to: at(p.SecPerDay + h), class: "read"}
		if narrow {
			row.name = p.Position
		}
		if p.HoursSinceWind >= timing.CommonPractice().RunDownFrom {
			row.class = "read later"
		}
		t.rows = append(t.rows, row)
	}
	return t
}

func (t rates) class() string {
	if t.narrow {
		return "chart narrow rates"
	}
	return "chart broad rates"
}

func (t rates) viewBox() string { return fmt.Sprintf("0 0 %.0f %.0f", t.width, t.height) }

func taken(ctx context.Context, k Kept) string { return wording.Day(ctx, k.At.Format(time.DateOnly)) }

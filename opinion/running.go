package opinion

import (
	"midcase/evidence"
	"midcase/say"
	"midcase/timing"
)

const commonLiftAngleDeg = 52 // common default; from memory, range about 38–56°

// running sums up the readings over positions. Where a position was read more than
// once at the same state of wind, the latest reading counts.
func (f *forming) running() {
	out := Running{Positions: []PositionRate{}, Says: []say.Statement{}}
	var readings []timing.PositionReading
	seen := map[[2]any]bool{}
	stands := f.sinceService(&out)
	for _, r := range evidence.All[*evidence.Rate](f.file) {
		key := [2]any{r.Data.Position, dayLater(r.Data)}
		if seen[key] || !stands(r.Item) {
			continue
		}
		seen[key] = true
		d := *r.Data
		reading := readingOf(r)
		f.correctLift(&d, &reading, &out)
		out.Positions = append(out.Positions, PositionRate{Position: d.Position, SecPerDay: d.SecPerDay,
			SE: reading.SecPerDaySE, ClockSE: reading.ClockSE, Clock: reading.Clock,
			AmplitudeDeg: d.AmplitudeDeg, AmplitudeSE: d.AmplitudeDegSE, BeatErrorMS: d.BeatErrorMS, HoursSinceWind: d.HoursSinceWind, Evidence: r.Item.ID})
		out.Basis = append(out.Basis, fromEvidence(r.Item.ID)...)
		readings = append(readings, reading)
		if d.LiftAngleDeg > 0 && out.LiftAngleDeg == 0 {
			out.LiftAngleDeg, out.LiftAngleFrom = d.LiftAngleDeg, say.That("running.lift-stated")
		}
	}
	if len(readings) == 0 {
		out.Says = append(out.Says, say.That("running.not-timed"))
		f.unknown(say.That("unknown.not-timed"))
		f.out.Running = out
		return
	}
	f.liftAngle(&out)
	g, err := timing.Positions(readings)
	if err != nil {
		out.Says = append(out.Says, say.That("running.cannot-sum", say.Saying("why", because(err))))
		f.out.Running = out
		return
	}
	out.Known = true
	out.MeanSE, out.ClockSE = g.MeanSE, g.ClockSE
	out.Mean, out.Delta, out.VerticalMinusHorizontal = g.Mean, g.Delta, g.VerticalMinusHorizontal
	out.Amplitude, out.BeatError, out.Isochronism = g.MeanAmplitude, g.MeanBeatError, g.Isochronism
	out.ServiceExpected, out.Says = g.ServiceExpected, append(out.Says, g.Says...)
	for _, l := range g.Limits {
		out.Compared = append(out.Compared, Limit{Criterion: l.Criterion, Movement: l.Movement, Value: l.Value,
			Limits: [2]float64{l.Low, l.High}, Within: l.Within})
	}
	f.out.Running = out
}

// correctLift puts the amplitude right where it was read with another lift angle than the
// book's for the calibre: it is proportional to the angle.
func (f *forming) correctLift(d *evidence.Rate, reading *timing.PositionReading, out *Running) {
	if f.maker == nil || d.LiftAngleDeg <= 0 || f.out.Watch.Calibre == "" {
		return
	}
	c, ok := f.maker.Calibre(f.out.Watch.Calibre)
	if !ok || c.LiftAngleDeg <= 0 || c.LiftAngleDeg == d.LiftAngleDeg {
		return
	}
	d.AmplitudeDeg *= c.LiftAngleDeg / d.LiftAngleDeg
	d.AmplitudeDegSE *= c.LiftAngleDeg / d.LiftAngleDeg
	reading.AmplitudeDeg, reading.AmplitudeDegSE = d.AmplitudeDeg, d.AmplitudeDegSE
	out.LiftAngleDeg, out.LiftAngleFrom = c.LiftAngleDeg, say.That("running.lift-corrected",
		say.Name("calibre", c.ID), say.Fixed("read", d.LiftAngleDeg, say.Degree, 0))
}

// liftAngle names where the lift angle comes from, since no amplitude means anything
// without it.
func (f *forming) liftAngle(out *Running) {
	if out.LiftAngleDeg > 0 {
		return
	}
	if f.maker != nil && f.out.Watch.Calibre != "" {
		if c, ok := f.maker.Calibre(f.out.Watch.Calibre); ok && c.LiftAngleDeg > 0 {
			out.LiftAngleDeg, out.LiftAngleFrom = c.LiftAngleDeg, say.That("running.lift-of-calibre",
				say.Name("calibre", c.ID))
			return
		}
	}
	out.LiftAngleDeg, out.LiftAngleFrom = commonLiftAngleDeg, say.That("running.lift-default")
}

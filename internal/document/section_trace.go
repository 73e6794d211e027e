package document

import (
	"math"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/say"
	"midcase/timing"
)

// Trace is one recording of the tick as it was read: its figures, and how late each
// beat came.
type Trace struct {
	Recording evidence.ID
	Position  string // ISO 3158
	Analysis  timing.Analysis
}

// trace is the section of the latest recording; ok is false where there is none.
func (w *writer) trace() (section, bool) {
	if len(w.r.Traces) == 0 || !w.r.Traces[0].Analysis.Heard {
		return section{}, false
	}
	t := w.r.Traces[0]
	a := t.Analysis
	s := section{id: "trace", title: w.String(say.That("report.sound")), cites: w.refs.cite(evidenceIDs(t.Recording))}
	position := ""
	if t.Position != "" {
		position = ", " + w.positionWords(t.Position)
	}
	s.finding = w.told(say.That("report.heard", say.Fixed("seconds", a.Seconds, say.Seconds, 0),
		say.Name("position", position), say.Count("beats", a.Beats)))
	s.blocks = []block{w.traceFacts(a)}
	if len(a.Trace) > 1 {
		s.blocks = append(s.blocks, figure{drawing: chart.Beats(a, chart.Paper, w.Writer),
			note: w.String(say.That("report.beats-chart"))})
	}
	var notes bullets
	for _, n := range a.Notes {
		notes = append(notes, cited{text: w.told(n)})
	}
	if len(notes) > 0 {
		s.blocks = append(s.blocks, notes)
	}
	s.blocks = append(s.blocks, para{note: true, text: w.String(say.That("report.sound-hints"))})
	return s, true
}

func (t tongue) traceFacts(a timing.Analysis) facts {
	f := facts{{name: t.String(say.That("report.beat-rate")),
		text: t.String(say.That("report.beats-an-hour", say.Count("beats", int(math.Round(a.BeatsPerHour)))))}}
	add := func(name say.Statement, v *timing.Figure, of func(timing.Figure) say.Measure, sub string) {
		if v != nil {
			f = append(f, fact{name: t.String(name), text: t.Value(of(*v), "half"), sub: sub})
		}
	}
	if a.Rate != nil {
		text, sub := t.statedRate(a)
		f = append(f, fact{name: t.String(say.That("report.rate")), text: text, sub: sub})
	}
	add(say.That("report.beat-error"), a.BeatError, timing.BeatErrorOf, "")
	add(say.That("report.amplitude"), a.Amplitude, timing.AmplitudeOf,
		t.String(say.That("report.lift-angle", say.Fixed("angle", a.LiftAngleDeg, say.Degree, 0))))
	if a.Periodic != nil {
		f = append(f, fact{name: t.String(say.That("report.swing")), text: t.String(say.That("report.swing-over",
			say.Fixed("size", a.Periodic.SizeMS, say.Millisecond, 1), say.Fixed("period", a.Periodic.PeriodS,
				say.Seconds, 0)))})
	}
	return f
}

func evidenceIDs(id evidence.ID) []evidence.ID {
	if id == "" {
		return nil
	}
	return []evidence.ID{id}
}

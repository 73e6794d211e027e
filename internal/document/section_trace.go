package document

import (
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
	s := section{id: "trace", title: "The sound of the movement", cites: w.refs.cite(evidenceIDs(t.Recording))}
	position := ""
	if t.Position != "" {
		position = ", " + positionWords(t.Position)
	}
	s.finding = told(say.That("report.heard", say.Fixed("seconds", a.Seconds, say.Seconds, 0),
		say.Name("position", position), say.Count("beats", a.Beats)))
	var f facts
	add := func(name string, v *timing.Figure, of func(timing.Figure) say.Measure, sub string) {
		if v != nil {
			f = append(f, fact{name: name, text: english.Value(of(*v), "half"), sub: sub})
		}
	}
	f = append(f, fact{name: "Beat rate", text: rounded(a.BeatsPerHour, 0) + " beats an hour"})
	if a.Rate != nil {
		text, sub := statedRate(a)
		f = append(f, fact{name: "Rate", text: text, sub: sub})
	}
	add("Beat error", a.BeatError, timing.BeatErrorOf, "")
	add("Amplitude", a.Amplitude, timing.AmplitudeOf, "lift angle "+rounded(a.LiftAngleDeg, 0)+"°")
	if a.Periodic != nil {
		f = append(f, fact{name: "Swing of the rate", text: "±" + nbsp + rounded(a.Periodic.SizeMS, 1) + nbsp +
			"ms over " + rounded(a.Periodic.PeriodS, 0) + nbsp + "s"})
	}
	s.blocks = []block{f}
	if len(a.Trace) > 1 {
		s.blocks = append(s.blocks, figure{drawing: chart.Beats(a, chart.Paper, english),
			note: "Full squares are even beats, open circles odd ones, crosses beats that were left out. A line that falls is a watch that gains; two lines apart are a beat error, twice its size."})
	}
	var notes bullets
	for _, n := range a.Notes {
		notes = append(notes, cited{text: told(n)})
	}
	if len(notes) > 0 {
		s.blocks = append(s.blocks, notes)
	}
	s.blocks = append(s.blocks, para{note: true, text: "± is half the 90" + nbsp +
		"% range. A sound can only hint at a fault; a watchmaker has to look."})
	return s, true
}

func evidenceIDs(id evidence.ID) []evidence.ID {
	if id == "" {
		return nil
	}
	return []evidence.ID{id}
}

package document

import (
	"math"

	"midcase/evidence"
	"midcase/timing"
)

// Trace is one recording of the tick as it was read: its figures, and how late each
// beat came.
type Trace struct {
	Recording evidence.ID
	Position  string // ISO 3158
	Analysis  timing.Analysis
}

// beatTrace is the drawing of one trace.
type beatTrace struct {
	beats   []timing.Trace
	seconds float64
}

// traceBeats is how many beats are drawn at most; a longer recording is thinned by
// pairs, so that odd and even beats stay together.
const traceBeats = 360

// trace is the section of the latest recording; ok is false where there is none.
func (w *writer) trace() (section, bool) {
	if len(w.r.Traces) == 0 || !w.r.Traces[0].Analysis.Heard {
		return section{}, false
	}
	t := w.r.Traces[0]
	a := t.Analysis
	s := section{id: "trace", title: "The sound of the movement", cites: w.refs.cite(evidenceIDs(t.Recording))}
	s.finding = opening(joinWords("The tick was recorded for "+rounded(a.Seconds, 0)+nbsp+"s", after(", ", positionWords(t.Position)), ", and "+rounded(float64(a.Beats), 0)+" beats were read from it"))
	var f facts
	add := func(name string, v *timing.Figure, unit string, sub string) {
		if v == nil {
			return
		}
		text := within(v.Value, [2]float64{v.Value - v.Half(), v.Value + v.Half()}, unit, 1)
		f = append(f, fact{name: name, text: text, sub: sub})
	}
	f = append(f, fact{name: "Beat rate", text: rounded(a.BeatsPerHour, 0) + " beats an hour"})
	if a.Rate != nil {
		text, sub := statedRate(a)
		f = append(f, fact{name: "Rate", text: text, sub: sub})
	}
	add("Beat error", a.BeatError, "ms", "")
	add("Amplitude", a.Amplitude, "°", "lift angle "+rounded(a.LiftAngleDeg, 0)+nbsp+"°")
	if a.Periodic != nil {
		f = append(f, fact{name: "Swing of the rate", text: "±" + nbsp + rounded(a.Periodic.SizeMS, 1) + nbsp + "ms over " + rounded(a.Periodic.PeriodS, 0) + nbsp + "s"})
	}
	s.blocks = []block{f}
	if len(a.Trace) > 1 {
		s.blocks = append(s.blocks, beatTrace{beats: thinned(a.Trace, traceBeats), seconds: a.Seconds})
	}
	var notes bullets
	for _, n := range a.Notes {
		notes = append(notes, cited{text: opening(n)})
	}
	if len(notes) > 0 {
		s.blocks = append(s.blocks, notes)
	}
	s.blocks = append(s.blocks, para{note: true, text: "What follows ± is half the 90" + nbsp + "% range. Signs of a fault in a sound are signs; a watchmaker looks."})
	return s, true
}

func joinWords(parts ...string) string {
	out := ""
	for _, p := range parts {
		out += p
	}
	return out
}

func evidenceIDs(id evidence.ID) []evidence.ID {
	if id == "" {
		return nil
	}
	return []evidence.ID{id}
}

// thinned keeps at most n beats, as pairs evenly spread.
func thinned(all []timing.Trace, n int) []timing.Trace {
	if len(all) <= n {
		return all
	}
	pairs := len(all) / 2
	want := n / 2
	out := make([]timing.Trace, 0, n)
	for i := range want {
		p := i * (pairs - 1) / max(want-1, 1)
		out = append(out, all[2*p], all[2*p+1])
	}
	return out
}

// span is the lateness from the earliest to the latest beat that was used, in ms,
// with a little room; never less than 2 ms, so that a good watch does not look wild.
func (t beatTrace) span() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, b := range t.beats {
		if b.Used && finite(b.LateMS) {
			lo, hi = math.Min(lo, b.LateMS), math.Max(hi, b.LateMS)
		}
	}
	if lo > hi {
		lo, hi = 0, 0
	}
	room := math.Max((hi-lo)*0.08, (2-(hi-lo))/2)
	return lo - room, hi + room
}

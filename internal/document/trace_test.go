package document

import (
	"bytes"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"midcase/internal/demo/sound"
	"midcase/opinion"
	"midcase/timing"
)

func madeTrace(t *testing.T) Trace {
	t.Helper()
	watch := sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 11, AmplitudeDeg: 248, BeatErrorMS: 0.8, JitterMS: 0.05,
		Modulation: sound.Modulation{PeriodS: 6, SizeMS: 0.4}}
	a, err := timing.Analyse(sound.Record(watch, sound.Room{SNRdB: 12}, 20, 16000, 2), 16000,
		timing.Options{LiftAngleDeg: 50})
	if err != nil || !a.Heard {
		t.Fatal(err, a.Reason)
	}
	return Trace{Recording: "ev_rec", Position: "6H", Analysis: a}
}

func TestTraceSection(t *testing.T) {
	r := rich(t)
	var without bytes.Buffer
	if err := WriteMarkdown(&without, r); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(without.String(), "The sound of the movement") {
		t.Error("a report without a recording speaks of its sound")
	}
	r.Traces = []Trace{madeTrace(t)}
	var md, pdf bytes.Buffer
	if err := WriteMarkdown(&md, r); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"## The sound of the movement", "20 s of ticking, 6 uppermost (6H)",
		"| Beat rate | 18,000 beats an hour", "| Rate | +1", "| Beat error | 0.", "lift angle 50°",
		"does not replace a watchmaker"} {
		if !strings.Contains(md.String(), want) {
			t.Errorf("no %q in\n%s", want, md.String()[strings.Index(md.String(), "## The sound"):])
		}
	}
	if err := WritePDF(&pdf, r); err != nil {
		t.Fatal(err)
	}
	if name := os.Getenv("MIDCASE_KEEP_PDF"); name != "" {
		if err := os.WriteFile(name, pdf.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// No figure in a trace may break the drawing.
func TestTraceBears(t *testing.T) {
	r := rich(t)
	zero := timing.Figure{}
	for name, trace := range map[string][]timing.Trace{
		"none": nil, "one": {{AtS: 1}}, "none used": {{AtS: 1, LateMS: 3}, {AtS: 2, LateMS: 3}},
		"not finite": {{AtS: math.NaN(), LateMS: 1, Used: true}, {AtS: 1, LateMS: math.Inf(1), Used: true}},
		"far":        {{AtS: 1, LateMS: 1e12, Used: true}, {AtS: 2e9, LateMS: -1e12, Used: true}},
	} {
		r.Traces = []Trace{{Analysis: timing.Analysis{Heard: true, Rate: &zero, BeatError: &zero, Trace: trace}}}
		var b bytes.Buffer
		if err := WritePDF(&b, r); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	r.Opinion.Running.Positions = append(slices.Clone(r.Opinion.Running.Positions),
		opinion.PositionRate{Position: "odd", SecPerDay: math.NaN()}, opinion.PositionRate{Position: "1H30",
			SecPerDay: 1e9})
	if err := WritePDF(&bytes.Buffer{}, r); err != nil {
		t.Error(err)
	}
}

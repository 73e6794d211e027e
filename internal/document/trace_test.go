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
	watch := sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 11, AmplitudeDeg: 248, BeatErrorMS: 0.8, JitterMS: 0.05, Modulation: sound.Modulation{PeriodS: 6, SizeMS: 0.4}}
	a, err := timing.Analyse(sound.Record(watch, sound.Room{SNRdB: 12}, 20, 16000, 2), 16000, timing.Options{LiftAngleDeg: 50})
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
	for _, want := range []string{"## The sound of the movement", "recorded for 20 s, 6 uppermost (6H)", "| Beat rate | 18,000 beats an hour", "| Rate | +1", "| Beat error | 0.", "lift angle 50 °", "does not replace a watchmaker"} {
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
	r.Opinion.Running.Positions = append(slices.Clone(r.Opinion.Running.Positions), opinion.PositionRate{Position: "odd", SecPerDay: math.NaN()}, opinion.PositionRate{Position: "1H30", SecPerDay: 1e9})
	if err := WritePDF(&bytes.Buffer{}, r); err != nil {
		t.Error(err)
	}
}

func TestThinnedKeepsPairs(t *testing.T) {
	var all []timing.Trace
	for i := range 5001 {
		all = append(all, timing.Trace{AtS: float64(i), Odd: i%2 == 1})
	}
	got := thinned(all, 360)
	if len(got) != 360 || got[0].AtS != 0 || got[358].AtS < 4990 {
		t.Errorf("%d beats from %v to %v", len(got), got[0].AtS, got[len(got)-1].AtS)
	}
	for i := 0; i+1 < len(got); i += 2 {
		if got[i].Odd || !got[i+1].Odd || got[i+1].AtS != got[i].AtS+1 {
			t.Fatalf("beat %d is no pair", i)
		}
	}
}

func TestTicksAreRound(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		n      int
		want   []float64
	}{{0, 30, 8, []float64{0, 5, 10, 15, 20, 25, 30}}, {-1.2, 1.4, 5, []float64{-1, 0, 1}}, {3, 3, 5, nil}, {0, math.Inf(1), 5, nil}} {
		got := ticks(c.lo, c.hi, c.n)
		if len(got) != len(c.want) {
			t.Errorf("%v to %v: %v, want %v", c.lo, c.hi, got, c.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%v to %v: %v, want %v", c.lo, c.hi, got, c.want)
			}
		}
	}
}

func TestUppermost(t *testing.T) {
	for p, want := range map[string]float64{"3H": 3, "12H": 12, "1H30": 1.5, "10H30": 10.5} {
		if h, ok := uppermost(p); !ok || h != want {
			t.Errorf("%s: %v", p, h)
		}
	}
	for _, p := range []string{"CH", "FH", "", "H"} {
		if _, ok := uppermost(p); ok {
			t.Errorf("%s stands", p)
		}
	}
}

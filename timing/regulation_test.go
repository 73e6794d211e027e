package timing_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"midcase/say"
	"midcase/timing"
)

func near(t *testing.T, what string, got *float64, want, tol float64) {
	t.Helper()
	if got == nil {
		t.Fatalf("%s: nothing, want %v", what, want)
	}
	if math.Abs(*got-want) > tol {
		t.Errorf("%s: %v, want %v", what, *got, want)
	}
}

// The figures are worked by hand from the definitions of ISO 3159:2009: mean
// rate, 6H minus CH, greatest deviation.
func TestPositionsByHand(t *testing.T) {
	in := []timing.PositionReading{
		{ID: "a", Position: "CH", SecPerDay: 4, AmplitudeDeg: 285, BeatErrorMS: new(0.3)},
		{ID: "b", Position: "FH", SecPerDay: 6, AmplitudeDeg: 281, BeatErrorMS: new(0.4)},
		{ID: "c", Position: "6H", SecPerDay: -2, AmplitudeDeg: 250, BeatErrorMS: new(0.5)},
		{ID: "d", Position: "3H", SecPerDay: 0, AmplitudeDeg: 252},
		{ID: "e", Position: "9H", SecPerDay: -3, AmplitudeDeg: 248},
		{ID: "f", Position: "CH", SecPerDay: 1, AmplitudeDeg: 240, HoursSinceWind: 24},
	}
	before := append([]timing.PositionReading(nil), in...)
	r, err := timing.Positions(in)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(in, before) {
		t.Error("the readings given were changed")
	}
	near(t, "mean", r.Mean, 1, 1e-12)
	near(t, "delta", r.Delta, 9, 1e-12)
	near(t, "6H minus CH", r.SixUpMinusDialUp, -6, 1e-12)
	near(t, "mean vertical minus mean horizontal", r.VerticalMinusHorizontal, -5.0/3-5, 1e-12)
	near(t, "greatest deviation", r.GreatestDeviation, 5, 1e-12)
	near(t, "mean amplitude", r.MeanAmplitude, (285+281+250+252+248)/5.0, 1e-12)
	near(t, "lowest amplitude", r.LowestAmplitude, 240, 0)
	near(t, "mean beat error", r.MeanBeatError, 0.4, 1e-12)
	near(t, "isochronism", r.Isochronism, -3, 1e-12)
	near(t, "amplitude fall", r.AmplitudeFall, 45, 1e-12)
	if got := strings.Join(r.Positions, " "); got != "CH FH 3H 6H 9H" {
		t.Errorf("positions %q", got)
	}
	if r.ServiceExpected == nil || *r.ServiceExpected {
		t.Errorf("service expected %v, want false", r.ServiceExpected)
	}
	// −6 lies inside both −6…+8 (over 20 mm) and −8…+10; our own difference, −6.67, would not.
	var within []bool
	for _, l := range r.Limits {
		if l.Criterion == "6H minus CH" {
			within = append(within, l.Within)
		}
	}
	if !reflect.DeepEqual(within, []bool{true, true}) {
		t.Errorf("limits of 6H minus CH: %v", within)
	}
}

func TestPositionsService(t *testing.T) {
	yes, no := true, false
	for _, c := range []struct {
		name string
		in   []timing.PositionReading
		want *bool
		says string
	}{
		{"weak flat", []timing.PositionReading{{Position: "CH", SecPerDay: 2, AmplitudeDeg: 195}}, &yes, "weak"},
		{"healthy", []timing.PositionReading{{Position: "CH", SecPerDay: 2, AmplitudeDeg: 295}}, &no, "healthy"},
		{"standing only", []timing.PositionReading{{Position: "6H", AmplitudeDeg: 180}}, &yes, "weak"},
		{"poor after a day", []timing.PositionReading{{Position: "6H", AmplitudeDeg: 170, HoursSinceWind: 24}}, &yes,
			"poor"},
		{"no amplitude", []timing.PositionReading{{Position: "6H", SecPerDay: 90}}, nil, "magnetism"},
		{"out of beat", []timing.PositionReading{{Position: "CH", AmplitudeDeg: 280, BeatErrorMS: new(2.1)}}, &no,
			"Out of beat"},
		{"in beat", []timing.PositionReading{{Position: "CH", AmplitudeDeg: 280, BeatErrorMS: new(0.0)}}, &no,
			"0.0 ms"},
		{"far off, strong", []timing.PositionReading{{Position: "CH", SecPerDay: -400, AmplitudeDeg: 290}}, &yes,
			"a watchmaker has to find the cause"},
		{"rebanking standing", []timing.PositionReading{{Position: "CH", AmplitudeDeg: 300},
			{Position: "6H", AmplitudeDeg: 350}}, &yes, "rebanking"},
		{"to the second", []timing.PositionReading{{Position: "CH", SecPerDay: -0.04, AmplitudeDeg: 290}}, &no,
			"Neither gains nor loses"},
	} {
		r, err := timing.Positions(c.in)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if !reflect.DeepEqual(r.ServiceExpected, c.want) {
			t.Errorf("%s: service %v, want %v", c.name, r.ServiceExpected, c.want)
		}
		if !strings.Contains(strings.Join(say.Strings(r.Says), " "), c.says) {
			t.Errorf("%s: says %q, want %q in it", c.name, r.Says, c.says)
		}
	}
}

// The clock of one recorder moves all its readings together; those of two add in squares (JCGM 100, 5.2).
func TestTwoClocksAddInSquares(t *testing.T) {
	of := func(clocks ...string) float64 {
		var in []timing.PositionReading
		for i, c := range clocks {
			in = append(in, timing.PositionReading{Position: []string{"CH", "6H"}[i], SecPerDay: 1, SecPerDaySE: 0.001,
				ClockSE: 1, Clock: c})
		}
		r, err := timing.Positions(in)
		if err != nil {
			t.Fatal(err)
		}
		return r.ClockSE
	}
	if one, two := of("phone", "phone"), of("phone", "desk"); one != 1 || math.Abs(two-math.Sqrt(0.5)) > 1e-12 {
		t.Errorf("one clock %v, two clocks %v; want 1 and 0.7071", one, two)
	}
}

func TestPositionsRefuses(t *testing.T) {
	for name, in := range map[string][]timing.PositionReading{
		"nothing":            nil,
		"unknown position":   {{Position: "2H"}},
		"not a number":       {{Position: "CH", SecPerDay: math.NaN()}},
		"negative amplitude": {{Position: "CH", AmplitudeDeg: -1}},
	} {
		if _, err := timing.Positions(in); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

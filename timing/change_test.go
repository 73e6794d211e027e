package timing_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/say"
	"midcase/timing"
)

// The figures are worked by hand: means, differences, and errors added in squares.
func TestCompareByHand(t *testing.T) {
	before := []timing.PositionReading{
		{Position: "CH", SecPerDay: -14, SecPerDaySE: 0.3, AmplitudeDeg: 212, AmplitudeDegSE: 3, BeatErrorMS: new(1.4),
			BeatErrorMSSE: 0.03, ClockSE: 1},
		{Position: "6H", SecPerDay: -38, SecPerDaySE: 0.4, AmplitudeDeg: 180, AmplitudeDegSE: 4, BeatErrorMS: new(1.6),
			BeatErrorMSSE: 0.04, ClockSE: 1},
		{Position: "FH", SecPerDay: -10, SecPerDaySE: 0.3},
		{Position: "CH", SecPerDay: -30, HoursSinceWind: 24},
	}
	after := []timing.PositionReading{
		{Position: "6H", SecPerDay: 1, SecPerDaySE: 0.3, AmplitudeDeg: 262, AmplitudeDegSE: 3, BeatErrorMS: new(0.3),
			BeatErrorMSSE: 0.03, ClockSE: 1},
		{Position: "CH", SecPerDay: 6, SecPerDaySE: 0.4, AmplitudeDeg: 290, AmplitudeDegSE: 4, BeatErrorMS: new(0.2),
			BeatErrorMSSE: 0.04, ClockSE: 1},
	}
	kept := append([]timing.PositionReading(nil), before...)
	c, err := timing.Compare(before, after, timing.CommonPractice())
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(before, kept) {
		t.Error("the readings given were changed")
	}
	if len(c.Rows) != 2 || c.Rows[0].Position != "CH" || c.Rows[1].Position != "6H" {
		t.Fatalf("rows %+v; want CH and 6H", c.Rows)
	}
	figure := func(what string, f timing.Figure, value, se float64) {
		t.Helper()
		if math.Abs(f.Value-value) > 1e-9 || math.Abs(f.SE-se) > 1e-9 {
			t.Errorf("%s: %v ± %v, want %v ± %v", what, f.Value, f.SE, value, se)
		}
	}
	// 0.3² + 0.4² = 0.5²; each side has a clock of its own, 1² + 1²
	figure("rate, dial up", c.Rows[0].Rate.Change, 20, math.Sqrt(0.25+2))
	figure("amplitude, dial up", c.Rows[0].Amplitude.Change, 78, 5)
	figure("beat error, 6 up", c.Rows[1].BeatError.Change, -1.3, 0.05)
	figure("mean rate before", c.Mean.Rate.Before, -26, math.Hypot(0.25, 1))
	figure("mean rate", c.Mean.Rate.Change, 29.5, math.Sqrt(2*(0.25*0.25+1)))
	figure("spread", c.Delta.Change, -19, math.Sqrt(0.5))
	if !c.Unstated {
		t.Error("the reading without an error of its own is not told of")
	}
	if says := strings.Join(say.Strings(c.Says), " "); !strings.Contains(says, "Amplitude rose by 80° to 276°.") ||
		!strings.Contains(says, "came together from 24.0 s/day to 5.0 s/day.") {
		t.Errorf("says %q", says)
	}
	for i := range after {
		before[i].Clock, after[i].Clock = "bench", "bench"
	}
	if c, err = timing.Compare(before[:2], after, timing.CommonPractice()); err != nil {
		t.Fatal(err)
	}
	figure("rate by one measured clock", c.Rows[0].Rate.Change, 20, 0.5)
}

func TestCompareRefuses(t *testing.T) {
	ch, fh := []timing.PositionReading{{Position: "CH"}}, []timing.PositionReading{{Position: "FH"}}
	for want, c := range map[string][2][]timing.PositionReading{
		"no position was read both": {ch, fh},
		"reading 1 before":          {{{Position: "up"}}, fh},
		"reading 2 after":           {ch, {{Position: "CH"}, {Position: "CH", SecPerDay: math.NaN()}}},
	} {
		if _, err := timing.Compare(c[0], c[1], timing.CommonPractice()); err == nil ||
			!strings.Contains(err.Error(), want) {
			t.Errorf("%v; want %q", err, want)
		}
	}
	if _, err := timing.Compare(ch, []timing.PositionReading{{Position: "CH", HoursSinceWind: 24}},
		timing.CommonPractice()); err == nil {
		t.Error("a wound reading was set beside one a day later")
	}
}

// Turned round, a change has the other sign and the same error.
func TestCompareTurnedRound(t *testing.T) {
	side := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) timing.PositionReading {
		return timing.PositionReading{Position: rapid.SampledFrom([]string{"CH", "FH", "3H"}).Draw(t, "position"),
			SecPerDay:    rapid.Float64Range(-60, 60).Draw(t, "rate"),
			SecPerDaySE:  rapid.Float64Range(0, 2).Draw(t, "se"),
			AmplitudeDeg: rapid.Float64Range(0, 320).Draw(t, "amplitude"),
			ClockSE:      rapid.Float64Range(0, 2).Draw(t, "clock")}
	}), 1, 8)
	rapid.Check(t, func(t *rapid.T) {
		a, b := side.Draw(t, "before"), side.Draw(t, "after")
		x, errX := timing.Compare(a, b, timing.CommonPractice())
		y, errY := timing.Compare(b, a, timing.CommonPractice())
		if (errX == nil) != (errY == nil) {
			t.Fatal(errX, errY)
		}
		if errX != nil {
			return
		}
		for i := range x.Rows {
			f, g := x.Rows[i].Rate.Change, y.Rows[i].Rate.Change
			if f.Value != -g.Value || f.SE != g.SE {
				t.Fatalf("%v and %v", f, g)
			}
		}
	})
}

// A clock that nobody measured adds its own term; a measured one is in the rate.
func TestClockTerm(t *testing.T) {
	u := timing.Options{}.Term()
	if u.Corrected || math.Abs(1.6449*u.SE-1.728) > 0.001 {
		t.Errorf("uncorrected: %+v; want ± 20 parts in a million, 1.728 s/d", u)
	}
	c := timing.Options{ClockPPM: 12, ClockPPMSE: 2}.Term()
	if !c.Corrected || math.Abs(c.SE-0.1728) > 1e-9 {
		t.Errorf("corrected: %+v", c)
	}
	one := timing.PositionReading{SecPerDay: 3, SecPerDaySE: 0.3, ClockSE: 1}
	var in []timing.PositionReading
	for _, p := range []string{"CH", "FH", "3H"} {
		one.Position = p
		in = append(in, one)
	}
	r, err := timing.Positions(in)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "error of the mean", r.MeanSE, math.Hypot(0.3/math.Sqrt(3), 1), 1e-12)
	in[1].SecPerDaySE = 0
	if r, err = timing.Positions(in); err != nil || r.MeanSE != nil {
		t.Errorf("an error of the mean where a reading states none: %v, %v", r.MeanSE, err)
	}
}

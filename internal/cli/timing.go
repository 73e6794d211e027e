package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"

	"midcase/internal/soundfile"
	"midcase/say"
	"midcase/timing"
	"midcase/typed"
)

type timingCmd struct {
	Analyse   timingAnalyseCmd   `cmd:"" help:"Read rate, beat error and amplitude from a recording of the tick."`
	Clock     timingClockCmd     `cmd:"" help:"Measure the error of the recorder's clock from a recording of a quartz watch or time pips."`
	Clocks    timingClocksCmd    `cmd:"" help:"List, choose or remove the recorders whose clocks the shop has measured."`
	Positions timingPositionsCmd `cmd:"" help:"Results by position from readings in a file."`
	Change    timingChangeCmd    `cmd:"" help:"Compare the running before and after a service or a day, by position."`
}

// clockFlags say how far the clock of the recorder is off.
type clockFlags struct {
	ClockPPM float64 `name:"clock-ppm" help:"By how many parts in a million the recorder's clock is fast, as 'timing clock' prints it." placeholder:"PPM" xor:"clock"`
	ClockSE  float64 `name:"clock-se" help:"Standard error of that." placeholder:"PPM"`
	Recorder string  `help:"Recorder whose clock the shop has measured, as 'timing clocks' lists it; none for no correction." placeholder:"NAME" xor:"clock"`
}

type timingAnalyseCmd struct {
	output
	clockFlags
	File         string  `arg:"" help:"The recording, 5 s to 30 min: WAV, FLAC, MP3 or Ogg Opus; with ffmpeg installed also what telephones record (m4a, mp4, 3gp, ogg, webm, caf, amr)." type:"existingfile"`
	BeatsPerHour float64 `help:"Beats an hour of the calibre (default: the best of the usual ones)." placeholder:"18000"`
	Free         bool    `help:"Also try unusual beat rates."`
	Lift         float64 `help:"Lift angle of the calibre in degrees (default: 52)." placeholder:"52"`
	Trace        bool    `help:"With --json: also print how late each beat is."`
}

// Run reads one recording.
func (c timingAnalyseCmd) Run(a *app) error {
	o := timing.Options{BeatsPerHour: c.BeatsPerHour, Free: c.Free, LiftAngleDeg: c.Lift, ClockPPM: c.ClockPPM,
		ClockPPMSE: c.ClockSE}
	if c.Recorder != "" {
		var err error
		if o.ClockPPM, o.ClockPPMSE, err = c.recorder(a); err != nil {
			return err
		}
	}
	if err := o.Check(); err != nil {
		return misuse{err}
	}
	var r timing.Analysis
	err := withSound(c.File, func(s *soundfile.Sound) (err error) {
		o.Lossy = s.Kind.Lossy()
		r, err = timing.AnalyseStream(s.Blocks(), s.Rate, o)
		return err
	})
	if !r.Heard && c.JSON && err == nil {
		return a.printJSON(struct {
			Heard  bool `json:"heard"`
			Reason any  `json:"reason"`
		}{false, r.Reason})
	}
	if !c.Trace {
		r.Trace = nil
	}
	return c.print(a, r, err, func() error { return a.printAnalysis(r) })
}

// withSound opens a recording; what is wrong with it names the file.
func withSound(path string, do func(*soundfile.Sound) error) error {
	s, end, err := soundfile.OpenFile(path)
	if err == nil {
		defer func() { _ = end() }()
		err = do(s)
	}
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission) {
		return err // names the file already
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// measure writes a measured figure with half its 90 % range.
func measure(m say.Measure) string { return value(m, "half") }

// printAnalysis writes the figures for reading, each with half its 90 % range.
func (a *app) printAnalysis(r timing.Analysis) error {
	if !r.Heard {
		_, err := fmt.Fprintf(a.out, "%s.\n", say.Capital(fmt.Sprint(r.Reason)))
		return err
	}
	rows := [][]string{{"Beat rate", figure(r.BeatsPerHour, 0) + " beats an hour"}}
	if r.Rate != nil {
		rows = append(rows, []string{"Rate", statedRate(r)})
	}
	if r.BeatError != nil {
		rows = append(rows, []string{"Beat error", measure(timing.BeatErrorOf(*r.BeatError))})
	}
	amplitude := "cannot tell"
	if r.Amplitude != nil {
		amplitude = measure(timing.AmplitudeOf(*r.Amplitude)) + ", at a lift angle of " + figure(r.LiftAngleDeg,
			0) + "°"
	}
	rows = append(rows, []string{"Amplitude", amplitude}, []string{"Heard", fmt.Sprintf(
		"%d beats in %s s, %s dB above the noise", r.Beats, figure(r.Seconds, 0), figure(r.SNRdB, 0))})
	if err := a.table(rows); err != nil {
		return err
	}
	fmt.Fprintln(a.out, "\n± is half the 90 % range.")
	if len(r.Course) > 1 && r.Rate != nil {
		fmt.Fprintln(a.out, "\nOver time, by the recorder's clock:")
		err := list(a, table{}, bounded(r.Course, 12), nil, "", "FROM|TO|RATE|AMPLITUDE", func(c timing.Course) cells {
			amplitude := "–"
			if c.AmplitudeDeg != nil {
				amplitude = figure(*c.AmplitudeDeg, 0) + "°"
			}
			return cells{figure(c.FromS, 0) + " s", figure(c.ToS, 0) + " s", measure(timing.RateOf(c.Rate)), amplitude}
		})
		if err != nil {
			return err
		}
	}
	fmt.Fprintln(a.out)
	return lines(a, r.Notes)
}

// bounded keeps at most n stretches, evenly spread.
func bounded[T any](all []T, n int) []T {
	if len(all) <= n {
		return all
	}
	out := make([]T, n)
	for i := range out {
		out[i] = all[i*(len(all)-1)/(n-1)]
	}
	return out
}

// statedRate writes the rate with its whole uncertainty, and what that is made of.
func statedRate(r timing.Analysis) string {
	if r.Stated == nil || r.Clock == nil {
		return measure(timing.RateOf(*r.Rate))
	}
	s := measure(timing.RateOf(*r.Stated))
	if r.Clock.Corrected {
		return s + ", clock corrected by " + partsInAMillion(r.Clock.PPM, r.Clock.PPMSE)
	}
	half := func(f timing.Figure) string { return figure(max(f.Half(), 0.1), 1) + " s/day" }
	return s + " (reading ± " + half(*r.Rate) + ", clock not corrected ± " + half(timing.Figure{SE: r.Clock.SE}) + ")"
}

// partsInAMillion writes the error of a clock.
func partsInAMillion(v, se float64) string {
	return figure(v, 1) + " ± " + figure(max(timing.Figure{SE: se}.Half(), 0.1), 1) + " parts in a million"
}

type timingClockCmd struct {
	doer
	output
	File        string  `arg:"" help:"A recording of a quartz watch or time pips, one sound a second: WAV, FLAC, MP3 or Ogg Opus, at least 20 s, better two minutes." type:"existingfile"`
	Keep        string  `help:"Save it in the shop's settings under this name of the recorder; its recordings are then corrected." placeholder:"NAME"`
	ReferenceSE float64 `name:"reference-se" help:"Standard error of the reference in parts in a million; 10 s a month are about 4." default:"4" placeholder:"PPM"`
}

// Run measures the recorder's clock.
func (c timingClockCmd) Run(a *app) error {
	var r timing.ClockReading
	err := withSound(c.File, func(s *soundfile.Sound) (err error) {
		r, err = timing.ClockStream(s.Blocks(), s.Rate, c.ReferenceSE)
		return err
	})
	if err == nil && c.Keep != "" {
		err = c.keep(a, r)
	}
	return c.print(a, r, err, func() error {
		word := "fast"
		if r.PPM < 0 {
			word = "slow"
		}
		if c.Keep != "" {
			fmt.Fprintf(a.out, "Saved as the clock of %s; its recordings are corrected by it.\n", c.Keep)
		}
		_, err := fmt.Fprintf(a.out, "The recorder's clock is %s by %s (%s s/day), from %d beats in %s s.\n"+
			"For 'timing analyse': --clock-ppm=%s --clock-se=%s\n", word, partsInAMillion(math.Abs(r.PPM), r.SE),
			figure(math.Abs(r.PPM)*timing.PPMToSecPerDay, 2), r.Beats, figure(r.Seconds, 0), machine(r.PPM),
			machine(r.SE))
		if err != nil || len(r.Notes) == 0 {
			return err
		}
		fmt.Fprintln(a.out)
		return lines(a, r.Notes)
	})
}

type timingPositionsCmd struct {
	output
	File string `arg:"" help:"Readings as a JSON list: position (ISO 3158), s_per_day, and where known amplitude_deg, beat_error_ms, hours_since_wind." type:"existingfile"`
}

// positionReading is one reading of the file.
type positionReading struct {
	Position       string   `json:"position"`
	SecPerDay      float64  `json:"s_per_day"`
	AmplitudeDeg   float64  `json:"amplitude_deg"`
	BeatErrorMS    *float64 `json:"beat_error_ms"`
	HoursSinceWind float64  `json:"hours_since_wind"`
}

// Run prints the results.
func (c timingPositionsCmd) Run(a *app) error {
	b, err := os.ReadFile(c.File)
	if err != nil {
		return err
	}
	var in []positionReading
	if err := typed.JSON(b); err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&in); err != nil {
		return jsonFault(c.File, b, err)
	}
	readings := make([]timing.PositionReading, len(in))
	for i, r := range in {
		readings[i] = timing.PositionReading{Position: r.Position, SecPerDay: r.SecPerDay, AmplitudeDeg: r.AmplitudeDeg,
			BeatErrorMS: r.BeatErrorMS, HoursSinceWind: r.HoursSinceWind}
	}
	r, err := timing.Positions(readings)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	return c.print(a, r, nil, func() error { return a.printRegulation(r) })
}

func (a *app) printRegulation(r timing.Regulation) error {
	var rows [][]string
	add := func(name string, v *float64, unit say.Unit, decimals int, signed bool) {
		if v != nil {
			rows = append(rows, []string{name, value(say.Measure{Value: *v, Unit: unit, Decimals: decimals,
				Signed: signed}, "")})
		}
	}
	add("Mean rate", r.Mean, say.SecondPerDay, 1, true)
	add("Greatest difference", r.Delta, say.SecondPerDay, 1, false)
	add("Vertical minus horizontal", r.VerticalMinusHorizontal, say.SecondPerDay, 1, true)
	add("Mean amplitude", r.MeanAmplitude, say.Degree, 0, false)
	add("Lowest amplitude", r.LowestAmplitude, say.Degree, 0, false)
	add("Mean beat error", r.MeanBeatError, say.Millisecond, 1, false)
	add("Change of rate a day after winding", r.Isochronism, say.SecondPerDay, 1, true)
	add("Fall of amplitude by then", r.AmplitudeFall, say.Degree, 0, false)
	if err := a.table(rows); err != nil {
		return err
	}
	if len(r.Limits) > 0 {
		fmt.Fprintln(a.out, "\nCompared with the limits of ISO 3159, for information; nothing is certified:")
		err := list(a, table{}, r.Limits, nil, "", "CRITERION|MOVEMENT|MEASURED|LIMITS|", func(l timing.Limit) cells {
			return cells{l.Criterion, l.Movement, plus(l.Value, 1), span(l.Low, l.High, 0),
				map[bool]string{true: "within", false: "outside"}[l.Within]}
		})
		if err != nil {
			return err
		}
	}
	fmt.Fprintln(a.out)
	return lines(a, r.Says)
}

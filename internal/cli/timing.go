package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"

	"midcase/internal/soundfile"
	"midcase/timing"
)

type timingCmd struct {
	Analyse   timingAnalyseCmd   `cmd:"" help:"Read rate, beat error and amplitude from a recording of the tick."`
	Clock     timingClockCmd     `cmd:"" help:"Measure how far the recorder's clock is off, by a recording of a quartz watch or time pips."`
	Clocks    timingClocksCmd    `cmd:"" help:"List, choose or forget the recorders whose clocks the shop has measured."`
	Positions timingPositionsCmd `cmd:"" help:"Regulation figures over positions from readings in a file."`
	Change    timingChangeCmd    `cmd:"" help:"Running before and after a service or a day, by position."`
}

type timingAnalyseCmd struct {
	File         string  `arg:"" help:"The recording: WAV, FLAC or MP3, 5 s to 30 min." type:"existingfile"`
	BeatsPerHour float64 `help:"Beat rate of the calibre, beats an hour; default found among the usual ones." placeholder:"18000"`
	Free         bool    `help:"Look for beat rates that are none of the usual ones, too."`
	Lift         float64 `help:"Lift angle of the calibre in degrees; default 52." placeholder:"52"`
	ClockPPM     float64 `name:"clock-ppm" help:"The recorder's clock is fast by so many parts in a million, as 'timing clock' says." placeholder:"PPM" xor:"clock"`
	ClockSE      float64 `name:"clock-se" help:"Standard error of that." placeholder:"PPM"`
	Recorder     string  `help:"Recorder whose clock the shop has measured, as 'timing clocks' lists them." placeholder:"NAME" xor:"clock"`
	Trace        bool    `help:"With --json: every beat with its lateness, too."`
	JSON         bool    `name:"json" help:"Print JSON."`
}

// Run reads one recording.
func (c timingAnalyseCmd) Run(a *app) error {
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	s, err := soundfile.Open(f)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	o := timing.Options{BeatsPerHour: c.BeatsPerHour, Free: c.Free, LiftAngleDeg: c.Lift, ClockPPM: c.ClockPPM,
		ClockPPMSE: c.ClockSE, Lossy: s.Kind == soundfile.MP3}
	if c.Recorder != "" {
		if o.ClockPPM, o.ClockPPMSE, err = c.recorder(a); err != nil {
			return err
		}
	}
	if err := o.Check(); err != nil {
		return misuse{err}
	}
	r, err := timing.AnalyseStream(s.Blocks(), s.Rate, o)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if !c.JSON {
		return a.printAnalysis(r)
	}
	if !r.Heard {
		return a.printJSON(struct {
			Heard  bool   `json:"heard"`
			Reason string `json:"reason"`
		}{false, r.Reason})
	}
	if !c.Trace {
		r.Trace = nil
	}
	return a.printJSON(r)
}

// printAnalysis writes the figures for reading, each with half its 90 % range.
func (a *app) printAnalysis(r timing.Analysis) error {
	if !r.Heard {
		_, err := fmt.Fprintf(a.out, "%s%s.\n", strings.ToUpper(r.Reason[:1]), r.Reason[1:])
		return err
	}
	rows := [][]string{{"Beat rate", figure(r.BeatsPerHour, 0) + " beats an hour"}}
	if r.Rate != nil {
		rows = append(rows, []string{"Rate", statedRate(r)})
	}
	if r.BeatError != nil {
		rows = append(rows, []string{"Beat error", figureWords("%.*f", *r.BeatError, "ms")})
	}
	amplitude := "cannot tell"
	if r.Amplitude != nil {
		amplitude = fmt.Sprintf("%s, at a lift angle of %g°", figureWords("%.*f", *r.Amplitude, "°"), r.LiftAngleDeg)
	}
	rows = append(rows, []string{"Amplitude", amplitude},
		[]string{"Heard", fmt.Sprintf("%d beats in %.0f s, %.0f dB above the noise", r.Beats, r.Seconds, r.SNRdB)})
	if err := a.table(rows); err != nil {
		return err
	}
	fmt.Fprintln(a.out, "\n± is half the 90 % range.")
	if len(r.Course) > 1 && r.Rate != nil {
		fmt.Fprintln(a.out, "\nOver time, by the recorder's clock:")
		course := [][]string{{"FROM", "TO", "RATE", "AMPLITUDE"}}
		for _, c := range bounded(r.Course, 12) {
			amp := "–"
			if c.AmplitudeDeg != nil {
				amp = fmt.Sprintf("%.0f°", *c.AmplitudeDeg)
			}
			course = append(course, []string{fmt.Sprintf("%.0f s", c.FromS), fmt.Sprintf("%.0f s", c.ToS),
				figureWords("%+.*f", c.Rate, "s/day"), amp})
		}
		if err := a.table(course); err != nil {
			return err
		}
	}
	fmt.Fprintln(a.out)
	for _, n := range r.Notes {
		fmt.Fprintf(a.out, "- %s\n", n)
	}
	return nil
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

// figureWords writes a figure with half its 90 % range, with as many places as the
// range bears.
func figureWords(format string, f timing.Figure, unit string) string {
	half := 1.645 * f.SE
	places := 0
	if half > 0 {
		places = min(max(0, 1-int(math.Floor(math.Log10(half)))), 2)
	}
	space := " "
	if unit == "°" {
		space, places = "", min(places, 1)
	}
	half = math.Max(half, math.Pow(10, -float64(places))) // never ± 0
	if unit == "" {
		space = ""
	}
	return fmt.Sprintf(format+" ± %.*f%s%s", places, f.Value, places, half, space, unit)
}

// statedRate writes the rate with all that is not known of it, and what that is made of.
func statedRate(r timing.Analysis) string {
	if r.Stated == nil || r.Clock == nil {
		return figureWords("%+.*f", *r.Rate, "s/day")
	}
	s := figureWords("%+.*f", *r.Stated, "s/day")
	if r.Clock.Corrected {
		return s + fmt.Sprintf(", clock corrected by %.1f ± %.1f parts in a million", r.Clock.PPM,
			timing.Figure{SE: r.Clock.PPMSE}.Half())
	}
	own := figureWords("%+.*f", *r.Rate, "s/day")
	_, own, _ = strings.Cut(own, "± ")
	return s + fmt.Sprintf(" (reading ± %s, clock not corrected ± %.1f s/day)", own,
		timing.Figure{SE: r.Clock.SE}.Half())
}

type timingClockCmd struct {
	File        string  `arg:"" help:"A recording of a quartz watch or time pips, one sound a second: WAV, FLAC or MP3, 20 s or more, best two minutes." type:"existingfile"`
	Keep        string  `help:"Keep it in the shop's settings under this name of the recorder; recordings then use it." placeholder:"NAME"`
	By          string  `help:"With --keep: who measured it; default the user." env:"MIDCASE_USER"`
	ReferenceSE float64 `name:"reference-se" help:"How true the reference is, as a standard error in parts in a million; 10 s a month are about 4." default:"4" placeholder:"PPM"`
	JSON        bool    `name:"json" help:"Print JSON."`
}

// Run measures the recorder's clock.
func (c timingClockCmd) Run(a *app) error {
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	s, err := soundfile.Open(f)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	r, err := timing.ClockStream(s.Blocks(), s.Rate, c.ReferenceSE)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.Keep != "" {
		if err := c.keep(a, r); err != nil {
			return err
		}
	}
	if c.JSON {
		return a.printJSON(r)
	}
	word := "fast"
	if r.PPM < 0 {
		word = "slow"
	}
	if c.Keep != "" {
		fmt.Fprintf(a.out, "Kept as the clock of %s; recordings of this recorder are corrected by it.\n", c.Keep)
	}
	_, err = fmt.Fprintf(a.out, "The recorder's clock is %s by %.1f ± %.1f parts in a million (%.2f s a day), from %d beats in %.0f s.\nFor 'timing analyse': --clock-ppm=%.2f --clock-se=%.2f\n",
		word, math.Abs(r.PPM), 1.645*r.SE, math.Abs(r.PPM)*0.0864, r.Beats, r.Seconds, r.PPM, r.SE)
	return err
}

type timingPositionsCmd struct {
	File string `arg:"" help:"Readings as a JSON list; each with position (ISO 3158) and s_per_day, and where known amplitude_deg, beat_error_ms, hours_since_wind." type:"existingfile"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// positionReading is one reading of the file.
type positionReading struct {
	Position       string  `json:"position"`
	SecPerDay      float64 `json:"s_per_day"`
	AmplitudeDeg   float64 `json:"amplitude_deg"`
	BeatErrorMS    float64 `json:"beat_error_ms"`
	HoursSinceWind float64 `json:"hours_since_wind"`
}

// Run prints the regulation figures.
func (c timingPositionsCmd) Run(a *app) error {
	b, err := os.ReadFile(c.File)
	if err != nil {
		return err
	}
	var in []positionReading
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
	if c.JSON {
		return a.printJSON(r)
	}
	return a.printRegulation(r)
}

func (a *app) printRegulation(r timing.Regulation) error {
	var rows [][]string
	add := func(name, format string, v *float64) {
		if v != nil {
			rows = append(rows, []string{name, fmt.Sprintf(format, *v)})
		}
	}
	add("Mean rate", "%+.1f s/day", r.Mean)
	add("Greatest difference", "%.1f s/day", r.Delta)
	add("Vertical minus horizontal", "%+.1f s/day", r.VerticalMinusHorizontal)
	add("Mean amplitude", "%.0f°", r.MeanAmplitude)
	add("Lowest amplitude", "%.0f°", r.LowestAmplitude)
	add("Mean beat error", "%.1f ms", r.MeanBeatError)
	add("A day after winding", "%+.1f s/day against fully wound", r.Isochronism)
	add("Amplitude then lower by", "%.0f°", r.AmplitudeFall)
	if err := a.table(rows); err != nil {
		return err
	}
	if len(r.Limits) > 0 {
		fmt.Fprintln(a.out, "\nBeside the limits of ISO 3159, as information; nothing is certified:")
		limits := [][]string{{"CRITERION", "MOVEMENT", "READ", "LIMITS", ""}}
		for _, l := range r.Limits {
			word := "outside"
			if l.Within {
				word = "within"
			}
			limits = append(limits, []string{l.Criterion, l.Movement, plus(l.Value, 1), span(l.Low, l.High, 0), word})
		}
		if err := a.table(limits); err != nil {
			return err
		}
	}
	fmt.Fprintln(a.out)
	for _, s := range r.Says {
		fmt.Fprintf(a.out, "- %s\n", s)
	}
	return nil
}

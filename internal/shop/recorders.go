package shop

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"midcase/internal/soundfile"
	"midcase/timing"
)

// Recorder is a telephone or other recorder with what was measured of its clock.
type Recorder struct {
	Name     string  `json:"name"`
	PPM      float64 `json:"ppm"`               // fast by so many parts in a million
	SE       float64 `json:"se"`                // standard error of that
	Measured string  `json:"measured"`          // ISO 8601 day
	By       string  `json:"by,omitempty"`      // who measured it
	Seconds  float64 `json:"seconds,omitempty"` // of the recording; 0 where the figures were typed
	Usual    bool    `json:"usual,omitempty"`   // taken where a recording names no recorder
}

// NoRecorder in RecordingTake takes no recorder's clock.
const NoRecorder = "none"

const recordersName = "recorders"

// Recorders lists the recorders whose clocks were measured, by name.
func (s *Shop) Recorders(ctx context.Context) ([]Recorder, error) {
	var out []Recorder
	_, err := s.readKept(ctx, recordersName, "recorders", &out)
	return out, err
}

// SetRecorder keeps what was measured of a recorder's clock, in place of what was kept
// under its name. The first recorder is the usual one.
func (s *Shop) SetRecorder(ctx context.Context, r Recorder) error {
	const what = "set a recorder's clock"
	r.Name = strings.TrimSpace(r.Name)
	switch {
	case r.Name == "" || strings.EqualFold(r.Name, NoRecorder) || strings.ContainsAny(r.Name, "\n\r\t") || len(r.Name) > 60:
		return invalid(what, "recorder", fmt.Sprintf("%q", r.Name), "a name of up to 60 characters, such as microphone at the bench")
	case !(math.Abs(r.PPM) <= 2000):
		return invalid(what, "ppm", fmt.Sprint(r.PPM), "parts in a million within 2000")
	case !(r.SE > 0 && r.SE <= 2000):
		return invalid(what, "se", fmt.Sprint(r.SE), "a standard error above 0, in parts in a million")
	}
	if r.Measured == "" {
		r.Measured = s.opt.Now().Format("2006-01-02")
	}
	s.keptMu.Lock()
	defer s.keptMu.Unlock()
	all, err := s.Recorders(ctx)
	if err != nil {
		return err
	}
	had := len(all)
	all = slices.DeleteFunc(slices.Clone(all), func(o Recorder) bool {
		same := strings.EqualFold(o.Name, r.Name)
		r.Usual = r.Usual || same && o.Usual
		return same
	})
	r.Usual = r.Usual || had == 0
	if r.Usual {
		for i := range all {
			all[i].Usual = false
		}
	}
	return s.keepRecorders(ctx, append(all, r))
}

// ForgetRecorder takes a recorder off the list.
func (s *Shop) ForgetRecorder(ctx context.Context, name string) error {
	s.keptMu.Lock()
	defer s.keptMu.Unlock()
	all, err := s.Recorders(ctx)
	if err != nil {
		return err
	}
	left := slices.DeleteFunc(slices.Clone(all), func(r Recorder) bool { return strings.EqualFold(r.Name, name) })
	if len(left) == len(all) {
		return fmt.Errorf("recorder %q: %w", name, ErrNotFound)
	}
	return s.keepRecorders(ctx, left)
}

func (s *Shop) keepRecorders(ctx context.Context, all []Recorder) error {
	slices.SortFunc(all, func(a, b Recorder) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return s.keep(ctx, recordersName, "recorders", all)
}

// MeasureRecorder measures a recorder's clock by a recording of a reference of one
// sound a second, right within referencePPMSE, and keeps it under the name.
func (s *Shop) MeasureRecorder(ctx context.Context, name string, sound io.Reader, referencePPMSE float64, by string) (Recorder, timing.ClockReading, error) {
	const what = "measure a recorder's clock"
	const want = "a recording of 20 s or more of a quartz watch or time pips, one sound a second, in a quiet place"
	f, err := soundfile.Open(sound)
	if err != nil {
		return Recorder{}, timing.ClockReading{}, invalid(what, "sound", err.Error(), want)
	}
	c, err := timing.ClockStream(f.Blocks(), f.Rate, referencePPMSE)
	if err != nil {
		return Recorder{}, timing.ClockReading{}, invalid(what, "sound", strings.TrimPrefix(err.Error(), "timing: "), want)
	}
	r := Recorder{Name: name, PPM: c.PPM, SE: c.SE, By: by, Seconds: c.Seconds, Measured: s.opt.Now().Format("2006-01-02")}
	return r, c, s.SetRecorder(ctx, r)
}

// withClock fills in the clock of the recorder named, or of the usual one.
func (s *Shop) withClock(ctx context.Context, take RecordingTake) (RecordingTake, []string, error) {
	given := take.ClockPPM != 0 || take.ClockPPMSE != 0
	if take.Recorder == NoRecorder {
		take.Recorder = ""
		return take, nil, nil
	}
	if given {
		return take, nil, nil
	}
	all, err := s.Recorders(ctx)
	if err != nil {
		return take, nil, err
	}
	i := slices.IndexFunc(all, func(r Recorder) bool {
		return strings.EqualFold(r.Name, take.Recorder) || take.Recorder == "" && r.Usual
	})
	if i < 0 {
		if take.Recorder != "" {
			return take, nil, invalid(addRecording, "recorder", fmt.Sprintf("%q, whose clock was not measured", take.Recorder), "one of the recorders on record, or none")
		}
		return take, nil, nil
	}
	r := all[i]
	take.Recorder, take.ClockPPM, take.ClockPPMSE = r.Name, r.PPM, r.SE
	return take, []string{fmt.Sprintf("clock of %s, measured on %s: fast by %.1f ± %.1f parts in a million", r.Name, r.Measured, r.PPM, timing.Figure{SE: r.SE}.Half())}, nil
}

// UsualRecorder makes a recorder the one that is taken where a recording names none.
func (s *Shop) UsualRecorder(ctx context.Context, name string) error {
	all, err := s.Recorders(ctx)
	if err != nil {
		return err
	}
	all, found := slices.Clone(all), false
	for i := range all {
		all[i].Usual = strings.EqualFold(all[i].Name, name)
		found = found || all[i].Usual
	}
	if !found {
		return fmt.Errorf("recorder %q: %w", name, ErrNotFound)
	}
	return s.keepRecorders(ctx, all)
}

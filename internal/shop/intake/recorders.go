package intake

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
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
func (r *Room) Recorders(ctx context.Context) ([]Recorder, error) {
	var out []Recorder
	_, err := r.shop.ReadSetting(ctx, recordersName, "recorders", &out)
	return out, err
}

// SetRecorder keeps what was measured of a recorder's clock, in place of what was kept
// under its name. The first recorder is the usual one.
func (r *Room) SetRecorder(ctx context.Context, rec Recorder) error {
	const what = "set a recorder's clock"
	rec.Name = strings.TrimSpace(rec.Name)
	switch {
	case rec.Name == "" || strings.EqualFold(rec.Name, NoRecorder) || strings.ContainsAny(rec.Name, "\n\r\t") ||
		len(rec.Name) > 60:
		return shop.Refuse(what, "recorder", fmt.Sprintf("%q", rec.Name),
			"a name of up to 60 characters, such as microphone at the bench")
	case !(math.Abs(rec.PPM) <= 2000):
		return shop.Refuse(what, "ppm", fmt.Sprint(rec.PPM), "parts in a million within 2000")
	case !(rec.SE > 0 && rec.SE <= 2000):
		return shop.Refuse(what, "se", fmt.Sprint(rec.SE), "a standard error above 0, in parts in a million")
	}
	if rec.Measured == "" {
		rec.Measured = r.shop.Now().Format(time.DateOnly)
	}
	return r.changeRecorders(ctx, func(all []Recorder) ([]Recorder, error) {
		i := slices.IndexFunc(all, rec.named)
		if i < 0 {
			all, i = append(all, rec), len(all)
		}
		rec.Usual = rec.Usual || all[i].Usual || len(all) == 1
		all[i] = rec
		if rec.Usual {
			all = usual(all, i)
		}
		return all, nil
	})
}

// ForgetRecorder takes a recorder off the list.
func (r *Room) ForgetRecorder(ctx context.Context, name string) error {
	return r.changeRecorders(ctx, func(all []Recorder) ([]Recorder, error) {
		i := slices.IndexFunc(all, Recorder{Name: name}.named)
		if i < 0 {
			return nil, fmt.Errorf("recorder %q: %w", name, shop.ErrNotFound)
		}
		return slices.Delete(all, i, i+1), nil
	})
}

// UsualRecorder makes a recorder the one that is taken where a recording names none.
func (r *Room) UsualRecorder(ctx context.Context, name string) error {
	return r.changeRecorders(ctx, func(all []Recorder) ([]Recorder, error) {
		i := slices.IndexFunc(all, Recorder{Name: name}.named)
		if i < 0 {
			return nil, fmt.Errorf("recorder %q: %w", name, shop.ErrNotFound)
		}
		return usual(all, i), nil
	})
}

// named reports whether two recorders have one name.
func (rec Recorder) named(other Recorder) bool { return strings.EqualFold(rec.Name, other.Name) }

// usual makes the nth recorder the only usual one.
func usual(all []Recorder, n int) []Recorder {
	for i := range all {
		all[i].Usual = i == n
	}
	return all
}

func (r *Room) changeRecorders(ctx context.Context, change func([]Recorder) ([]Recorder, error)) error {
	var all []Recorder
	return r.shop.ChangeSetting(ctx, recordersName, "recorders", &all, func() (err error) {
		if all, err = change(all); err != nil {
			return err
		}
		slices.SortFunc(all, func(a, b Recorder) int {
			return strings.Compare(strings.ToLower(a.Name),
				strings.ToLower(b.Name))
		})
		return nil
	})
}

// MeasureRecorder measures a recorder's clock by a recording of a reference of one
// sound a second, right within referencePPMSE, and keeps it under the name.
func (r *Room) MeasureRecorder(ctx context.Context, name string, sound io.Reader, referencePPMSE float64,
	by string) (Recorder, timing.ClockReading, error) {
	const what = "measure a recorder's clock"
	const want = "a recording of 20 s or more of a quartz watch or time pips, one sound a second, in a quiet place"
	f, err := soundfile.Open(sound)
	if err != nil {
		return Recorder{}, timing.ClockReading{}, shop.Refuse(what, "sound", err.Error(), want)
	}
	c, err := timing.ClockStream(f.Blocks(), f.Rate, referencePPMSE)
	if err != nil {
		return Recorder{}, timing.ClockReading{}, shop.Refuse(what, "sound",
			strings.TrimPrefix(err.Error(), "timing: "), want)
	}
	rec := Recorder{Name: name, PPM: c.PPM, SE: c.SE, By: by, Seconds: c.Seconds,
		Measured: r.shop.Now().Format(time.DateOnly)}
	return rec, c, r.SetRecorder(ctx, rec)
}

// withClock fills in the clock of the recorder named, or of the usual one.
func (r *Room) withClock(ctx context.Context, take Take) (Take, []string, error) {
	given := take.ClockPPM != 0 || take.ClockPPMSE != 0
	if take.Recorder == NoRecorder {
		take.Recorder = ""
		return take, nil, nil
	}
	if given {
		return take, nil, nil
	}
	all, err := r.Recorders(ctx)
	if err != nil {
		return take, nil, err
	}
	i := slices.IndexFunc(all, func(rec Recorder) bool {
		return strings.EqualFold(rec.Name, take.Recorder) || take.Recorder == "" && rec.Usual
	})
	if i < 0 {
		if take.Recorder != "" {
			return take, nil, shop.Refuse(addRecording, "recorder", fmt.Sprintf("%q, whose clock was not measured",
				take.Recorder), "one of the recorders on record, or none")
		}
		return take, nil, nil
	}
	rec := all[i]
	take.Recorder, take.ClockPPM, take.ClockPPMSE = rec.Name, rec.PPM, rec.SE
	return take, []string{fmt.Sprintf("clock of %s, measured on %s: fast by %.1f ± %.1f parts in a million",
		rec.Name, rec.Measured, rec.PPM, timing.Figure{SE: rec.SE}.Half())}, nil
}

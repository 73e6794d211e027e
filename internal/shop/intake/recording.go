package intake

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/soundfile"
	"midcase/refbook"
	"midcase/timing"
)

// RecordingTake says how a recording was taken. Only the position must be said.
type Take struct {
	Position       string  // ISO 3158: CH, FH, 3H, …
	HoursSinceWind float64 // 0 means just wound
	LiftAngleDeg   float64 // 0 takes the book's for the calibre, else a common one
	BeatsPerHour   float64 // 0 takes the book's for the calibre, else finds it
	ClockPPM       float64 // the recorder's clock is fast by so many parts in a million
	ClockPPMSE     float64 // standard error of that
	// Recorder names a recorder whose clock was measured. Where it is empty and no
	// figures are given, the shop's usual recorder is taken; NoRecorder takes none.
	Recorder string
}

// Heard is a recording that was added: the two items and what was read from it.
type Heard struct {
	Recording evidence.Item
	Rate      evidence.Item
	Analysis  timing.Analysis
	// Says are words on how it was read: where lift angle and beat rate came from,
	// and whether the beat contradicts the book.
	Says []string
}

const addRecording = "add recording"

// AddRecording reads a recording of the tick, keeps it, and records it together with
// the rate that was read from it; the rate points to the recording. Nothing is kept
// of a sound that cannot be read or in which no watch is heard: that is an *Invalid.
func (r *Room) AddRecording(ctx context.Context, id shop.WatchID, sound io.ReadSeeker, take Take, by string) (Heard,
	error) {
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return Heard{}, fmt.Errorf("%s: %w", addRecording, err)
	}
	if err := r.checkTake(take, by); err != nil {
		return Heard{}, err
	}
	take, clockSays, err := r.withClock(ctx, take)
	if err != nil {
		return Heard{}, err
	}
	o, says := r.expect(ctx, log, take)
	says = append(says, clockSays...)
	a, more, err := r.read(sound, o, take)
	if err != nil {
		return Heard{}, err
	}
	out := Heard{Analysis: a, Says: append(says, more...)}
	if _, err := sound.Seek(0, io.SeekStart); err != nil {
		return Heard{}, fmt.Errorf("%s: %w", addRecording, err)
	}
	sha, _, err := r.stores.Blobs.Put(ctx, sound, soundfile.MaxBytes)
	if err != nil {
		return Heard{}, fmt.Errorf("%s: %w", addRecording, err)
	}
	if out.Recording, out.Rate, err = r.recordingItems(a, sha, take, by); err != nil {
		return Heard{}, err
	}
	if err := r.stores.Watches.Append(ctx, id, out.Recording, out.Rate); err != nil {
		return Heard{}, fmt.Errorf("%s to %s: %w", addRecording, log.Title, err)
	}
	return out, nil
}

// checkTake finds what is wrong with what was said, before the sound is read.
func (r *Room) checkTake(take Take, by string) error {
	_, err := r.shop.NewItems(addRecording, by, []evidence.Data{
		&evidence.Rate{Position: take.Position, HoursSinceWind: take.HoursSinceWind, LiftAngleDeg: take.LiftAngleDeg}})
	if err != nil {
		return err
	}
	o := timing.Options{BeatsPerHour: take.BeatsPerHour, LiftAngleDeg: take.LiftAngleDeg, ClockPPM: take.ClockPPM,
		ClockPPMSE: take.ClockPPMSE}
	if err := o.Check(); err != nil {
		return shop.Refuse(addRecording, "recording", strings.TrimPrefix(err.Error(), "timing: "),
			"figures within these")
	}
	return nil
}

// expect sets beat rate and lift angle: as said, else the book's for the calibre.
func (r *Room) expect(ctx context.Context, log evidence.Watch, take Take) (timing.Options, []string) {
	o := timing.Options{BeatsPerHour: take.BeatsPerHour, LiftAngleDeg: take.LiftAngleDeg, ClockPPM: take.ClockPPM,
		ClockPPMSE: take.ClockPPMSE}
	c := r.calibreOf(ctx, log)
	var says []string
	if c != nil && o.BeatsPerHour == 0 && c.BeatsPerHour > 0 {
		o.BeatsPerHour = float64(c.BeatsPerHour)
		says = append(says, fmt.Sprintf("beat rate %d from the book, calibre %s", c.BeatsPerHour, c.ID))
	}
	switch {
	case o.LiftAngleDeg > 0:
		says = append(says, fmt.Sprintf("lift angle %g° as stated", o.LiftAngleDeg))
	case c != nil && c.LiftAngleDeg > 0:
		o.LiftAngleDeg = c.LiftAngleDeg
		says = append(says, fmt.Sprintf("lift angle %g° from the book, calibre %s", c.LiftAngleDeg, c.ID))
	default:
		says = append(says, "lift angle 52°, a common default; the calibre's own is not known")
	}
	return o, says
}

// Calibre is the book's entry for the movement of a watch, as a recording is read by
// it; ok is false where the book does not tell.
func (r *Room) Calibre(ctx context.Context, id shop.WatchID) (c refbook.Calibre, ok bool, err error) {
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return refbook.Calibre{}, false, err
	}
	if found := r.calibreOf(ctx, log); found != nil {
		return *found, true, nil
	}
	return refbook.Calibre{}, false, nil
}

// calibreOf is the book's entry for the movement: as marked, as fitted, or the only
// one that the reference had.
func (r *Room) calibreOf(ctx context.Context, log evidence.Watch) *refbook.Calibre {
	maker, ref, ok := r.shop.Book(ctx).Reference(log.Maker, log.Reference)
	if !ok {
		return nil
	}
	file := evidence.Fold(log, r.shop.Now())
	for _, m := range evidence.All[*evidence.Mark](file) {
		if m.Data.What == evidence.MarkCalibre {
			c, _ := maker.Calibre(m.Data.Text)
			return c
		}
	}
	for _, f := range evidence.All[*evidence.Fitted](file) {
		if f.Data.Slot == evidence.Movement && !f.Data.Absent && f.Data.Variant != evidence.Unknown {
			if c, ok := maker.Calibre(f.Data.Variant); ok {
				return c
			}
		}
	}
	if len(ref.Calibres) == 1 {
		c, _ := maker.Calibre(ref.Calibres[0])
		return c
	}
	return nil
}

// read analyses a sound. Where nothing is heard at the book's beat rate, it listens
// for others: a watch that beats otherwise than the book says is worth knowing.
func (r *Room) read(sound io.ReadSeeker, o timing.Options, take Take) (timing.Analysis, []string, error) {
	a, err := readSound(sound, o)
	if err != nil {
		return timing.Analysis{}, nil, err
	}
	var says []string
	if !a.Heard && o.BeatsPerHour > 0 && take.BeatsPerHour == 0 {
		book := o.BeatsPerHour
		o.BeatsPerHour = 0
		if a, err = readSound(sound, o); err != nil {
			return timing.Analysis{}, nil, err
		}
		if a.Heard {
			says = append(says,
				fmt.Sprintf("beats %.0f an hour where the book says %.0f: is it the calibre that it should be?",
					a.BeatsPerHour, book))
		}
	}
	if !a.Heard {
		return timing.Analysis{}, nil, shop.Refuse(addRecording, "recording", a.Reason.String(),
			"a recording in which the tick is heard: nearer, in a quiet place, the watch on the microphone")
	}
	if a.Rate == nil || math.Abs(a.Rate.Value) > 2000 {
		return timing.Analysis{}, nil, shop.Refuse(addRecording, "recording", "a beat at none of the usual rates",
			"a recording of a watch")
	}
	return a, says, nil
}

func readSound(r io.ReadSeeker, o timing.Options) (timing.Analysis, error) {
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return timing.Analysis{}, fmt.Errorf("%s: %w", addRecording, err)
	}
	a, err := hear(r, o)
	if err != nil {
		return timing.Analysis{}, shop.Refuse(addRecording, "recording", strings.TrimPrefix(err.Error(), "timing: "),
			"a WAV, FLAC, MP3 or Ogg Opus recording of 5 s to 30 min")
	}
	return a, nil
}

func hear(r io.Reader, o timing.Options) (timing.Analysis, error) {
	sound, err := soundfile.Open(r)
	if err != nil {
		return timing.Analysis{}, err
	}
	o.Lossy = sound.Kind.Lossy()
	return timing.AnalyseStream(sound.Blocks(), sound.Rate, o)
}

// recordingItems makes the two items, the second pointing to the first.
func (r *Room) recordingItems(a timing.Analysis, sha string, take Take, by string) (recording, rate evidence.Item,
	err error) {
	first, err := r.shop.NewItems(addRecording, by, []evidence.Data{&evidence.Recording{Blob: sha,
		Position: take.Position, LiftAngleDeg: a.LiftAngleDeg,
		BeatsPerHour: int(a.BeatsPerHour), HoursSinceWind: take.HoursSinceWind, Seconds: a.Seconds, Recorder: take.Recorder, ClockPPM: take.ClockPPM, ClockPPMSE: take.ClockPPMSE}})
	if err != nil {
		return recording, rate, err
	}
	figures := &evidence.Rate{Position: take.Position, SecPerDay: a.Rate.Value, SecPerDaySE: a.Rate.SE,
		LiftAngleDeg:   a.LiftAngleDeg,
		HoursSinceWind: take.HoursSinceWind, Recording: first[0].ID, Instrument: clockWords(take), Clock: take.Recorder, ClockSE: a.Clock.SE}
	if a.Clock.Corrected { // the reading's own part
		figures.SecPerDaySE = math.Sqrt(math.Max(a.Rate.SE*a.Rate.SE-a.Clock.SE*a.Clock.SE, 0))
	}
	if a.Amplitude != nil {
		figures.AmplitudeDeg, figures.AmplitudeDegSE = a.Amplitude.Value, a.Amplitude.SE
	}
	if a.BeatError != nil {
		figures.BeatErrorMS, figures.BeatErrorMSSE = &a.BeatError.Value, a.BeatError.SE
	}
	second, err := r.shop.NewItems(addRecording, by, []evidence.Data{figures})
	if err != nil {
		return recording, rate, err
	}
	return first[0], second[0], nil
}

func clockWords(t Take) string {
	if t.ClockPPM == 0 && t.ClockPPMSE == 0 {
		return "sound recording, clock not corrected"
	}
	name := "clock"
	if t.Recorder != "" {
		name = "clock of " + t.Recorder
	}
	return fmt.Sprintf("sound recording, %s corrected by %.1f ± %.1f ppm", name, t.ClockPPM, 1.645*t.ClockPPMSE)
}

// Sound opens a kept recording by its name.
func (r *Room) Sound(ctx context.Context, sha string) (io.ReadSeekCloser, error) {
	f, err := r.stores.Blobs.Open(ctx, sha)
	if err != nil {
		return nil, fmt.Errorf("recording %s: %w", sha, err)
	}
	return f, nil
}

// HearAgain reads a kept recording once more, with the lift angle, beat rate and clock
// on record, for its trace.
func (r *Room) HearAgain(ctx context.Context, rec *evidence.Recording) (timing.Analysis, error) {
	f, err := r.stores.Blobs.Open(ctx, rec.Blob)
	if err != nil {
		return timing.Analysis{}, fmt.Errorf("recording %s: %w", rec.Blob, err)
	}
	a, err := HearFile(f, rec)
	if cerr := f.Close(); err == nil && cerr != nil {
		err = fmt.Errorf("recording %s: %w", rec.Blob, cerr)
	}
	return a, err
}

// HearFile is HearAgain on a recording that lies elsewhere, such as beside a watch file.
func HearFile(r io.Reader, rec *evidence.Recording) (timing.Analysis, error) {
	a, err := hear(r, timing.Options{BeatsPerHour: float64(rec.BeatsPerHour), LiftAngleDeg: rec.LiftAngleDeg,
		ClockPPM: rec.ClockPPM, ClockPPMSE: rec.ClockPPMSE})
	if err != nil {
		return timing.Analysis{}, fmt.Errorf("recording %s: %w", rec.Blob, err)
	}
	if !a.Heard {
		return timing.Analysis{}, fmt.Errorf("recording %s: %w", rec.Blob, errors.New(a.Reason.String()))
	}
	return a, nil
}

package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/timing"
)

type evidenceRecordingCmd struct {
	recorded
	clockFlags
	File         string  `arg:"" help:"The recording: WAV, FLAC or MP3, 5 s to 30 min." type:"existingfile"`
	Position     string  `required:"" help:"Position by ISO 3158: CH (dial up), FH (dial down), or the hour that was uppermost, such as 3H." placeholder:"CH"`
	Hours        float64 `help:"Hours since it was fully wound." placeholder:"H"`
	Lift         float64 `help:"Lift angle in degrees (default: the book's for the calibre)." placeholder:"52"`
	BeatsPerHour float64 `help:"Beats an hour (default: the book's for the calibre)." placeholder:"18000"`
}

// Run adds a recording and the rate read from it.
func (c evidenceRecordingCmd) Run(a *app, s *opened, w shop.Watch) error {
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	h, err := s.Intake.AddRecording(a.ctx, w.ID, f, intake.Take{Position: c.Position, HoursSinceWind: c.Hours,
		LiftAngleDeg: c.Lift, BeatsPerHour: c.BeatsPerHour, ClockPPM: c.ClockPPM, ClockPPMSE: c.ClockSE,
		Recorder: c.Recorder}, c.who())
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	fmt.Fprintf(a.out, "%s\n%s\n\n", h.Recording.ID, h.Rate.ID)
	if err := a.printAnalysis(h.Analysis); err != nil {
		return err
	}
	return lines(a, h.Says)
}

// traces reads the latest recording of the evidence again. One that is
// missing or cannot be read is named on standard error and left out.
func (s *subject) traces(a *app) []document.Trace {
	for _, r := range evidence.All[*evidence.Recording](s.file) {
		var heard timing.Analysis
		var err error
		if s.shop != nil {
			heard, err = s.shop.Intake.HearAgain(a.ctx, r.Data)
		} else {
			heard, err = s.hearBeside(r.Data)
		}
		if err != nil {
			fmt.Fprintf(a.err, "recording left out: %s\n", inWords(err))
			continue
		}
		return []document.Trace{{Recording: r.Item.ID, Position: r.Data.Position, Analysis: heard}}
	}
	return nil
}

// hearBeside reads a recording that lies beside a watch file or in a folder sounds.
func (s *subject) hearBeside(rec *evidence.Recording) (timing.Analysis, error) {
	name := filepath.Base(rec.Blob)
	path := filepath.Join(s.folder, name)
	for _, dir := range []string{filepath.Join(s.folder, "sounds"), filepath.Join(s.folder, "..", "sounds")} {
		if p := filepath.Join(dir, name); !isFile(path) && isFile(p) {
			path = p
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return timing.Analysis{}, err
	}
	defer f.Close()
	return intake.HearFile(f, rec)
}

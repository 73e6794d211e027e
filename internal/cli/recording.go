package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop/intake"
	"midcase/timing"
)

type evidenceRecordingCmd struct {
	Watch        string  `arg:"" help:"Id, file number or serial number."`
	File         string  `arg:"" help:"The recording: WAV, FLAC or MP3, 5 s to 30 min." type:"existingfile"`
	Position     string  `required:"" help:"How the watch lay, by ISO 3158: CH (dial up), FH (dial down), or the hour that was uppermost, such as 3H." placeholder:"CH"`
	Hours        float64 `help:"Hours since it was fully wound." placeholder:"H"`
	Lift         float64 `help:"Lift angle in degrees; default the book's for the calibre." placeholder:"52"`
	BeatsPerHour float64 `help:"Beat rate; default the book's for the calibre." placeholder:"18000"`
	ClockPPM     float64 `name:"clock-ppm" help:"The recorder's clock is fast by so many parts in a million, as 'timing clock' says." placeholder:"PPM"`
	ClockSE      float64 `name:"clock-se" help:"Standard error of that." placeholder:"PPM"`
	Recorder     string  `help:"Recorder whose clock the shop has measured; default its usual one. none takes no clock." placeholder:"NAME"`
	By           string  `help:"Who records it; default the user." env:"MIDCASE_USER"`
}

// Run adds a recording and the rate read from it.
func (c evidenceRecordingCmd) Run(a *app) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	h, err := s.Intake.AddRecording(a.ctx, w.ID, f, intake.Take{Position: c.Position, HoursSinceWind: c.Hours,
		LiftAngleDeg: c.Lift,
		BeatsPerHour: c.BeatsPerHour, ClockPPM: c.ClockPPM, ClockPPMSE: c.ClockSE, Recorder: c.Recorder}, user(c.By))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	fmt.Fprintf(a.out, "%s\n%s\n\n", h.Recording.ID, h.Rate.ID)
	if err := a.printAnalysis(h.Analysis); err != nil {
		return err
	}
	for _, says := range h.Says {
		fmt.Fprintf(a.out, "- %s\n", says)
	}
	return nil
}

// traces reads the latest recording of the evidence in force again. One that is
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
			fmt.Fprintf(a.err, "recording left out: %v\n", err)
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

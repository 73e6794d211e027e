package cli

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"

	"midcase/internal/document"
	"midcase/internal/picture"
	"midcase/photo"
	"midcase/say"
)

type photoCmd struct {
	Find      photoFindCmd      `cmd:"" help:"Find the printed square, the dial, twelve, the lume plots and the case in a picture, as proposals."`
	Measure   photoMeasureCmd   `cmd:"" help:"Measure lengths and diameters in mm from points picked in a picture."`
	Plots     photoPlotsCmd     `cmd:"" help:"Compare the colours of the lume plots and of the dial."`
	Overlay   photoOverlayCmd   `cmd:"" help:"Overlay one dial on another and list where they differ."`
	Listing   photoListingCmd   `cmd:"" help:"Prepare a picture for a listing: level, square, neutral, without location and time."`
	Lettering photoLetteringCmd `cmd:"" help:"Read numbers, stamps and marks in a picture, straight or round, as proposals (needs tesseract)."`
	Target    photoTargetCmd    `cmd:"" help:"Write the target as PDF: a square to print, which gives pictures their scale."`
}

// pictureAndPicks is one picture with what was pointed at in it.
type pictureAndPicks struct {
	File  string `arg:"" help:"The picture: JPEG, PNG, WebP, AVIF, HEIC or TIFF." type:"existingfile"`
	Picks string `help:"Points picked, as JSON; docs/schema/picks.schema.json describes them. Without a scale or a dial among them, or with --find, the rest is found." type:"existingfile" placeholder:"PICKS.json"`
	Find  bool   `help:"Find what no points were given for."`
	asked
}

func (c pictureAndPicks) read(a *app) (image.Image, photo.Picks, error) {
	var picks photo.Picks
	var err error
	switch {
	case c.Picks != "":
		if picks, err = readPicks(c.Picks); err != nil {
			return nil, picks, err
		}
	case !c.Find:
		return nil, picks, wrong("no points were given. Give --picks FILE, or --find to have them found")
	}
	img, info, err := a.readPicture(c.File)
	if err != nil {
		return nil, picks, err
	}
	if picks.Camera == nil && info.Focal35MM > 0 {
		picks.Camera = &photo.CameraPick{Focal35MM: info.Focal35MM}
	}
	return img, picks, nil
}

const maxPicksBytes = 4 << 20

func readPicks(path string) (photo.Picks, error) {
	b, err := readBounded(path, maxPicksBytes)
	if err != nil {
		return photo.Picks{}, err
	}
	p, err := photo.ReadPicks(b)
	if err != nil {
		return photo.Picks{}, fmt.Errorf("%s: %w", path, err)
	}
	return p, nil
}

// readPicture opens a picture and says on standard error what is not sure about its
// colours.
func (a *app) readPicture(path string) (image.Image, picture.Seen, error) {
	b, err := readBounded(path, picture.MaxBytes)
	if err != nil {
		return nil, picture.Seen{}, err
	}
	img, info, err := picture.View(a.ctx, b)
	if err != nil {
		return nil, info, fmt.Errorf("%s: %w", path, err)
	}
	if info.Caution != "" {
		fmt.Fprintf(a.err, "midcase: %s: %s\n", path, info.Caution)
	}
	return img, info, nil
}

// readBounded reads a file that must not be larger than so many bytes.
func readBounded(path string, largest int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.Size() > largest {
		return nil, fmt.Errorf("%s has %d MB. Give a file of at most %d MB", path, info.Size()>>20, largest>>20)
	}
	return os.ReadFile(path)
}

// atFault names the file of the picks, where a pick is at fault, and otherwise the
// picture.
func atFault(picks, pictures string, err error) error {
	var p *photo.PickError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", picks, err)
	}
	return fmt.Errorf("%s: %w", pictures, err)
}

type photoMeasureCmd struct {
	pictureAndPicks
	JSON bool `name:"json" help:"Print JSON."`
}

// Run measures.
func (c photoMeasureCmd) Run(a *app) error {
	img, picks, err := c.read(a)
	if err != nil {
		return err
	}
	ask, err := c.ask(a)
	if err != nil {
		return err
	}
	var m photo.Measurement
	if c.Find || picks.Scale == nil {
		m, err = photo.MeasureFound(img, ask, picks)
	} else {
		m, err = photo.Measure(img, picks)
	}
	if err != nil {
		return atFault(c.Picks, c.File, err)
	}
	if c.JSON {
		return a.printJSON(m)
	}
	rows := [][]string{{"WHAT", "MM", "90 % RANGE", ""}}
	for _, l := range m.Lengths {
		rows = append(rows, []string{l.Name, figure(l.MM, 2), span(l.Interval90[0], l.Interval90[1], 2), ""})
	}
	for _, l := range m.Circles {
		rows = append(rows, []string{l.Name, figure(l.DiameterMM, 2), span(l.Interval90[0], l.Interval90[1], 2),
			"diameter; edge found on " + percent(l.Share) + " of the circle, to " + figure(l.ResidualPx, 2) + " px"})
	}
	if d := m.Droop; d != nil {
		rows = append(rows, []string{"droop", figure(d.DroopMM, 1), "", "over " + figure(d.FreeLengthMM, 1) + " mm: " +
			figure(d.Ratio, 3) + " (" + span(d.Interval90[0], d.Interval90[1], 3) + ")"})
	}
	if err := a.table(rows); err != nil {
		return err
	}
	if m.Scale.MMPerPx == 0 {
		return lines(a, m.Notes)
	}
	fmt.Fprintf(a.out, "\nScale %s ± %s mm per px, tilt %s°.\n", figure(m.Scale.MMPerPx, 5), figure(1.645*m.Scale.SE, 5),
		figure(m.Scale.TiltDeg, 1))
	return lines(a, m.Notes)
}

type photoPlotsCmd struct {
	pictureAndPicks
	JSON bool `name:"json" help:"Print JSON."`
}

// Run reads and judges the plots.
func (c photoPlotsCmd) Run(a *app) error {
	img, picks, err := c.read(a)
	if err != nil {
		return err
	}
	ask, err := c.ask(a)
	if err != nil {
		return err
	}
	var r photo.PlotReport
	if c.Find || picks.Dial == nil {
		r, err = photo.PlotsFound(img, ask, picks)
	} else {
		r, err = photo.Plots(img, picks)
	}
	if err != nil {
		return atFault(c.Picks, c.File, err)
	}
	if c.JSON {
		return a.printJSON(r)
	}
	rows := [][]string{{"HOUR", "L*", "a*", "b*", "ΔE00", "ODD", ""}}
	add := func(name string, lab [3]float64, from float64, chance, note string) {
		rows = append(rows, []string{name, figure(lab[0], 1), figure(lab[1], 1), figure(lab[2], 1), figure(from, 1),
			chance, note})
	}
	for _, p := range r.Plots {
		chance := percent(p.ChanceOdd)
		if !p.Note.IsZero() {
			chance = "–"
		}
		add(fmt.Sprint(p.Hour), p.Lab, p.FromMedian, chance, p.Note.String())
	}
	for _, h := range r.Hands {
		add(h.Name, h.Lab, h.FromPlots, percent(h.ChanceOdd), "hand")
	}
	if len(rows) > 1 {
		if err := a.table(rows); err != nil {
			return err
		}
		fmt.Fprintln(a.out, "\nODD is the chance that the plot was repaired, is dirty or differs otherwise.")
	}
	fmt.Fprintf(a.out, "%s.\n", say.Capital(fmt.Sprint(r.Pattern)))
	return lines(a, r.Reasons)
}

type photoOverlayCmd struct {
	Subject   string `arg:"" help:"Picture of the dial in question." type:"existingfile"`
	Reference string `arg:"" help:"Picture of the reference example." type:"existingfile"`
	Picks     string `help:"Edge of the dial and twelve in both pictures, as JSON; found where they are not given." type:"existingfile" placeholder:"PICKS.json"`
	Output    string `short:"o" help:"Write the view as PNG." placeholder:"OUT.png"`
	View      string `help:"all, side, subject, reference or difference; subject and reference make a pair to blink." enum:"all,side,subject,reference,difference" default:"all"`
	JSON      bool   `name:"json" help:"Print JSON."`
}

// Run lays the dials on each other.
func (c photoOverlayCmd) Run(a *app) error {
	if c.Output != "" {
		if err := folder(filepath.Dir(c.Output)); err != nil {
			return unwritable(c.Output, err)
		}
	}
	var picks photo.Picks
	if c.Picks != "" {
		var err error
		if picks, err = readPicks(c.Picks); err != nil {
			return err
		}
	}
	subject, _, err := a.readPicture(c.Subject)
	if err != nil {
		return err
	}
	reference, _, err := a.readPicture(c.Reference)
	if err != nil {
		return err
	}
	if err := dialsFound(c, subject, reference, &picks); err != nil {
		return err
	}
	o, err := photo.Overlay(subject, reference, picks)
	if err != nil {
		return atFault(c.Picks, c.Subject, err)
	}
	if c.Output != "" {
		var b bytes.Buffer
		if err := png.Encode(&b, o.Picture(photo.View(c.View))); err != nil {
			return fmt.Errorf("%s: %w", c.Output, err)
		}
		if err := writeWhole(c.Output, b.Bytes()); err != nil {
			return err
		}
	}
	if c.JSON {
		return a.printJSON(o)
	}
	fmt.Fprintf(a.out, "Agreement %s, print off by %s px.\n", figure(o.Agreement, 2), figure(o.ResidualPx, 2))
	if len(o.Differences) > 0 {
		err := list(a, table{}, o.Differences, nil, "", "WHERE|AT|RADIUS|STRENGTH", func(d photo.Difference) cells {
			at := figure(d.At[0], 0) + ", " + figure(d.At[1], 0)
			return cells{d.Place().String(), at, figure(d.RadiusPx, 0) + " px", number{d.Strength, 0}}
		})
		if err != nil {
			return err
		}
	}
	return lines(a, o.Reasons)
}

type photoTargetCmd struct {
	Output string  `short:"o" required:"" help:"PDF to write." placeholder:"TARGET.pdf"`
	SideMM float64 `name:"side-mm" help:"Side of the square, 30 to 150 mm." default:"60"`
}

// Run writes the target.
func (c photoTargetCmd) Run(*app) error {
	t, err := photo.NewTarget(c.SideMM)
	if err != nil {
		return wrong("--side-mm: %v", err)
	}
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err)
	}
	var b bytes.Buffer
	if err := document.WriteTargetPDF(&b, t); err != nil {
		return err
	}
	return writeWhole(c.Output, b.Bytes())
}

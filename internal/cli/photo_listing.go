package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"midcase/internal/picture"
	"midcase/photo"
)

type photoListingCmd struct {
	File   string `arg:"" help:"The picture: JPEG, PNG, WebP, AVIF, HEIC or TIFF. It is not changed." type:"existingfile"`
	Output string `short:"o" required:"" help:"Folder to write the pictures in; it is made where it is missing." placeholder:"DIR"`
	Sides  []int  `name:"side" help:"Sides of the square in pixels." default:"800,1600,2400"`
	Picks  string `help:"Level line, square and grey card as JSON, each may be left out; docs/schema/picks.schema.json describes them." type:"existingfile" placeholder:"PICKS.json"`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// listingMade is what was made of a picture.
type listingMade struct {
	Files []string `json:"files"`
	Says  []string `json:"says"`
}

const (
	minListingSide = 100
	maxListingSide = 6000
)

// Run makes the pictures.
func (c photoListingCmd) Run(a *app) error {
	for _, s := range c.Sides {
		if s < minListingSide || s > maxListingSide {
			return wrong("--side: %d pixels cannot be made. Give %d to %d", s, minListingSide, maxListingSide)
		}
	}
	var picks photo.Picks
	if c.Picks != "" {
		var err error
		if picks, err = readPicks(c.Picks); err != nil {
			return err
		}
	}
	img, seen, err := a.readPicture(c.File)
	if err != nil {
		return err
	}
	var l picture.Listing
	if picks.Level != nil {
		l.Level = &[2][2]float64{picks.Level[0], picks.Level[1]}
	}
	if q := picks.Square; q != nil {
		l.Middle, l.Half = q.At, q.RadiusPx
	}
	if picks.Grey != nil {
		gain, err := photo.GreyGain(img, *picks.Grey)
		if err != nil {
			return atFault(c.Picks, c.File, err)
		}
		l.Gain = gain
	}
	made := listingMade{Files: []string{}}
	if made.Says, err = l.Says(img, seen); err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if err := os.MkdirAll(c.Output, 0o755); err != nil {
		return unwritable(c.Output, err)
	}
	name := strings.TrimSuffix(filepath.Base(c.File), filepath.Ext(c.File))
	sides := slices.Clone(c.Sides)
	slices.Sort(sides)
	for _, side := range slices.Compact(sides) {
		b, err := l.JPEG(img, side)
		if err != nil {
			return fmt.Errorf("%s: %w", c.File, err)
		}
		to := filepath.Join(c.Output, fmt.Sprintf("%s-%d.jpg", name, side))
		if err := writeWhole(to, b); err != nil {
			return err
		}
		made.Files = append(made.Files, to)
	}
	if c.JSON {
		return a.printJSON(made)
	}
	for _, f := range made.Files {
		fmt.Fprintln(a.out, f)
	}
	return lines(a, made.Says)
}

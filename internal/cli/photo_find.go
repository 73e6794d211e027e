package cli

import (
	"fmt"
	"image"

	"midcase/internal/shop/intake"
	"midcase/photo"
)

// asked is what may be said before a picture is searched.
type asked struct {
	SquareMM  float64 `name:"square-mm" help:"Side of the printed square in mm; its ticks say it where they are to be seen." placeholder:"50"`
	Book      string  `help:"Folder of the book, with --maker and --reference; the shop's book if not given." type:"existingdir" placeholder:"DIR"`
	Maker     string  `help:"Maker of the watch, by id or name: its sizes in the book help to tell what is seen."`
	Reference string  `help:"Reference of the watch."`
}

// ask checks what was said.
func (c asked) ask(a *app) (photo.Ask, error) {
	if c.SquareMM < 0 || c.SquareMM > 1000 {
		return photo.Ask{}, wrong("--square-mm: %g mm cannot be. Give the side of the printed square, for example 50", c.SquareMM)
	}
	out := photo.Ask{SquareMM: c.SquareMM}
	if c.Reference == "" || c.Maker == "" {
		if c.Maker != "" || c.Reference != "" {
			return out, wrong("--maker and --reference belong together. Give both, or neither")
		}
		return out, nil
	}
	book, err := a.bookOf(c.Book)
	if err != nil {
		return out, err
	}
	if err := named(book, c.Maker, c.Reference); err != nil {
		return out, err
	}
	if _, ref, ok := book.Reference(c.Maker, c.Reference); ok {
		out.Sizes = intake.KnownSizes(ref)
	}
	return out, nil
}

type photoFindCmd struct {
	File string `arg:"" help:"The picture: JPEG, PNG, WebP, AVIF, HEIC or TIFF." type:"existingfile"`
	asked
	JSON bool `name:"json" help:"Print JSON."`
}

// Run finds.
func (c photoFindCmd) Run(a *app) error {
	ask, err := c.ask(a)
	if err != nil {
		return err
	}
	img, _, err := a.readPicture(c.File)
	if err != nil {
		return err
	}
	f, err := photo.Find(img, ask)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.JSON {
		return a.printJSON(f)
	}
	rows := [][]string{{"FOUND", "WHERE, PX", "SURE"}}
	add := func(what, where string, sure float64) { rows = append(rows, []string{what, where, percent(sure)}) }
	at := func(p photo.Point) string { return figure(p[0], 0) + ", " + figure(p[1], 0) }
	if q := f.Square; q != nil {
		add("square of "+figure(q.MM, 0)+" mm", at(q.Corners[0])+" – "+at(q.Corners[2]), q.Sure)
	}
	if d := f.Dial; d != nil {
		add("dial", "about "+at(d.Centre), d.Sure)
	}
	if t := f.Twelve; t != nil {
		add("twelve", at(t.At), t.Sure)
	}
	for _, h := range f.Hands {
		add(h.Name+" hand", at(h.Tip), h.Sure)
	}
	for _, p := range f.Plots {
		add(fmt.Sprintf("plot at %d", p.Hour), at(p.At), p.Sure)
	}
	for _, r := range f.Circles {
		add(r.Name, "through "+at(r.Through[0])+" …", r.Sure)
	}
	for _, s := range f.Lengths {
		add(s.Name, at(s.A)+" – "+at(s.B), s.Sure)
	}
	if len(rows) > 1 {
		if err := a.table(rows); err != nil {
			return err
		}
		fmt.Fprintln(a.out)
	}
	return lines(a, f.Notes)
}

// dialsFound places the dials that no points were given for.
func dialsFound(c photoOverlayCmd, subject, reference image.Image, picks *photo.Picks) error {
	if picks.Dial != nil { // one pick for both
		return nil
	}
	for _, one := range []struct {
		file  string
		img   image.Image
		place **photo.DialPicks
	}{{c.Subject, subject, &picks.Subject}, {c.Reference, reference, &picks.Reference}} {
		if *one.place != nil {
			continue
		}
		f, err := photo.Find(one.img, photo.Ask{})
		if err != nil {
			return fmt.Errorf("%s: %w", one.file, err)
		}
		found := f.Picks().DialPicks
		if found.Dial == nil || found.Twelve == nil {
			return fmt.Errorf("%s: no dial with its twelve was found. Give its edge and twelve with --picks", one.file)
		}
		*one.place = &found
	}
	return nil
}

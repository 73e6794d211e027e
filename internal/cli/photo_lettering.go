package cli

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop/intake"
	"midcase/lettering"
	"midcase/photo"
	"midcase/say"
)

type photoLetteringCmd struct {
	File      string   `arg:"" help:"The picture: JPEG, PNG, WebP, AVIF, HEIC or TIFF." type:"existingfile"`
	Through   []string `help:"Points along round lettering, in px from the top left; three or more. Without them the round part is looked for." placeholder:"X,Y" sep:"none"`
	Part      string   `help:"The part that the picture shows, for example movement or case_back." placeholder:"PART"`
	Book      string   `help:"Folder of the book; the shop's book if not given." type:"existingdir" placeholder:"DIR"`
	Maker     string   `help:"Maker of the watch, by id or name: its numbers, references and calibres tell what a reading may be."`
	Reference string   `help:"Reference of the watch."`
	JSON      bool     `name:"json" help:"Print JSON."`
}

// Run reads lettering.
func (c photoLetteringCmd) Run(a *app) error {
	k, err := c.known(a)
	if err != nil {
		return err
	}
	slot := evidence.Slot(c.Part)
	if slot != "" && !slot.Valid() {
		return wrong("--part %q: no such part. Parts are %s", c.Part, joinedSlots())
	}
	through, err := points(c.Through)
	if err != nil {
		return err
	}
	img, _, err := a.readPicture(c.File)
	if err != nil {
		return err
	}
	all, err := intake.ReadLettering(context.Background(), img, through, slot, k)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"proposals": append([]lettering.Proposal{}, all...)})
	}
	if len(all) == 0 {
		return lines(a, []say.Statement{say.That("lettering.nothing")})
	}
	rows := [][]string{{"READ", "AS", "SURE", "WHERE, PX"}}
	for _, p := range all {
		rows = append(rows, []string{p.Mark.Text, strings.ReplaceAll(p.Mark.What, "_", " "), percent(p.Sure),
			figure(p.Box.Middle[0], 0) + ", " + figure(p.Box.Middle[1], 0)})
	}
	if err := a.table(rows); err != nil {
		return err
	}
	var says []say.Statement
	for _, p := range all {
		says = append(says, p.Says...)
	}
	if len(says) > 0 {
		fmt.Fprintln(a.out)
	}
	return lines(a, says)
}

// known is what the readings are held against.
func (c photoLetteringCmd) known(a *app) (k gate.Known, err error) {
	if c.Maker == "" {
		if c.Reference != "" {
			return k, wrong("--reference %s needs --maker", c.Reference)
		}
		return k, nil
	}
	book, err := a.bookOf(c.Book)
	if err != nil {
		return k, err
	}
	if c.Reference != "" {
		if err := named(book, c.Maker, c.Reference); err != nil {
			return k, err
		}
	}
	k.Maker, k.Reference, _ = book.Reference(c.Maker, c.Reference)
	if k.Maker == nil {
		return k, wrong("--maker %s: the book has no such maker", c.Maker)
	}
	return k, nil
}

func joinedSlots() string {
	var all []string
	for _, s := range evidence.Slots() {
		all = append(all, string(s))
	}
	return strings.Join(all, ", ")
}

// points reads "412,300".
func points(all []string) (out []photo.Point, err error) {
	for _, s := range all {
		x, y, ok := strings.Cut(s, ",")
		px, err := strconv.ParseFloat(strings.TrimSpace(x), 64)
		py, err2 := strconv.ParseFloat(strings.TrimSpace(y), 64)
		if !ok || err != nil || err2 != nil {
			return nil, wrong("--through %q: give a point as X,Y in px, for example --through 412,300", s)
		}
		out = append(out, photo.Point{px, py})
	}
	if n := len(out); n > 0 && n < 3 {
		return nil, wrong("--through: %d points do not give a circle. Give three or more along the lettering", n)
	}
	return out, nil
}

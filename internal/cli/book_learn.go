package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"github.com/rogpeppe/go-internal/diff"

	"midcase/examples"
	"midcase/refbook"
)

type bookLearnCmd struct {
	Files     []string `arg:"" optional:"" help:"Examples: tables (CSV) with columns maker, reference, serial, made, source and one for each part, or watch files (JSON). Default: the shop's own watches and the examples on record."`
	Maker     string   `help:"Maker, where a table does not say."`
	Reference string   `help:"Learn of this reference only; also where a table does not say."`
	Book      string   `help:"Folder of the book; default the shop's." type:"existingdir" placeholder:"DIR"`
	Diff      bool     `help:"Print the changes of the shop's book that the examples speak for, with what they do to the stock. Nothing is written."`
	Write     string   `help:"Write them into the shop's book as a new version; say why." placeholder:"WHY"`
	JSON      bool     `name:"json" help:"Print JSON."`
}

// Run holds examples against the book.
func (c bookLearnCmd) Run(a *app) error {
	switch {
	case c.Write != "" && c.JSON:
		return wrong("--json only prints; leave it out to write, or leave out --write")
	case c.Book != "" && (c.Diff || c.Write != ""):
		return wrong("--diff and --write are for the shop's book; leave out --book")
	}
	seen, bad, book, err := c.seen(a)
	if err != nil {
		return err
	}
	printKeptOut(a.err, bad)
	all := examples.LearnAll(book, seen, c.Reference)
	if len(all) == 0 {
		return fmt.Errorf("no example is of a reference that the book has; 'midcase book lacks' lists those of the shop that it lacks")
	}
	switch {
	case c.JSON:
		curves := map[string][]examples.Curve{}
		for i := range book.Makers {
			if c := examples.LearnCurves(&book.Makers[i], seen); len(c) > 0 {
				curves[book.Makers[i].Name] = c
			}
		}
		return a.printJSON(map[string]any{"references": all, "kept_out": bad, "curves": curves})
	case c.Diff || c.Write != "":
		return c.propose(a, all)
	}
	for _, l := range all {
		a.printLearned(l)
	}
	for i := range book.Makers {
		for _, c := range examples.LearnCurves(&book.Makers[i], seen) {
			a.printCurve(book.Makers[i].Name, c)
		}
	}
	return nil
}

// printCurve prints what dated numbers say of a run.
func (a *app) printCurve(maker string, c examples.Curve) {
	fmt.Fprintf(a.out, "%s: %s\n", a.bold(maker), c.Says)
	for _, b := range c.Batches {
		fmt.Fprintf(a.out, "  %s\n", b)
	}
	for _, p := range c.Points {
		if p.Off {
			fmt.Fprintf(a.out, "  %d: %s, 90 %% range %s–%s; the book has %s\n", p.Number, p.Month, p.Interval90[0],
				p.Interval90[1], p.Book)
		}
	}
	for _, o := range c.Outliers {
		fmt.Fprintf(a.out, "  out of sequence: %s\n", o)
	}
}

// seen reads the examples and the book.
func (c bookLearnCmd) seen(a *app) (seen []examples.Example, bad []examples.KeptOut, book *refbook.Book, err error) {
	bad = []examples.KeptOut{}
	if c.Book == "" || len(c.Files) == 0 {
		s, err := a.open(false)
		if err != nil {
			return nil, nil, nil, err
		}
		defer s.close()
		book = s.Book(a.ctx)
		if len(c.Files) == 0 {
			if seen, err = s.Library.AllExamples(a.ctx, "", ""); err != nil {
				return nil, nil, nil, err
			}
		}
	}
	if c.Book != "" {
		if book, err = loadBook(c.Book); err != nil {
			return nil, nil, nil, err
		}
	}
	for _, name := range c.Files {
		more, out, err := readExamples(a, name, c.Maker, c.Reference)
		if err != nil {
			return nil, nil, nil, err
		}
		seen, bad = append(seen, more...), append(bad, out...)
	}
	return seen, bad, book, nil
}

// propose prints what would change in the shop's book, or writes it.
func (c bookLearnCmd) propose(a *app, all []examples.Learned) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	files, err := s.Library.Propose(a.ctx, all)
	if err != nil {
		return err
	}
	if len(files) == 0 {
		_, err = fmt.Fprintln(a.out, "The examples speak for no change of the book.")
		return err
	}
	for _, f := range files {
		fmt.Fprintf(a.out, "%s", diff.Diff(f.Name, f.Now, f.Name+" as the examples have it", f.Text))
		for _, text := range f.Left {
			fmt.Fprintf(a.err, "to be written by hand: %s\n", text)
		}
		fmt.Fprintf(a.out, "# %s of %s looked at would be judged otherwise.\n", count(len(f.Effects), "watch"),
			count(f.Looked, "watch"))
		for _, e := range f.Effects {
			fmt.Fprintf(a.out, "#   %s\n", e.Watch.Title)
		}
		if c.Write == "" {
			continue
		}
		sum := sha256.Sum256(f.Now)
		v, err := s.Library.SaveBookFile(a.ctx, f.Name, hex.EncodeToString(sum[:]), f.Text, c.Write, user(""))
		if err != nil {
			return err
		}
		fmt.Fprintf(a.out, "%s: version %d written\n", f.Name, v.N)
	}
	return nil
}

// printLearned prints what the examples of one reference come to.
func (a *app) printLearned(l examples.Learned) {
	fmt.Fprintf(a.out, "%s: %s\n", a.bold(l.Maker+" "+l.Reference), count(l.Examples, "example"))
	for _, s := range l.Slots {
		fmt.Fprintf(a.out, "  %s\n", s.Says)
		for _, p := range s.Proposals {
			fmt.Fprintf(a.out, "    %s\n", p.Says)
		}
		for _, t := range s.Transitions {
			switch {
			case t.CannotTell != "":
				fmt.Fprintf(a.out, "    %s → %s: cannot tell, %s\n", t.From, t.To, t.CannotTell)
			default:
				fmt.Fprintf(a.out, "    %s → %s: %s, 90 %% range %s–%s. %s\n", t.From, t.To, t.Month, t.Interval90[0],
					t.Interval90[1], t.Sharpen)
				if t.Discovery.Kind != "" {
					fmt.Fprintf(a.out, "    %s\n", t.Discovery)
				}
			}
		}
		for _, m := range s.Misfits {
			fmt.Fprintf(a.out, "    %s: %s\n", m.Example, m.Says)
		}
	}
	for _, k := range append(l.Repeated, l.KeptOut...) {
		fmt.Fprintf(a.out, "  %s: kept out: %s\n", k.ID, k.Reason)
	}
}

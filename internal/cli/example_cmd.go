package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/internal/shop"
	"midcase/internal/shop/library"
)

type exampleCmd struct {
	Add      exampleAddCmd      `cmd:"" help:"Add a watch that you saw, such as: example add Corvane KR-1 dial=dial-matt --serial 214459."`
	List     exampleListCmd     `cmd:"" help:"List the examples, the latest first."`
	Import   exampleImportCmd   `cmd:"" help:"Add the examples of tables (CSV) and watch files (JSON)."`
	Withdraw exampleWithdrawCmd `cmd:"" help:"Withdraw an example; it stays on record with your reason."`
}

type exampleAddCmd struct {
	doer
	output
	Maker     string    `arg:"" help:"The maker."`
	Reference string    `arg:"" help:"The reference number."`
	Parts     []string  `arg:"" help:"The versions seen, such as dial=dial-matt bezel=bezel-flat."`
	Serial    string    `help:"The serial number; x for a figure that cannot be read."`
	Made      edtf.Date `help:"When it was made by papers, an extract or a stamp, such as 1968-05; never by a part." placeholder:"DATE"`
	DatedBy   string    `help:"What says so: papers, extract, stamp or other." placeholder:"WHAT"`
	Place     string    `help:"How you saw it: fair, dealer, print, picture, collection or other." placeholder:"PLACE"`
	Source    string    `help:"Which fair, which page." placeholder:"TEXT"`
	Country   string    `help:"Country of delivery (ISO 3166), such as US." placeholder:"CODE"`
	Metal     string    `help:"Metal of the case, as the book calls it."`
	Sure      float64   `help:"How sure you are of the versions, in %." placeholder:"PERCENT"`
	Picture   string    `help:"A picture." type:"existingfile"`
	Another   string    `help:"Id of an example with such a picture that is another watch." placeholder:"ID"`
}

// Run adds an example.
func (c exampleAddCmd) Run(a *app, s making) error {
	e := shop.SeenExample{Maker: c.Maker, Reference: c.Reference, Serial: c.Serial, Made: c.Made, DatedBy: c.DatedBy,
		Place: c.Place, Source: c.Source, Country: strings.ToUpper(c.Country), Metal: c.Metal, Sure: c.Sure / 100,
		Another: c.Another, Parts: map[evidence.Slot]string{}}
	for _, text := range c.Parts {
		slot, version, ok := strings.Cut(text, "=")
		if !ok {
			return wrong("“%s” is no part with its version; write it as dial=dial-matt", text)
		}
		e.Parts[evidence.Slot(strings.ReplaceAll(slot, "-", "_"))] = version
	}
	seen := library.Seen{SeenExample: e}
	if c.Picture != "" {
		f, err := os.Open(c.Picture)
		if err != nil {
			return err
		}
		defer f.Close()
		seen.File = f
	}
	kept, err := s.Library.AddExample(a.ctx, seen, c.who())
	var alike *library.Alike
	if errors.As(err, &alike) {
		return fmt.Errorf("the picture is like that of example %s. If it is another watch, add --another %s", alike.Of.ID, alike.Of.ID)
	}
	return c.line(a, kept, err, "%s %s added as example %s", kept.Maker, kept.Reference, kept.ID)
}

type exampleListCmd struct {
	table
	Maker     string `arg:"" optional:"" help:"Only of this maker."`
	Reference string `arg:"" optional:"" help:"Only of this reference."`
}

// Run lists examples.
func (c exampleListCmd) Run(a *app, s *opened) error {
	all, err := s.Library.SeenExamples(a.ctx, c.Maker, c.Reference)
	return list(a, c.table, all, err, "No examples yet.", "ID|REFERENCE|SERIAL|MADE|PARTS|SEEN|BY",
		func(e shop.SeenExample) cells {
			made := ""
			if !e.Made.IsZero() {
				made = e.Made.String()
			}
			return cells{e.ID, e.Maker + " " + e.Reference, e.Serial, made, partsSeen(e),
				strings.TrimSpace(e.Place + " " + e.Source), e.By}
		})
}

// partsSeen are the versions of an example in the order of the slots.
func partsSeen(e shop.SeenExample) string {
	var out []string
	for _, slot := range evidence.Slots() {
		if v := e.Parts[slot]; v != "" {
			out = append(out, string(slot)+"="+v)
		}
	}
	return strings.Join(out, " ")
}

type exampleImportCmd struct {
	doer
	output
	Files     []string `arg:"" help:"Tables with columns maker, reference, serial, made, dated_by, source, place, country, metal, sure and one for each part, or watch files (JSON)."`
	Maker     string   `help:"Maker, where a table does not say."`
	Reference string   `help:"Reference, where a table does not say."`
}

// Run adds what files hold.
func (c exampleImportCmd) Run(a *app, s making) error {
	var all []examples.Example
	var bad []examples.KeptOut
	for _, name := range c.Files {
		seen, out, err := readExamples(a, name, c.Maker, c.Reference)
		if err != nil {
			return err
		}
		all, bad = append(all, seen...), append(bad, out...)
	}
	taken, err := s.Library.AddExamples(a.ctx, all, c.who())
	if err != nil {
		return err
	}
	taken.KeptOut = append(slices.Clip(bad), taken.KeptOut...)
	printKeptOut(a.err, taken.KeptOut)
	return c.line(a, taken, nil, "%s added, %d kept out", count(len(taken.Added), "example"), len(taken.KeptOut))
}

func printKeptOut(w io.Writer, all []examples.KeptOut) {
	for _, k := range all {
		fmt.Fprintf(w, "%s: kept out: %s\n", k.ID, k.Reason)
	}
}

// readExamples reads a table or a watch file.
func readExamples(a *app, name, maker, reference string) ([]examples.Example, []examples.KeptOut, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	if !strings.HasSuffix(strings.ToLower(name), ".json") {
		return examples.Read(f, name, maker, reference)
	}
	w, err := evidence.ReadWatch(f, name, a.now())
	if err != nil {
		return nil, nil, err
	}
	return []examples.Example{examples.Of(name, evidence.Fold(w, a.now()))}, nil, nil
}

type exampleWithdrawCmd struct {
	doer
	output
	ID     string `arg:"" help:"The example."`
	Reason string `required:"" help:"Why. It is kept for good."`
}

// Run withdraws an example.
func (c exampleWithdrawCmd) Run(a *app, s making) error {
	e, err := s.Library.WithdrawExample(a.ctx, c.ID, c.Reason, c.who())
	return c.line(a, e, err, "example %s withdrawn: %s %s %s", e.ID, e.Maker, e.Reference, e.Serial)
}

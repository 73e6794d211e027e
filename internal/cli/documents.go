package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/shop"
)

type documentsCmd struct {
	List  documentsListCmd  `cmd:"" help:"List the papers made, of all watches or one."`
	Make  documentsMakeCmd  `cmd:"" help:"Make a paper, number it and keep it."`
	Print documentsPrintCmd `cmd:"" help:"Print a paper that was made."`
}

// paperKinds names the kinds as they are typed.
func paperKinds() string {
	var out []string
	for _, k := range shop.PaperKinds() {
		out = append(out, strings.ReplaceAll(string(k), " ", "-"))
	}
	return strings.Join(out, ", ")
}

type documentsListCmd struct {
	Watch string `arg:"" optional:"" help:"Id, file number or serial number; default all."`
	Limit int    `help:"At most so many, the latest." default:"200"`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run lists papers.
func (c documentsListCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	f := shop.PaperFilter{Limit: c.Limit}
	if c.Watch != "" {
		w, err := s.Find(a.ctx, c.Watch)
		if err != nil {
			return err
		}
		f.Watch = w.ID
	}
	all, err := papers.List(a.ctx, s.Shop, f)
	if err != nil {
		return err
	}
	if c.JSON {
		if all == nil {
			all = []shop.Paper{}
		}
		return a.printJSON(all)
	}
	if len(all) == 0 {
		_, err := fmt.Fprintln(a.out, "No paper was made yet. Make one by 'documents make WATCH KIND'.")
		return err
	}
	rows := [][]string{{"NUMBER", "PAPER", "WATCH", "DAY", "AMOUNT", "SHA-256"}}
	for _, p := range all {
		sum := ""
		if len(p.Files) > 0 {
			sum = p.Files[0].SHA256[:min(16, len(p.Files[0].SHA256))]
		}
		rows = append(rows, []string{p.Number, string(p.Kind), p.Title, p.Day,
			amountOrDash(p.Total.IsZero(), p.Total.String()), sum})
	}
	return a.table(rows)
}

type documentsMakeCmd struct {
	Watch  string `arg:"" help:"Id, file number or serial number."`
	Kind   string `arg:"" help:"report, valuation, listing, identification, trace, invoice, credit-note, memo-note, purchase-statement or consignment-note."`
	Step   string `help:"Step of the watch's life that it is of; default the latest that calls for one." placeholder:"ID"`
	Day    string `help:"Day on the paper; default today." placeholder:"2026-03-01"`
	Price  string `help:"Price on a purchase statement that is signed before the purchase is booked." placeholder:"5200EUR"`
	Output string `short:"o" help:"Write the paper to this file, too." placeholder:"FILE.pdf"`
	By     string `help:"Who makes it; default the user." env:"MIDCASE_USER"`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run makes a paper.
func (c documentsMakeCmd) Run(a *app) error {
	kind := shop.PaperKind(strings.ReplaceAll(c.Kind, "-", " "))
	if !known(shop.PaperKinds(), kind) {
		return wrong("kind %q: want one of %s", c.Kind, paperKinds())
	}
	if c.Output != "" {
		if err := folder(filepath.Dir(c.Output)); err != nil {
			return unwritable(c.Output, err) // before the work, not after it
		}
	}
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	o := papers.Order{Kind: kind, Watch: w.ID, Step: c.Step, Day: c.Day, By: user(c.By)}
	if c.Price != "" {
		if o.Price, err = parseMoney(c.Price); err != nil {
			return misuse{err}
		}
	}
	p, err := papers.Make(a.ctx, s.Shop, o)
	if err != nil {
		return err
	}
	if c.Output != "" {
		if err := printPaper(a, s, p.ID, c.Output); err != nil {
			return err
		}
	}
	if c.JSON {
		return a.printJSON(p)
	}
	_, err = fmt.Fprintf(a.out, "%s %s, %s\n", p.Kind, p.Number, p.ID)
	return err
}

type documentsPrintCmd struct {
	Paper  string `arg:"" help:"Number or id of the paper."`
	Output string `short:"o" required:"" help:"File to write: .pdf, .md and for some papers .json, .jsonld, .html." placeholder:"FILE.pdf"`
}

// Run prints a paper again.
func (c documentsPrintCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := papers.List(a.ctx, s.Shop, shop.PaperFilter{})
	if err != nil {
		return err
	}
	for _, p := range all {
		if p.ID == c.Paper || p.Number == c.Paper {
			return printPaper(a, s, p.ID, c.Output)
		}
	}
	return fmt.Errorf("paper %q: %w", c.Paper, shop.ErrNotFound)
}

// printPaper writes a file of a paper and says whether it is to the byte what was made.
func printPaper(a *app, s *opened, id, output string) error {
	p, b, same, err := papers.Print(a.ctx, s.Shop, id, strings.TrimPrefix(strings.ToLower(filepath.Ext(output)), "."))
	if err != nil {
		return err
	}
	if err := writeWhole(output, b); err != nil {
		return err
	}
	fmt.Fprintf(a.err, "wrote %s\n", output)
	if !same {
		fmt.Fprintf(a.err, "%s %s prints otherwise than when it was made; what it says is the same\n", p.Kind, p.Number)
	}
	return nil
}

package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/money"
)

type documentsCmd struct {
	List  documentsListCmd  `cmd:"" help:"List the papers issued, for all watches or one."`
	Make  documentsMakeCmd  `cmd:"" help:"Issue a paper: number it and keep it."`
	Print documentsPrintCmd `cmd:"" help:"Print an issued paper again."`
}

type documentsListCmd struct {
	table
	Watch string `arg:"" optional:"" help:"Id, file number or serial number of a watch (default: all)."`
	Limit int    `help:"At most so many, the latest." default:"200"`
}

// Run lists papers.
func (c documentsListCmd) Run(a *app, s *opened) error {
	f := shop.PaperFilter{Limit: c.Limit}
	if c.Watch != "" {
		w, err := s.Find(a.ctx, c.Watch)
		if err != nil {
			return err
		}
		f.Watch = w.ID
	}
	all, err := papers.List(a.ctx, s.Shop, f)
	return list(a, c.table, all, err, "No papers yet. Issue one with 'midcase documents make WATCH KIND'.",
		"NUMBER|PAPER|WATCH|DAY|AMOUNT|SHA-256", func(p shop.Paper) cells {
			sum := ""
			if len(p.Files) > 0 {
				sum = p.Files[0].SHA256[:min(16, len(p.Files[0].SHA256))]
			}
			return cells{p.Number, p.Kind, p.Title, p.Day, p.Total, sum}
		})
}

type documentsMakeCmd struct {
	onWatch
	doer
	output
	Kind   shop.PaperKind `arg:"" help:"report, valuation, listing, identification, trace, invoice, credit-note, memo-note, purchase-statement or consignment-note."`
	Step   string         `help:"Step that it is for (default: the latest that calls for one)." placeholder:"ID"`
	Day    string         `help:"Day on the paper (default: today)." placeholder:"2026-03-01"`
	Price  money.Money    `help:"Price on a purchase statement signed before the purchase is booked." placeholder:"5200EUR"`
	Annex  bool           `help:"With a report: add the annex of evidence, the grounds of every figure."`
	Output string         `short:"o" help:"Also write the paper to this file." placeholder:"FILE.pdf"`
}

// Run issues a paper.
func (c documentsMakeCmd) Run(a *app, s *opened, w shop.Watch) error {
	if c.Output != "" {
		if err := folder(filepath.Dir(c.Output)); err != nil {
			return unwritable(c.Output, err) // before the work, not after it
		}
	}
	p, err := papers.Make(a.ctx, s.Shop, papers.Order{Kind: c.Kind, Watch: w.ID, Step: c.Step, Day: c.Day, By: c.who(),
		Price: c.Price, Annex: c.Annex})
	if err == nil && c.Output != "" {
		err = printPaper(a, s, p.ID, c.Output)
	}
	if err != nil {
		return err
	}
	return c.line(a, p, nil, "%s %s, %s", p.Kind, p.Number, p.ID)
}

type documentsPrintCmd struct {
	Paper  string `arg:"" help:"Number or id of the paper."`
	Output string `short:"o" required:"" help:"File to write: .pdf or .md; some papers also .json, .jsonld or .html." placeholder:"FILE.pdf"`
}

// Run prints a paper again.
func (c documentsPrintCmd) Run(a *app, s *opened) error {
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

// printPaper writes a file of a paper and says where it is not to the byte what was issued.
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
		fmt.Fprintf(a.err, "%s %s: the layout differs from the first print; the content is the same\n", p.Kind, p.Number)
	}
	return nil
}

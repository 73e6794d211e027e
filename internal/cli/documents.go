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

	Letterhead documentsLetterheadCmd `cmd:"" help:"Show or set how the shop names itself on papers."`
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
	assignedFlags
	Kind     shop.PaperKind `arg:"" help:"report, valuation, listing, identification, trace, invoice, credit-note, memo-note, purchase-statement, consignment-note, settlement, repair-order or packing-list."`
	Step     string         `help:"Step that it is for (default: the latest that calls for one)." placeholder:"ID"`
	Day      string         `help:"Day on the paper (default: today)." placeholder:"2026-03-01"`
	Price    money.Money    `help:"Price on a purchase statement signed before the purchase is booked." placeholder:"5200EUR"`
	Annex    bool           `help:"With a report: add the annex of evidence, the grounds of every figure."`
	Language string         `help:"Language: en, de, fr or it (default: the client's on a paper about a dealing, else the shop's, else en; of a listing en)." placeholder:"LANGUAGE"`
	Output   string         `short:"o" help:"Also write the paper to this file." placeholder:"FILE.pdf"`
}

// Run issues a paper.
func (c documentsMakeCmd) Run(a *app, s *opened, w shop.Watch) error {
	if c.Output != "" {
		if err := folder(filepath.Dir(c.Output)); err != nil {
			return unwritable(c.Output, err) // before the work, not after it
		}
	}
	assigned, err := c.of(c.Kind)
	if err != nil {
		return err
	}
	p, err := papers.Make(a.ctx, s.Shop, papers.Order{Kind: c.Kind, Watch: w.ID, Step: c.Step, Day: c.Day, By: c.who(),
		Price: c.Price, Annex: c.Annex, Language: c.Language, Assigned: assigned})
	if err == nil && c.Output != "" {
		err = printPaper(a, s, p.ID, c.Output)
	}
	if err != nil {
		return err
	}
	if err := eInvoiceSaid(a, s, p); err != nil {
		return err
	}
	return c.line(a, p, nil, "%s %s, %s", p.Kind, p.Number, p.ID)
}

// eInvoiceSaid says where a paper that could have an electronic form has none.
func eInvoiceSaid(a *app, s *opened, p shop.Paper) error {
	_, content, err := papers.Get(a.ctx, s.Shop, p.ID)
	if err != nil {
		return err
	}
	for _, lack := range papers.LacksEInvoice(content) {
		fmt.Fprintf(a.err, "no e-invoice goes with it: %s\n", lack)
	}
	return nil
}

type documentsLetterheadCmd struct {
	output
	Name         string   `help:"Trading name."`
	Line         []string `help:"A line of address, telephone, web; may be repeated, and replaces those there were." placeholder:"TEXT" sep:"none"`
	TaxNumber    string   `help:"Tax number, with the letters of its country." placeholder:"NUMBER"`
	Country      string   `help:"Country, by two letters (default: the shop's)." placeholder:"CH"`
	Registration string   `help:"Number of registration of the firm." placeholder:"NUMBER"`
	Bank         string   `help:"Bank account, printed on invoices."`
	SignedBy     string   `help:"Who signs: name and role."`
	CheckedAt    string   `help:"Address at which others check your papers, where this shop is served for them." placeholder:"https://shop.example"`
	MarginWords  string   `help:"Wording of the margin scheme on invoices."`
	MarginGoods  string   `help:"What the margin scheme is for: second-hand, art or collectors." enum:",second-hand,art,collectors" default:""`
}

// Run shows the letterhead, with what was given set.
func (c documentsLetterheadCmd) Run(a *app, s *opened) error {
	l, err := s.Letterhead(a.ctx)
	if err != nil {
		return err
	}
	set := len(c.Line) > 0
	if set {
		l.Lines = c.Line
	}
	for to, typed := range map[*string]string{&l.Name: c.Name, &l.TaxNumber: c.TaxNumber, &l.Country: c.Country,
		&l.Registration: c.Registration, &l.Bank: c.Bank, &l.SignedBy: c.SignedBy, &l.MarginWords: c.MarginWords,
		&l.MarginGoods: c.MarginGoods, &l.CheckedAt: c.CheckedAt} {
		if typed != "" {
			*to, set = typed, true
		}
	}
	if set {
		err = s.SetLetterhead(a.ctx, l)
		l.Country = strings.ToUpper(l.Country)
	}
	return c.print(a, l, err, func() error {
		rows := [][]string{{"Name", l.Name}}
		for _, line := range l.Lines {
			rows = append(rows, []string{"Line", line})
		}
		for _, f := range [][]string{{"Tax number", l.TaxNumber}, {"Country", l.Country}, {"Registration",
			l.Registration},
			{"Bank", l.Bank}, {"Signed by", l.SignedBy}, {"Margin scheme", l.MarginWords},
			{"Margin scheme for", orElse(l.MarginGoods, "second-hand")}} {
			if f[1] != "" {
				rows = append(rows, f)
			}
		}
		return a.table(rows)
	})
}

type documentsPrintCmd struct {
	Paper  string `arg:"" help:"Number or id of the paper."`
	Output string `short:"o" required:"" help:"File to write: .pdf or .md; some papers also .json, .jsonld, .html or, for invoices, .xml (e-invoice)." placeholder:"FILE.pdf"`
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
		fmt.Fprintf(a.err, "%s %s: the layout differs from the first print; the content is the same\n", p.Kind,
			p.Number)
	}
	return nil
}

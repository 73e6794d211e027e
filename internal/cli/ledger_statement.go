package cli

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"midcase/internal/bank"
	"midcase/internal/shop/imports"
	"midcase/money"
)

type ledgerStatementCmd struct {
	doer
	output
	File     string   `arg:"" help:"Bank statement: CAMT.053, CSV, TSV or XLSX."`
	DayOrder string   `help:"day-first or month-first, where the file does not tell." enum:",day-first,month-first" default:""`
	Book     []string `help:"Book these lines as proposed, by their numbers; or all, for those at least as sure as --sure. Without it nothing is booked." placeholder:"LINES"`
	Sure     float64  `help:"With --book all: how sure a proposal must be, in percent." default:"90"`
}

// Run shows what a statement says, and books what was confirmed.
func (c ledgerStatementCmd) Run(a *app, s *opened) error {
	data, err := a.readBytes(c.File, bank.MostBytes)
	if err != nil {
		return err
	}
	f := imports.BankFile{Name: filepath.Base(c.File), Data: data, DayOrder: c.DayOrder}
	p, err := s.Imports.ReadBank(a.ctx, f)
	if err != nil {
		return refused(err)
	}
	if len(c.Book) > 0 {
		chosen, err := c.chosen(p)
		if err != nil {
			return err
		}
		b, err := s.Imports.BookBank(a.ctx, f, chosen, c.who())
		if err == nil || len(b.Entries) == 0 {
			return c.line(a, b, err, "%s: %s booked, %s", b.ID, count(len(b.Lines), "line"), countOf(len(b.Entries),
				"entry", "entries"))
		}
		return fmt.Errorf("%s booked so far, take them back with 'midcase batches undo %s': %w", count(len(b.Lines),
			"line"),
			b.ID, err)
	}
	return c.print(a, p, nil, func() error { return c.show(a, p) })
}

func countOf(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + more
}

// chosen are the numbers of the lines to book.
func (c ledgerStatementCmd) chosen(p imports.BankPreview) ([]int, error) {
	var out []int
	for _, text := range c.Book {
		if text == "all" {
			for _, x := range p.Proposals {
				if x.Sure*100 >= c.Sure && (len(x.Parts) > 0 || x.Fee) {
					out = append(out, x.Line.Number)
				}
			}
			if len(out) == 0 {
				return nil, wrong("no line is as sure as %g %%. See what is proposed without --book", c.Sure)
			}
			continue
		}
		n, err := strconv.Atoi(text)
		if err != nil {
			return nil, wrong("“%s” is not the number of a line. Write --book 1,3 or --book all", text)
		}
		out = append(out, n)
	}
	return out, nil
}

func (c ledgerStatementCmd) show(a *app, p imports.BankPreview) error {
	rows := [][]string{{"LINE", "DAY", "AMOUNT", "NAME", "FOR", "PAYS", "SURE"}}
	n := 0
	for _, s := range p.Statements {
		for _, l := range s.Lines {
			n++
			row := cells{n, l.Day, l.Amount, l.Name, cutTo(l.Text, 40), "", ""}.texts(false)
			i := slices.IndexFunc(p.Proposals, func(x bank.Proposal) bool { return x.Line.Number == n })
			switch {
			case p.Booked[n] != "":
				row[5] = "booked before, " + p.Booked[n]
			case i >= 0 && (len(p.Proposals[i].Parts) > 0 || p.Proposals[i].Fee):
				x := p.Proposals[i]
				row[5], row[6] = paysWords(x), fmt.Sprintf("%.0f %% (%s)", x.Sure*100, strings.Join(x.Why, ", "))
			default:
				row[5] = "nothing found"
			}
			rows = append(rows, row)
		}
		for _, text := range s.Says {
			fmt.Fprintln(a.err, text)
		}
		if !s.Opening.IsZero() && !s.Closing.IsZero() {
			fmt.Fprintf(a.err, "%s: from %s to %s\n", orElse(s.Account, "The account"), s.Opening, s.Closing)
		}
	}
	return a.table(rows)
}

func cutTo(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

// paysWords says what a proposal pays.
func paysWords(x bank.Proposal) string {
	if x.Fee {
		return "a charge of the bank"
	}
	var out []string
	for _, p := range x.Parts {
		s := orElse(p.Open.Title, accountWords(p.Open.Account))
		if len(p.Open.Numbers) > 0 {
			s += " " + p.Open.Numbers[len(p.Open.Numbers)-1]
		}
		s += ", " + orElse(p.Open.Name, p.Open.Party)
		if whole(p.Amount) != whole(p.Open.Amount) {
			s += fmt.Sprintf(", %s of %s", whole(p.Amount), whole(p.Open.Amount))
		}
		out = append(out, s)
	}
	if x.Rest {
		out = append(out, "more than is open: the rest by hand")
	}
	if x.Line.Charges.Sign() > 0 {
		out = append(out, "charges of "+x.Line.Charges.String())
	}
	return strings.Join(out, "; ")
}

func whole(m money.Money) string {
	if m.Sign() < 0 {
		m = m.Neg()
	}
	return m.String()
}

// accountWords names an account as somebody speaks of it.
func accountWords(account string) string {
	_, name, _ := strings.Cut(account, ":")
	return name
}

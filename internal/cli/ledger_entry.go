package cli

import (
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
)

// entryFlags are what an entry without a watch has in common.
type entryFlags struct {
	Rate     string `help:"Rate of exchange of the day." placeholder:"RATE"`
	Pay      string `help:"bank, cash or owed." enum:"bank,cash,owed" default:"bank"`
	Client   string `help:"The other side: id, name or e-mail address of a client." placeholder:"CLIENT"`
	Document string `help:"Number of the invoice or payment." placeholder:"NUMBER"`
	Text     string `help:"What it is for; nothing about people."`
	Day      string `help:"The day; default today." placeholder:"2026-03-01"`
	By       string `help:"Who does it; default the user." env:"MIDCASE_USER"`
	JSON     bool   `name:"json" help:"Print the entry as JSON."`
}

// book opens the shop and books what do makes of the terms.
func (c entryFlags) book(a *app, amount string, do func(s *opened, d trade.Terms, by string) (ledger.Entry,
	error)) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	d, err := moneyFlags{Client: c.Client, Rate: c.Rate, Pay: c.Pay, Document: c.Document, Day: c.Day}.dealing(a, s,
		amount, ledger.Payable)
	if err != nil {
		return err
	}
	d.Text = c.Text
	e, err := do(s, d, user(c.By))
	return a.entry(e, err, c.JSON)
}

type ledgerOverheadCmd struct {
	entryFlags
	Cost string `arg:"" help:"Cost, such as 120EUR."`
	Tax  string `help:"Tax in the cost, to reclaim." placeholder:"AMOUNT"`
}

// Run books an overhead.
func (c ledgerOverheadCmd) Run(a *app) error {
	tax, err := optionalMoney(c.Tax)
	if err != nil {
		return err
	}
	return c.book(a, c.Cost, func(s *opened, d trade.Terms, by string) (ledger.Entry, error) {
		return s.Trade.Overhead(a.ctx, d, tax, by)
	})
}

type ledgerExchangeCmd struct {
	entryFlags
	Out    string `arg:"" help:"What went out, such as 1000CHF."`
	In     string `arg:"" help:"What came in, such as 950EUR."`
	InRate string `help:"Rate of the day of what came in, where it is not the shop's currency." placeholder:"RATE"`
	Into   string `help:"bank or cash." enum:"bank,cash" default:"bank"`
}

// Run books a change of currency. --rate is that of what went out.
func (c ledgerExchangeCmd) Run(a *app) error {
	in, err := parseMoney(c.In)
	if err != nil {
		return misuse{err}
	}
	into := trade.Terms{Amount: in, Pay: map[string]ledger.Account{"bank": ledger.Bank, "cash": ledger.Cash}[c.Into]}
	if c.InRate != "" {
		if into.Rate, err = ledger.ParseRate(c.InRate); err != nil {
			return misuse{err}
		}
	}
	return c.book(a, c.Out, func(s *opened, d trade.Terms, by string) (ledger.Entry, error) {
		return s.Trade.Exchange(a.ctx, d, into, by)
	})
}

type ledgerCounterCmd struct {
	Entry  string `arg:"" help:"Id of the entry."`
	Reason string `required:"" help:"Why the entry was wrong."`
	By     string `help:"Who does it; default the user." env:"MIDCASE_USER"`
	JSON   bool   `name:"json" help:"Print the entry as JSON."`
}

// Run answers an entry.
func (c ledgerCounterCmd) Run(a *app) error {
	return entryFlags{By: c.By, JSON: c.JSON}.book(a, "", func(s *opened, _ trade.Terms, by string) (ledger.Entry,
		error) {
		return s.Trade.CounterEntry(a.ctx, c.Entry, c.Reason, by)
	})
}

package cli

import (
	"fmt"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

type ledgerKindsCmd struct{ table }

// Run lists the forms.
func (c ledgerKindsCmd) Run(a *app, s *opened) error {
	return list(a, c.table, ledger.Forms(), nil, "", "KIND|WHAT|DEBIT|CREDIT|TAX|CLIENT|WATCH",
		func(f ledger.Form) cells { return cells{f.ID, f.Name, f.Debit, f.Credit, f.Tax, f.Party, f.Watch} })
}

type ledgerEnterCmd struct {
	entryFlags
	Kind   string      `arg:"" help:"Kind of entry, such as tax-paid; ledger kinds lists all."`
	Amount money.Money `arg:"" help:"Amount, such as 120EUR."`
	Tax    money.Money `help:"Tax in the amount or, with a reversed charge, on top of it." placeholder:"AMOUNT"`
	Watch  string      `help:"The watch that it is about." placeholder:"WATCH"`
}

// Run books an entry by a form.
func (c ledgerEnterCmd) Run(a *app, s *opened, t terms) error {
	var id shop.WatchID
	if c.Watch != "" {
		w, err := s.Find(a.ctx, c.Watch)
		if err != nil {
			return err
		}
		id = w.ID
	}
	owed := ledger.Payable
	if f, ok := ledger.FormOf(c.Kind); ok && f.Debit == "money" {
		owed = ledger.Receivable
	}
	e, err := s.Trade.Enter(a.ctx, c.Kind, id, t.of(c.Amount, owed), c.Tax, c.who())
	return c.entry(a, e, err)
}

type ledgerCloseCmd struct {
	doer
	output
	Year string `arg:"" help:"Year, such as 2025."`
}

// Run closes a year.
func (c ledgerCloseCmd) Run(a *app, s *opened) error {
	e, err := s.Trade.CloseYear(a.ctx, c.Year, c.who())
	return c.entry(a, e, refused(err))
}

type ledgerReturnCmd struct {
	table
	Period string `arg:"" help:"Month, quarter or year, such as 2026-03, 2026-Q1 or 2026."`
	Form   string `help:"Form: gb or ie." enum:"gb,ie" required:""`
}

// Run prints a return.
func (c ledgerReturnCmd) Run(a *app, s *opened) error {
	from, to, ok := ledger.Span(c.Period)
	if !ok {
		return wrong("“%s” is not a period. Write a month, a quarter or a year, such as 2026-03, 2026-Q1 or 2026", c.Period)
	}
	f, _ := ledger.ReturnFormOf(c.Form)
	a.caution(c.table)
	if !c.JSON {
		fmt.Fprintln(a.err, f.Name+". "+f.Source+".")
	}
	return s.Accounts.Books(a.ctx, func(b *ledger.Books) error {
		boxes, err := b.Return(f, from, to)
		return list(a, c.table, boxes, err, "", "BOX|WHAT|"+string(s.Currency()),
			func(x ledger.BoxAmount) cells { return cells{x.Box, x.Name, x.Amount.Amount()} })
	})
}

type stockLotCmd struct {
	doer
	output
	entryTerms
	Price  money.Money `arg:"" help:"Price of all together, such as 9000EUR."`
	Watch  []string    `required:"" help:"A watch and what it is worth by itself, such as 12=4000EUR; may be repeated." placeholder:"WATCH=VALUE"`
	Scheme string      `help:"Tax scheme: margin, ordinary or none (default: the shop's)." enum:",margin,ordinary,none" default:""`
}

// entryTerms are the terms of a dealing about several watches.
type entryTerms struct {
	Client   string       `help:"The seller: id, name or e-mail address of a client." placeholder:"CLIENT"`
	Rate     exchangeRate `help:"Rate of exchange: what 1 of the amount's currency is worth in the shop's." placeholder:"RATE"`
	Pay      string       `help:"How it is paid: bank, cash, owed, or capital for an opening balance." enum:"bank,cash,owed,capital" default:"bank"`
	Document string       `help:"Number of the invoice or receipt." placeholder:"NUMBER"`
	Day      string       `help:"Day (default: today)." placeholder:"2026-03-01"`
}

// Run buys a lot.
func (c stockLotCmd) Run(a *app, s *opened) error {
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	var parts []trade.LotPart
	for _, one := range c.Watch {
		name, value, _ := strings.Cut(one, "=")
		w, err := s.Find(a.ctx, name)
		if err != nil {
			return err
		}
		worth, err := parseMoney(value)
		if err != nil {
			return misuse{fmt.Errorf("--watch: %w", err)}
		}
		parts = append(parts, trade.LotPart{Watch: w.ID, Worth: worth})
	}
	with := terms{trade.Terms{Client: id, Rate: c.Rate.Decimal, Pay: paid(c.Pay), Document: c.Document, Day: c.Day}}
	moves, err := s.Trade.BuyLot(a.ctx, parts, trade.Buying{Terms: with.of(c.Price, byShop), Scheme: c.Scheme}, c.who())
	if err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(moves)
	}
	for _, m := range moves {
		if !m.Price.IsZero() {
			fmt.Fprintln(a.out, m.Watch, moveWords(m))
		}
	}
	return nil
}

type stockReduceCmd struct {
	moneyFlags
	Amount money.Money `arg:"" help:"What the seller gives back, such as 200EUR."`
}

// Run books a reduction of the price paid.
func (c stockReduceCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, t.of(c.Amount, byShop), s.Trade.Reduce)
}

package cli

import (
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// payment is how the money of an entry without a watch moves.
type payment struct {
	doer
	output
	Rate exchangeRate `help:"Rate of exchange of the day." placeholder:"RATE"`
	Pay  string       `help:"bank or cash." enum:"bank,cash" default:"bank"`
	Day  string       `help:"Day (default: today)." placeholder:"2026-03-01"`
}

func (p payment) terms(amount money.Money) trade.Terms {
	return trade.Terms{Amount: amount, Rate: p.Rate.Decimal, Pay: paid(p.Pay), Day: p.Day}
}

// paid is the account that a payment goes through; owed is left to the dealing.
func paid(how string) ledger.Account {
	return map[string]ledger.Account{"bank": ledger.Bank, "cash": ledger.Cash, "capital": ledger.Capital}[how]
}

// entry prints an entry that was booked.
func (o output) entry(a *app, e ledger.Entry, err error) error { return o.line(a, e, err, "%s", e.ID) }

type ledgerSettleCmd struct {
	payment
	Account  string      `arg:"" enum:"consignor,partner,buyer,supplier" help:"With whom: consignor, partner, buyer or supplier."`
	Client   string      `arg:"" help:"Id, name or e-mail address of the client."`
	Amount   money.Money `help:"How much (default: all that is owed)." placeholder:"AMOUNT"`
	Document string      `help:"Number of the payment." placeholder:"NUMBER"`
	For      string      `help:"The watch whose invoice is paid (default: the oldest first)." placeholder:"WATCH"`
}

// Run settles an open account.
func (c ledgerSettleCmd) Run(a *app, s *opened) error {
	t := c.terms(c.Amount)
	t.Document = c.Document
	var err error
	if t.Client, err = clientID(a, s, c.Client); err != nil {
		return err
	}
	if c.For != "" {
		w, err := s.Find(a.ctx, c.For)
		if err != nil {
			return err
		}
		t.Of = w.ID
	}
	e, err := s.Trade.Settle(a.ctx, map[string]ledger.Account{"consignor": ledger.Consignors,
		"partner": ledger.Partners, "buyer": ledger.Receivable, "supplier": ledger.Payable}[c.Account], t, c.who())
	return c.entry(a, e, err)
}

type ledgerCapitalCmd struct {
	payment
	Amount money.Money `arg:"" help:"Amount, such as 20000EUR."`
}

// Run books capital.
func (c ledgerCapitalCmd) Run(a *app, s making) error {
	e, err := s.Trade.CapitalIn(a.ctx, c.terms(c.Amount), c.who())
	return c.entry(a, e, err)
}

// entryFlags are what an entry without a watch has in common.
type entryFlags struct {
	doer
	output
	Rate     exchangeRate `help:"Rate of exchange of the day." placeholder:"RATE"`
	Pay      string       `help:"bank, cash or owed." enum:"bank,cash,owed" default:"bank"`
	Client   string       `help:"The other side: id, name or e-mail address of a client." placeholder:"CLIENT"`
	Document string       `help:"Number of the invoice or payment." placeholder:"NUMBER"`
	Text     string       `help:"What it is for. Do not write about people."`
	Day      string       `help:"Day (default: today)." placeholder:"2026-03-01"`
}

// ProvideTerms reads the terms of the entry.
func (c entryFlags) ProvideTerms(a *app, s *opened) (terms, error) {
	id, err := clientID(a, s, c.Client)
	t := terms{trade.Terms{Client: id, Rate: c.Rate.Decimal, Pay: paid(c.Pay), Document: c.Document, Text: c.Text,
		Day: c.Day}}
	return t, err
}

type ledgerOverheadCmd struct {
	entryFlags
	Cost money.Money `arg:"" help:"Cost, such as 120EUR."`
	Tax  money.Money `help:"Tax in the cost, to reclaim." placeholder:"AMOUNT"`
}

// Run books an overhead.
func (c ledgerOverheadCmd) Run(a *app, s *opened, t terms) error {
	e, err := s.Trade.Overhead(a.ctx, t.of(c.Cost, ledger.Payable), c.Tax, c.who())
	return c.entry(a, e, err)
}

type ledgerExchangeCmd struct {
	entryFlags
	Out    money.Money  `arg:"" help:"Paid out, such as 1000CHF."`
	In     money.Money  `arg:"" help:"Received, such as 950EUR."`
	InRate exchangeRate `help:"Rate of the day of what was received, if it is not the shop's currency." placeholder:"RATE"`
	Into   string       `help:"bank or cash." enum:"bank,cash" default:"bank"`
}

// Run books an exchange of currencies; --rate is that of what was paid out.
func (c ledgerExchangeCmd) Run(a *app, s *opened, t terms) error {
	e, err := s.Trade.Exchange(a.ctx, t.of(c.Out, ledger.Payable),
		trade.Terms{Amount: c.In, Pay: paid(c.Into), Rate: c.InRate.Decimal}, c.who())
	return c.entry(a, e, err)
}

type ledgerCounterCmd struct {
	doer
	output
	Entry  string `arg:"" help:"Id of the entry."`
	Reason string `required:"" help:"Why the entry was wrong."`
}

// Run reverses an entry.
func (c ledgerCounterCmd) Run(a *app, s *opened) error {
	e, err := s.Trade.CounterEntry(a.ctx, c.Entry, c.Reason, c.who())
	return c.entry(a, e, err)
}

package cli

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

type ledgerCmd struct {
	Balance   ledgerBalanceCmd   `cmd:"" help:"What stands on each account."`
	Journal   ledgerJournalCmd   `cmd:"" help:"The whole journal as plain text for accounting programs, or as CSV."`
	VAT       ledgerVATCmd       `cmd:"" name:"vat" help:"VAT figures by month."`
	StockBook ledgerStockBookCmd `cmd:"" name:"stockbook" help:"The stock book of the margin scheme."`
	Profit    ledgerProfitCmd    `cmd:"" help:"Profit by watch, reference, route or month."`
	Ageing    ledgerAgeingCmd    `cmd:"" help:"How long watches have been in stock, and money open."`
	Settle    ledgerSettleCmd    `cmd:"" help:"Pay a consignor, partner or supplier, or take what a buyer owes."`
	Capital   ledgerCapitalCmd   `cmd:"" help:"Book money that the owner puts in."`
	Overhead  ledgerOverheadCmd  `cmd:"" help:"Book a cost of the shop that belongs to no watch."`
	Exchange  ledgerExchangeCmd  `cmd:"" help:"Book money of one currency changed into another."`
	Counter   ledgerCounterCmd   `cmd:"" help:"Answer an entry that belongs to no watch, such as a settlement, by its opposite."`
	Verify    ledgerVerifyCmd    `cmd:"" help:"Check that no entry was changed or lost, and that all balance."`
}

// booksCaution goes with figures that somebody might hand in as they are.
const booksCaution = "A help for whoever keeps the books, no tax advice. Check your local rules."

type ledgerBalanceCmd struct {
	AsOf string `help:"With the entries up to this day." placeholder:"2026-03-01"`
	JSON bool   `name:"json" help:"Print JSON."`
	CSV  bool   `name:"csv" help:"Print CSV."`
}

// Run prints the balances.
func (c ledgerBalanceCmd) Run(a *app) error {
	day := c.AsOf
	if day == "" {
		day = "9999-12-31"
	} else if _, err := time.Parse(time.DateOnly, day); err != nil {
		return wrong("--as-of %q: want a day such as 2026-03-01", day)
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	books, err := s.Accounts.BooksAsOf(a.ctx, day)
	if err != nil {
		return err
	}
	all, err := books.Balances()
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(orEmpty(all))
	}
	base := string(s.Currency())
	rows := [][]string{{"ACCOUNT", "NAME", "DEBIT", "CREDIT", "IN " + base}}
	for _, b := range all {
		debit, credit := b.Amount.String(), ""
		if b.Amount.Sign() < 0 {
			debit, credit = "", b.Amount.Neg().String()
		}
		rows = append(rows, []string{string(b.Account), b.Name, debit, credit, b.Base.Amount()})
	}
	return a.tableOrCSV(rows, c.CSV)
}

func (a *app) tableOrCSV(rows [][]string, asCSV bool) error {
	if asCSV {
		return a.csvRows(rows)
	}
	return a.table(rows)
}

// orEmpty is the list, never nil, so that JSON has [] and not null.
func orEmpty[T any](all []T) []T {
	if all == nil {
		return []T{}
	}
	return all
}

type ledgerJournalCmd struct {
	Output string `short:"o" help:"File to write; default standard output." placeholder:"FILE"`
	CSV    bool   `name:"csv" help:"Write CSV, one row a line."`
	JSON   bool   `name:"json" help:"Print the entries as JSON."`
	Last   int    `help:"Only the last so many entries; with --json." default:"0"`
}

// Run writes the journal.
func (c ledgerJournalCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if c.JSON {
		all, err := s.Entries(a.ctx, shop.EntryFilter{Last: c.Last})
		if err != nil {
			return err
		}
		return a.printJSON(orEmpty(all))
	}
	write := func(w io.Writer) error { return s.Accounts.WriteJournal(a.ctx, w) }
	if c.CSV {
		write = func(w io.Writer) error { return s.Accounts.WriteLedgerCSV(a.ctx, w) }
	}
	return a.writeTo(c.Output, write)
}

// writeTo writes a whole file, or to standard output where none is named.
func (a *app) writeTo(path string, write func(io.Writer) error) error {
	if path == "" {
		return write(a.out)
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	return writeWhole(path, b.Bytes())
}

type ledgerVATCmd struct {
	From string `help:"First month." placeholder:"2026-01"`
	To   string `help:"Last month." placeholder:"2026-03"`
	JSON bool   `name:"json" help:"Print JSON."`
	CSV  bool   `name:"csv" help:"Print CSV."`
}

// Run prints VAT figures.
func (c ledgerVATCmd) Run(a *app) error {
	for _, m := range []string{c.From, c.To} {
		if _, err := time.Parse("2006-01", m); m != "" && err != nil {
			return wrong("month %q: want a form such as 2026-01", m)
		}
	}
	return a.books(func(s *opened, b *ledger.Books) error {
		all, err := b.VAT(c.From, c.To)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(orEmpty(all))
		}
		rows := [][]string{{"MONTH", "MARGIN SALES", "MARGINS", "TAX ON MARGINS", "ORDINARY SALES", "TAX ON SALES",
			"UNTAXED SALES", "PURCHASES", "TO RECLAIM", "DUE"}}
		for _, r := range all {
			row := []string{r.Month}
			for _, m := range []money.Money{r.MarginSales, r.Margins, r.MarginTax, r.OrdinarySales, r.OrdinaryTax,
				r.UntaxedSales, r.Purchases, r.InputTax, r.Due} {
				row = append(row, m.Amount())
			}
			rows = append(rows, row)
		}
		fmt.Fprintln(a.err, booksCaution)
		return a.tableOrCSV(rows, c.CSV)
	})
}

// books opens the shop and looks at its books.
func (a *app) books(look func(s *opened, b *ledger.Books) error) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	return s.Accounts.Books(a.ctx, func(b *ledger.Books) error { return look(s, b) })
}

type ledgerStockBookCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
	CSV  bool `name:"csv" help:"Print CSV."`
}

// Run prints the stock book.
func (c ledgerStockBookCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.Accounts.StockBook(a.ctx)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(orEmpty(all))
	}
	rows := [][]string{{"NO.", "FILE", "DESCRIPTION", "SERIAL", "BOUGHT", "INVOICE", "SELLER", "PRICE", "SCHEME",
		"SOLD", "INVOICE", "BUYER", "PRICE", "MARGIN", "RATE", "TAX", "NOTE"}}
	for _, r := range all {
		rows = append(rows, []string{strconv.Itoa(r.Number), strconv.Itoa(r.FileNumber), r.Description, r.Serial,
			r.Bought, r.PurchaseDocument, nameOrID(r.SellerName, r.Seller), r.Price.Amount(), r.Scheme,
			r.Sold, r.SaleDocument, nameOrID(r.BuyerName, r.Buyer), amountOrEmpty(r.SalePrice), amountOrEmpty(r.Margin), shareOrEmpty(r.TaxRate.IsZero(), r.TaxRate.String()), amountOrEmpty(r.Tax), r.Note})
	}
	fmt.Fprintln(a.err, booksCaution)
	return a.tableOrCSV(rows, c.CSV)
}

func nameOrID(name, id string) string {
	if name == "" {
		return id
	}
	return name
}

func amountOrEmpty(m money.Money) string {
	if m.IsZero() {
		return ""
	}
	return m.Amount()
}

func shareOrEmpty(none bool, s string) string {
	if none {
		return ""
	}
	return s
}

type ledgerProfitCmd struct {
	Per  string `name:"by" help:"watch, reference, route or month." enum:"watch,reference,route,month" default:"month"`
	JSON bool   `name:"json" help:"Print JSON."`
	CSV  bool   `name:"csv" help:"Print CSV."`
}

// Run prints profits.
func (c ledgerProfitCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.Accounts.Profit(a.ctx, c.Per)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(orEmpty(all))
	}
	rows := [][]string{{strings.ToUpper(c.Per), "SOLD", "INCOME", "EXPENSE", "PROFIT " + string(s.Currency())}}
	for _, r := range all {
		rows = append(rows, []string{r.Key, strconv.Itoa(r.Sold), r.Income.Amount(), r.Expense.Amount(),
			r.Profit.Amount()})
	}
	return a.tableOrCSV(rows, c.CSV)
}

type ledgerAgeingCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Run prints ages of stock and open money.
func (c ledgerAgeingCmd) Run(a *app) error {
	return a.books(func(s *opened, b *ledger.Books) error {
		open, err := b.OpenSums(a.now())
		if err != nil {
			return err
		}
		stock := b.Ageing(a.now())
		if c.JSON {
			return a.printJSON(map[string]any{"stock": orEmpty(stock), "open": orEmpty(open)})
		}
		rows := [][]string{{"WATCH", "SINCE", "DAYS", "AGE", "COST"}}
		for _, x := range stock {
			rows = append(rows, []string{x.Watch, x.Since, strconv.Itoa(x.Days), x.Bucket, x.Cost.String()})
		}
		rows = append(rows, []string{}, []string{"CLIENT", "SINCE", "DAYS", "AGE", "OPEN", "ACCOUNT"})
		for _, x := range open {
			rows = append(rows, []string{x.Party, x.Since, strconv.Itoa(x.Days), x.Bucket, x.Amount.String(),
				string(x.Account)})
		}
		return a.table(rows)
	})
}

type ledgerSettleCmd struct {
	Account  string `arg:"" enum:"consignor,partner,buyer,supplier" help:"With whom: consignor, partner, buyer or supplier."`
	Client   string `arg:"" help:"Id, name or e-mail address of a client."`
	Amount   string `help:"How much; default all that is open." placeholder:"AMOUNT"`
	Rate     string `help:"Rate of exchange of the day." placeholder:"RATE"`
	Pay      string `help:"bank or cash." enum:"bank,cash" default:"bank"`
	Document string `help:"Number of the payment." placeholder:"NUMBER"`
	Day      string `help:"The day; default today." placeholder:"2026-03-01"`
	By       string `help:"Who does it; default the user." env:"MIDCASE_USER"`
	JSON     bool   `name:"json" help:"Print the entry as JSON."`
}

// Run settles an open account.
func (c ledgerSettleCmd) Run(a *app) error {
	account := map[string]ledger.Account{"consignor": ledger.Consignors, "partner": ledger.Partners,
		"buyer": ledger.Receivable, "supplier": ledger.Payable}[c.Account]
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	d, err := moneyFlags{Client: c.Client, Rate: c.Rate, Pay: c.Pay, Document: c.Document, Day: c.Day}.dealing(a, s,
		c.Amount, "")
	if err != nil {
		return err
	}
	e, err := s.Trade.Settle(a.ctx, account, d, user(c.By))
	return a.entry(e, err, c.JSON)
}

// entry prints an entry that was booked.
func (a *app) entry(e ledger.Entry, err error, asJSON bool) error {
	if err != nil {
		return refused(err)
	}
	if asJSON {
		return a.printJSON(e)
	}
	_, err = fmt.Fprintln(a.out, e.ID)
	return err
}

type ledgerCapitalCmd struct {
	Amount string `arg:"" help:"Amount, such as 20000EUR."`
	Rate   string `help:"Rate of exchange of the day." placeholder:"RATE"`
	Pay    string `help:"bank or cash." enum:"bank,cash" default:"bank"`
	Day    string `help:"The day; default today." placeholder:"2026-03-01"`
	By     string `help:"Who does it; default the user." env:"MIDCASE_USER"`
	JSON   bool   `name:"json" help:"Print the entry as JSON."`
}

// Run books capital.
func (c ledgerCapitalCmd) Run(a *app) error {
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	d, err := moneyFlags{Rate: c.Rate, Pay: c.Pay, Day: c.Day}.dealing(a, s, c.Amount, "")
	if err != nil {
		return err
	}
	e, err := s.Trade.CapitalIn(a.ctx, d, user(c.By))
	return a.entry(e, err, c.JSON)
}

type ledgerVerifyCmd struct{}

// Run verifies the ledger.
func (ledgerVerifyCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.Accounts.VerifyLedger(a.ctx); err != nil {
		return err
	}
	_, err = fmt.Fprintln(a.out, "every entry is as it was kept, and balances")
	return err
}

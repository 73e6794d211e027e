package cli

import (
	"fmt"
	"io"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

type ledgerCmd struct {
	Balance   ledgerBalanceCmd   `cmd:"" help:"Balance of each account."`
	Journal   ledgerJournalCmd   `cmd:"" help:"The whole journal as plain text for accounting programs, or as CSV."`
	VAT       ledgerVATCmd       `cmd:"" name:"vat" help:"VAT figures by month."`
	StockBook ledgerStockBookCmd `cmd:"" name:"stockbook" help:"Stock book of the margin scheme."`
	Profit    ledgerProfitCmd    `cmd:"" help:"Profit by watch, reference, route or month."`
	Ageing    ledgerAgeingCmd    `cmd:"" help:"How long watches have been in stock, and what is still owed."`
	Settle    ledgerSettleCmd    `cmd:"" help:"Pay a consignor, partner or supplier, or receive what a buyer owes."`
	Capital   ledgerCapitalCmd   `cmd:"" help:"Book money that the owner puts in."`
	Overhead  ledgerOverheadCmd  `cmd:"" help:"Book a cost of the shop that belongs to no watch."`
	Exchange  ledgerExchangeCmd  `cmd:"" help:"Book an exchange of currencies."`
	Enter     ledgerEnterCmd     `cmd:"" help:"Book tax with the office, loans, wages, insurers, bad debts, import tax, write-downs and the like; ledger kinds lists all."`
	Kinds     ledgerKindsCmd     `cmd:"" help:"The kinds of entries that ledger enter takes, with their accounts."`
	Close     ledgerCloseCmd     `cmd:"" help:"Close a year that is over: its profit goes to equity, and it is locked."`
	Return    ledgerReturnCmd    `cmd:"" help:"The tax figures of a month, a quarter or a year in the boxes of a form."`
	Counter   ledgerCounterCmd   `cmd:"" help:"Reverse an entry that belongs to no watch, such as a settlement."`
	Period    ledgerPeriodCmd    `cmd:"" help:"Show or set the months that are filed or locked."`
	Rules     ledgerRulesCmd     `cmd:"" help:"Show or set how the books are kept: money in other currencies, tax on deposits."`
	Statement ledgerStatementCmd `cmd:"" help:"Read a bank statement (CAMT.053, CSV, XLSX), see which open sums its lines pay, and book the lines that you confirm."`
	Lots      ledgerLotsCmd      `cmd:"" help:"Money in other currencies, in the lots in which it came in."`
	Revalue   ledgerRevalueCmd   `cmd:"" help:"State money and open sums in other currencies at the closing rates of a day."`
	Verify    ledgerVerifyCmd    `cmd:"" help:"Check that no entry was changed or lost and that all entries balance."`
}

// booksCaution goes with figures that somebody might hand in as they are.
const booksCaution = "To help your bookkeeping; not tax advice. Check your local rules."

type ledgerBalanceCmd struct {
	table
	AsOf string `help:"Only entries up to this day." placeholder:"2026-03-01"`
}

// Run prints the balances.
func (c ledgerBalanceCmd) Run(a *app, s *opened) error {
	if _, err := time.Parse(time.DateOnly, c.AsOf); c.AsOf != "" && err != nil {
		return misuse{notADay(c.AsOf)}
	}
	books, err := s.Accounts.BooksAsOf(a.ctx, orElse(c.AsOf, "9999-12-31"))
	if err != nil {
		return err
	}
	all, err := books.Balances()
	return list(a, c.table, all, err, "No entries yet.", "ACCOUNT|NAME|DEBIT|CREDIT|IN "+string(s.Currency()),
		func(b ledger.Balance) cells {
			if b.Amount.Sign() < 0 {
				return cells{b.Account, b.Name, "", b.Amount.Neg(), b.Base.Amount()}
			}
			return cells{b.Account, b.Name, b.Amount, "", b.Base.Amount()}
		})
}

type ledgerJournalCmd struct {
	file
	CSV  bool `name:"csv" help:"Write CSV, one line of an entry a row."`
	Bean bool `name:"beancount" help:"Write the plain text that bean-check reads, with accounts opened by date."`
	JSON bool `name:"json" help:"Print the entries as JSON."`
	Last int  `help:"With --json: only the last so many entries." default:"0"`
}

// Run writes the journal.
func (c ledgerJournalCmd) Run(a *app, s *opened) error {
	if c.JSON {
		all, err := s.Entries(a.ctx, shop.EntryFilter{Last: c.Last})
		return list(a, table{output: output{JSON: true}}, all, err, "", "", func(ledger.Entry) cells { return nil })
	}
	return c.write(a, func(w io.Writer) error {
		if c.CSV {
			return s.Accounts.WriteLedgerCSV(a.ctx, w)
		}
		if c.Bean {
			return s.Accounts.WriteBeancount(a.ctx, w)
		}
		return s.Accounts.WriteJournal(a.ctx, w)
	})
}

type ledgerVATCmd struct {
	table
	From string `help:"First month." placeholder:"2026-01"`
	To   string `help:"Last month." placeholder:"2026-03"`
}

// Run prints VAT figures.
func (c ledgerVATCmd) Run(a *app, s *opened) error {
	for _, m := range []string{c.From, c.To} {
		if _, err := time.Parse("2006-01", m); m != "" && err != nil {
			return wrong("“%s” is not a month. Write it as 2026-01", m)
		}
	}
	return s.Accounts.Books(a.ctx, func(b *ledger.Books) error {
		all, err := b.VAT(c.From, c.To)
		a.caution(c.table)
		return list(a, c.table, all, err, "No taxed sales or purchases yet.",
			"MONTH|MARGIN SALES|MARGINS|TAX ON MARGINS|ORDINARY SALES|TAX ON SALES|OTHER TAX|UNTAXED SALES|"+
				"PURCHASES|TO RECLAIM|DUE|OF IT CORRECTIONS",
			func(r ledger.VATRow) cells {
				row := cells{r.Month}
				for _, m := range []money.Money{r.MarginSales, r.Margins, r.MarginTax, r.OrdinarySales, r.OrdinaryTax,
					r.OtherTax, r.UntaxedSales, r.Purchases, r.InputTax, r.Due, r.Corrections} {
					row = append(row, m.Amount())
				}
				return row
			})
	})
}

// caution says beside figures what they are not.
func (a *app) caution(t table) {
	if !t.JSON {
		fmt.Fprintln(a.err, booksCaution)
	}
}

type ledgerStockBookCmd struct {
	table
	Moves bool `help:"One row a movement: bought, sold, allowance, taken back, reversed."`
}

// Run prints the stock book.
func (c ledgerStockBookCmd) Run(a *app, s *opened) error {
	a.caution(c.table)
	if c.Moves {
		moves, err := s.Accounts.StockMoves(a.ctx)
		return list(a, c.table, moves, err, "No purchases yet.",
			"NO.|DAY|FILE|DESCRIPTION|WHAT|INVOICE|WITH|SCHEME|PRICE|"+
				"MARGIN|RATE|TAX|CORRECTS", func(r accounts.StockMoveRow) cells {
				rate := ""
				if !r.Rate.IsZero() {
					rate = r.Rate.String()
				}
				return cells{r.Number, r.Day, r.FileNumber, r.Description, strings.ReplaceAll(string(r.What), "_", " "),
					orElse(r.Invoice, r.Document), orElse(r.PartyName, r.Party), r.Scheme, r.Price.Amount(),
					amountOf(r.Margin), rate,
					amountOf(r.Tax), r.Corrects}
			})
	}
	all, err := s.Accounts.StockBook(a.ctx)
	return list(a, c.table, all, err, "No purchases yet.", "NO.|FILE|DESCRIPTION|SERIAL|BOUGHT|INVOICE|SELLER|PRICE|"+
		"SCHEME|SOLD|INVOICE|BUYER|PRICE|SOLD UNDER|MARGIN|RATE|TAX|NOTE", func(r accounts.StockBookRow) cells {
		rate := ""
		if !r.TaxRate.IsZero() {
			rate = r.TaxRate.String()
		}
		return cells{r.Number, r.FileNumber, r.Description, r.Serial, r.Bought, r.PurchaseDocument,
			orElse(r.SellerName, r.Seller), r.Price.Amount(), r.Scheme, r.Sold, orElse(r.Invoice, r.SaleDocument),
			orElse(r.BuyerName, r.Buyer), amountOf(r.SalePrice), r.SaleScheme, amountOf(r.Margin), rate,
			amountOf(r.Tax), r.Note}
	})
}

// amountOf is an amount without its currency; none is empty.
func amountOf(m money.Money) string {
	if m.IsZero() {
		return ""
	}
	return m.Amount()
}

type ledgerProfitCmd struct {
	table
	Per string `name:"by" help:"watch, reference, route or month." enum:"watch,reference,route,month" default:"month"`
}

// Run prints profits.
func (c ledgerProfitCmd) Run(a *app, s *opened) error {
	all, err := s.Accounts.Profit(a.ctx, c.Per)
	return list(a, c.table, all, err, "No sales yet.",
		strings.ToUpper(c.Per)+"|SOLD|INCOME|EXPENSE|PROFIT "+string(s.Currency()),
		func(r ledger.ProfitRow) cells {
			key := r.Key
			if c.Per == "watch" {
				key = fileNamed(a, s, key)
			}
			return cells{key, r.Sold, r.Income.Amount(), r.Expense.Amount(), r.Profit.Amount()}
		})
}

type ledgerAgeingCmd struct{ table }

// Run prints ages of stock and open money.
func (c ledgerAgeingCmd) Run(a *app, s *opened) error {
	return s.Accounts.Books(a.ctx, func(b *ledger.Books) error {
		open, err := b.OpenSums(a.now())
		if err != nil {
			return err
		}
		stock := b.Ageing(a.now())
		paying, err := s.Trade.InInstalments(a.ctx, open)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(map[string]any{"stock": filled(stock), "open": filled(open), "instalments": paying})
		}
		return c.ages(a, s, stock, open, paying)
	})
}

// fileNamed is a watch by its number and title; what is none stays as it is.
func fileNamed(a *app, s *opened, id string) string {
	if w, err := s.Watch(a.ctx, shop.WatchID(id)); err == nil && id != "" {
		return fmt.Sprintf("no. %d %s", w.Number, w.Title)
	}
	return id
}

// ages prints the ages of stock, of what is open, and of instalments.
func (c ledgerAgeingCmd) ages(a *app, s *opened, stock []ledger.Aged, open []ledger.OpenSum,
	paying []trade.Owing) error {
	people, _, err := s.Names(a.ctx, "ageing")
	if err != nil {
		return err
	}
	watch := func(id string) string { return fileNamed(a, s, id) }
	if err := list(a, c.table, stock, nil, "No watches in stock.", "WATCH|SINCE|DAYS|AGE|COST",
		func(x ledger.Aged) cells { return cells{watch(x.Watch), x.Since, x.Days, x.Bucket, x.Cost} }); err != nil {
		return err
	}
	fmt.Fprintln(a.out)
	if err := list(a, c.table, open, nil, "Nothing is owed.", "CLIENT|WATCH|SINCE|DAYS|AGE|OPEN|ACCOUNT",
		func(x ledger.OpenSum) cells {
			return cells{orElse(people[x.Party], x.Party), watch(x.Watch), x.Since, x.Days, x.Bucket, x.Amount,
				x.Account}
		}); err != nil || len(paying) == 0 {
		return err
	}
	fmt.Fprintln(a.out)
	return list(a, c.table, paying, nil, "", "IN INSTALMENTS|WATCH|NEXT|DUE THEN|OVERDUE SINCE|OVERDUE|PAID SO FAR",
		func(x trade.Owing) cells {
			overdue := ""
			if x.Overdue.Sign() > 0 {
				overdue = exact(x.Overdue)
			}
			return cells{orElse(people[x.Client], x.Client), watch(string(x.Watch.ID)), x.Next, x.Due, x.Since,
				overdue, x.Paid}
		})
}

type ledgerVerifyCmd struct{}

// Run verifies the ledger.
func (ledgerVerifyCmd) Run(a *app, s *opened) error {
	return output{}.line(a, nil, s.Accounts.VerifyLedger(a.ctx), "All entries are unchanged and balance.")
}

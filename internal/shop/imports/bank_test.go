package imports_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

func owed(t *testing.T, b *shoptest.Bench) (buyer, seller string) {
	t.Helper()
	ctx := t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	s, err := b.People.Add(ctx, shop.Client{Name: "Selma Lund", Identity: &shop.Identity{Paper: "passport", Number: "X",
		Seen: edtf.MustParse("2026-01-01"), By: "x"}})
	must(err)
	c, err := b.People.Add(ctx, shop.Client{Name: "Bruno Vale"})
	must(err)
	rate, zero := decimal.MustParse("0.2"), "margin"
	for i, price := range []string{"8200", "1500"} {
		w, err := b.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "x")
		must(err)
		pay := ledger.Bank
		if i == 0 {
			pay = ledger.Payable
		}
		_, err = b.Trade.Buy(ctx, w.ID, trade.Buying{Scheme: zero, Terms: trade.Terms{Day: "2026-01-05", Client: s.ID,
			Amount: money.MustParse("1000", "EUR"), Pay: pay, Document: "K-2026-7"}}, "x")
		must(err)
		_, err = b.Trade.Sell(ctx, w.ID, trade.Selling{TaxRate: &rate,
			Terms: trade.Terms{Day: "2026-01-20", Client: c.ID,
				Amount: money.MustParse(price, "EUR"), Pay: ledger.Receivable, Document: "INV-10" +
					string(rune('1'+i)) + "1"}}, "x")
		must(err)
	}
	return c.ID, s.ID
}

const statement = "Date,Name,Description,Amount\n2026-02-01,,INV-1011 first part,3000.00\n2026-02-02,Vale Bruno,both,6700.00\n" +
	"2026-02-03,Selma Lund,K-2026-7,-1000.00\n2026-02-04,,Bank charges,-4.50\n2026-02-05,Somebody,gift,17.00\n"

func balance(t *testing.T, b *shoptest.Bench, account ledger.Account) string {
	t.Helper()
	books, err := b.Accounts.BooksAsOf(t.Context(), "9999-12-31")
	if err != nil {
		t.Fatal(err)
	}
	all, err := books.Balances()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range all {
		if x.Account == account {
			return x.Base.Amount()
		}
	}
	return "0.00"
}

// Part payments, one payment for two invoices, a purchase paid and a charge: nothing is booked unseen, nothing twice,
// and all of it can be taken back.
func TestABankStatementIsBookedOnce(t *testing.T) {
	b := shoptest.New(t)
	ctx := t.Context()
	owed(t, b)
	f := imports.BankFile{Name: "bank.csv", Data: []byte(statement)}
	before := balance(t, b, ledger.Bank)
	p, err := b.Imports.ReadBank(ctx, f)
	if err != nil || len(p.Proposals) != 5 || balance(t, b, ledger.Bank) != before {
		t.Fatalf("%v: %+v", err, p)
	}
	if x := p.Proposals[1]; len(x.Parts) != 2 || x.Parts[0].Amount.String() != "5200.00 EUR" {
		t.Errorf("one payment for the rest of one invoice and another: %+v", x.Parts)
	}
	for want, lines := range map[string][]int{"nothing is proposed": {5}, "a line of the statement": {9},
		"one line or more": nil} {
		if _, err := b.Imports.BookBank(ctx, f, lines, "x"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v; want %q", lines, err, want)
		}
	}
	batch, err := b.Imports.BookBank(ctx, f, []int{1, 2, 3, 4}, "x")
	if err != nil || len(batch.Lines) != 4 || len(batch.Entries) != 5 {
		t.Fatalf("%v: %+v", err, batch)
	}
	for account, want := range map[ledger.Account]string{ledger.Receivable: "0.00", ledger.Payable: "0.00",
		ledger.Overheads: "4.50"} {
		if got := balance(t, b, account); got != want {
			t.Errorf("%s stands at %s; want %s", account, got, want)
		}
	}
	again, err := b.Imports.ReadBank(ctx, f)
	if err != nil || len(again.Proposals) != 1 || again.Booked[2] != batch.ID {
		t.Errorf("read again: %v %+v", err, again)
	}
	if _, err := b.Imports.BookBank(ctx, f, []int{1}, "x"); err == nil || !strings.Contains(err.Error(),
		"booked before") {
		t.Errorf("booked twice: %v", err)
	}
	undone, err := b.Imports.Undo(ctx, batch.ID, "x")
	if err != nil || undone.Undone.Taken != 5 || len(undone.Undone.Kept) != 0 || balance(t, b, ledger.Bank) != before ||
		balance(t, b, ledger.Receivable) != "9700.00" {
		t.Errorf("%v: %+v, bank %s", err, undone.Undone, balance(t, b, ledger.Bank))
	}
	if p, err := b.Imports.ReadBank(ctx, f); err != nil || len(p.Proposals[0].Parts) != 1 {
		t.Errorf("after taking it back: %v %+v", err, p.Proposals)
	}
}

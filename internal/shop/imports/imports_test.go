package imports_test

import (
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/notes"
	"midcase/tables"
)

const stockList = `Maker;Ref;Serial;Bought;Paid;Asking;State;From;Notes
Corvane;KR-1;310077;2025-11-04;2.800 €;4.900 €;listed;Mr Ottwil;case never polished
Corvane;KR-2;;2026-01-10;3.100 €;;in stock;;
Corvane;KR-1;310099;2025-06-01;2.500 €;;sold;;
`

const salesList = `Date;Maker;Reference;Price
2025-02-03;Corvane;KR-1;4.300 €
2025-06-11;Corvane;KR-1;4.450
2025-02-03;Corvane;KR-1;4.300 €
2025-09-30;Corvane;KR-2;on request
`

const clientList = `Name,E-mail,Opt-in
Alba Ambrell,alba@ambrell.example,yes
Bero Boswick,bero@boswick.example,
`

func bring(t *testing.T, b *shoptest.Bench, as tables.Kind, text string, answers map[string]string) shop.Batch {
	t.Helper()
	p, err := b.Imports.Bring(t.Context(), imports.File{Name: "files/" + string(as) + ".csv", Data: []byte(text),
		As: as, Answers: answers}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return p.Batch
}

// TestStockComesWithItsPast holds records, evidence and opening entries of a stock list, that a second import adds
// nothing, and that undoing takes all of it back.
func TestStockComesWithItsPast(t *testing.T) {
	b := shoptest.New(t)
	got := bring(t, b, tables.Stock, stockList, nil)
	if got.Added() != 3 || len(got.KeptOut) != 0 {
		t.Fatalf("added %d, kept out %v, says %v; want three watches", got.Added(), got.KeptOut, got.Says)
	}
	if s := b.Balance(t, ledger.StockPurchase); s != "5900.00" {
		t.Errorf("stock is worth %s in the books; want the 5900.00 paid for the two in stock", s)
	}
	w, err := b.Find(t.Context(), "310077")
	if err != nil || w.State != shop.Listed || w.Asking.String() != "4900.00 EUR" ||
		w.Acquired.String() != "2025-11-04" {
		t.Fatalf("%+v, %v", w, err)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	unpolished := false
	for _, it := range log.Evidence {
		if !strings.HasPrefix(it.Note, "stock.csv, row 2") {
			t.Errorf("item %s cites %q; want the row that it comes from", it.Kind(), it.Note)
		}
		f, ok := it.Data.(*evidence.Finding)
		unpolished = unpolished || ok && f.Slot == evidence.Case
	}
	if !unpolished {
		t.Error("the note that the case was never polished is no finding")
	}
	if again := bring(t, b, tables.Stock, stockList, nil); again.Added() != 0 || again.Repeated != 3 {
		t.Errorf("a second import added %d and found %d; want 0 and 3", again.Added(), again.Repeated)
	}
	undone, err := b.Imports.Undo(t.Context(), got.ID, "Ines")
	if err != nil || undone.Undone.Taken != 4 {
		t.Fatalf("%+v, %v; want three watches and a seller taken back", undone.Undone, err)
	}
	if s := b.Balance(t, ledger.StockPurchase); s != "0.00" {
		t.Errorf("after undoing %s of stock are booked", s)
	}
	if all, err := b.StockList(t.Context()); err != nil || len(all) != 0 {
		t.Errorf("after undoing the stock list has %d watches, %v", len(all), err)
	}
	if err := b.Store.VerifyLedger(t.Context()); err != nil {
		t.Error(err)
	}
	if again := bring(t, b, tables.Stock, stockList, nil); again.Added() != 3 {
		t.Errorf("after undoing an import adds %d; want 3", again.Added())
	}
}

const pastList = `Maker;Ref;Serial;Bought;Paid;State;From;Location
Corvane;KR-1;310077;2025-11-04;2.800 $;in stock;Mr Ottwil;Safe A
Corvane;KR-1;310099;2025-06-01;2.500 €;Sold 13/9/2025 3.400 €;Mr Ottwil;
Corvane;KR-2;310100;2025-06-02;2.600 €;Kommission Frau Beck;;
Corvane;KR-2;310101;2025-06-02;2.700;in stock;fair;
`

// TestWhatAListTellsBesideItsWatches holds that sellers become clients once, that a sold
// row's sale is put on record, that a row which waits is told from one kept out, and that
// a purchase without a rate is booked when the rate comes.
func TestWhatAListTellsBesideItsWatches(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	got := bring(t, b, tables.Stock, pastList, nil)
	if got.Added() != 3 || got.RowsWaiting() != 1 || got.RowsOut() != 0 || len(got.Clients) != 2 ||
		len(got.Sales) != 1 || len(got.Unbooked) != 1 {
		t.Fatalf("%+v; want 3 watches, 2 sellers, 1 sale, 1 row that waits, 1 purchase without a rate", got)
	}
	w, err := b.Find(ctx, "310077")
	if err != nil || w.Place != "Safe A" {
		t.Fatalf("%+v, %v; want it in safe A", w, err)
	}
	if c, err := b.People.Find(ctx, "Mr Ottwil"); err != nil || c.ID != w.Client || len(c.Consents) != 0 {
		t.Errorf("%+v, %v; want the seller without a consent", c, err)
	}
	set, err := b.Settings(ctx)
	if err != nil {
		t.Fatal(err)
	}
	set.RatesCSV = "Date,USD\n2025-01-02,1.12\n2025-11-03,1.12\n"
	if err := b.SetSettings(ctx, set); err != nil {
		t.Fatal(err)
	}
	for want := range 2 { // once, not twice
		n, err := b.Imports.BookLate(ctx, "Ines")
		if err != nil || n != 1-want {
			t.Errorf("booked %d, %v; want %d", n, err, 1-want)
		}
	}
	if s := b.Balance(t, ledger.StockPurchase); s != "2500.00" {
		t.Errorf("stock is worth %s in the books; want the 2800 USD at 1.12", s)
	}
	undone, err := b.Imports.Undo(ctx, got.ID, "Ines")
	if err != nil || len(undone.Undone.Kept) != 0 {
		t.Errorf("%+v, %v; want all taken back", undone.Undone, err)
	}
	if s := b.Balance(t, ledger.StockPurchase); s != "0.00" {
		t.Errorf("after undoing %s of stock are booked", s)
	}
}

// TestUndoLeavesWhatSomethingStandsOn adds evidence to an imported watch, which then stays.
func TestUndoLeavesWhatSomethingStandsOn(t *testing.T) {
	b := shoptest.New(t)
	got := bring(t, b, tables.Stock, stockList, nil)
	b.Clock.Set(shoptest.Morning.AddDate(0, 0, 1))
	b.Record(t, got.Watches[0], &evidence.Claim{About: "owner", Text: "one owner"})
	undone, err := b.Imports.Undo(t.Context(), got.ID, "Ines")
	if err != nil || undone.Undone.Taken != 2 || len(undone.Undone.Kept) != 2 {
		t.Fatalf("%+v, %v; want two taken back, one that stays and its seller", undone.Undone, err)
	}
	if k := undone.Undone.Kept[0]; k.ID != string(got.Watches[0]) || k.Why != "evidence was added since" {
		t.Errorf("%+v", k)
	}
}

// TestSalesWaitForTheAnswer holds that a bare amount is asked about and comes in once it is answered.
func TestSalesWaitForTheAnswer(t *testing.T) {
	b := shoptest.New(t)
	got := bring(t, b, tables.Sales, salesList, nil)
	if got.Added() != 1 || got.Repeated != 1 || len(got.KeptOut) != 2 {
		t.Fatalf("added %d, repeated %d, kept out %v; want 1, 1 and the bare amount with the one on request",
			got.Added(), got.Repeated, got.KeptOut)
	}
	more := bring(t, b, tables.Sales, salesList, map[string]string{"currency": "EUR"})
	if more.Added() != 1 || more.Repeated != 2 {
		t.Errorf("added %d, repeated %d; want 1 and 2", more.Added(), more.Repeated)
	}
	if _, err := b.Imports.Undo(t.Context(), got.ID, "Ines"); err != nil {
		t.Fatal(err)
	}
	if n, err := b.SaleCount(t.Context()); n != 1 || err != nil {
		t.Errorf("%d sales left, %v; want the one of the other batch", n, err)
	}
}

// TestClientsWithoutConsentOutOfNothing imports a mailing list.
func TestClientsWithoutConsentOutOfNothing(t *testing.T) {
	b := shoptest.New(t)
	got := bring(t, b, tables.Clients, clientList, nil)
	if len(got.Clients) != 2 {
		t.Fatalf("%+v", got)
	}
	all, err := b.People.All(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		if given, asked := c.Allows("offers"); asked != (c.Name == "Alba Ambrell") || given != asked {
			t.Errorf("%s: consent %v, on record %v", c.Name, given, asked)
		}
	}
	if again := bring(t, b, tables.Clients, clientList, nil); again.Added() != 0 {
		t.Errorf("a second import added %d", again.Added())
	}
	undone, err := b.Imports.Undo(t.Context(), got.ID, "Ines")
	if err != nil || undone.Undone.Taken != 2 {
		t.Errorf("%+v, %v", undone.Undone, err)
	}
}

// A note column is read with the words that the shop uses in its own way.
func TestNoteColumnsKnowTheShopsWords(t *testing.T) {
	b := shoptest.New(t)
	if err := b.Intake.LearnWord(t.Context(), notes.Own{Say: "peppered", Term: "spotting"}, "Ines"); err != nil {
		t.Fatal(err)
	}
	p, err := b.Imports.Read(t.Context(), imports.File{Name: "stock.csv", As: tables.Stock,
		Data: []byte("Maker;Ref;Serial;Notes\nCorvane;KR-1;310077;dial peppered near 4\n")})
	if err != nil || len(p.Rows) != 1 || len(p.Rows[0].Items) != 1 {
		t.Fatalf("%+v, %v", p.Rows, err)
	}
	if f, ok := p.Rows[0].Items[0].Data.(*evidence.Finding); !ok || f.Term != "spotting" {
		t.Errorf("read as %+v", p.Rows[0].Items[0].Data)
	}
}

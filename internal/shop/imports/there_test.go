package imports_test

import (
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/internal/shop/shoptest"
	"midcase/money"
	"midcase/tables"
)

const lastMonth = `Maker;Ref;Serial;Bought;Paid;Asking;State
Corvane;KR-1;310077;2025-11-04;2800 EUR;4900 EUR;in stock
Corvane;KR-1;310078;2025-11-05;2900 EUR;4950 EUR;in stock
Corvane;KR-2;;2025-11-06;3000 EUR;5000 EUR;in stock
Corvane;KR-2;;2025-11-06;3000 EUR;5600 EUR;in stock
`

// A list of the next month that says something else of a watch of the shop is asked about: nothing of it is lost,
// nothing comes in twice, and what it changed can be taken back.
func TestWatchesThatAreThereAlready(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	if got := bring(t, b, tables.Stock, lastMonth, nil); got.Added() != 4 {
		t.Fatalf("%+v; want four watches", got)
	}
	next := strings.NewReplacer("4900 EUR;in stock", "5200 EUR;listed", "5600 EUR", "5400 EUR", "2900 EUR", "3100 EUR",
		"2800 EUR", "2800.00 EUR").Replace(lastMonth)
	p, err := b.Imports.Read(ctx, imports.File{Name: "next.csv", Data: []byte(next), As: tables.Stock})
	if err != nil {
		t.Fatal(err)
	}
	if p.Batch.Added() != 0 || p.Batch.RowsWaiting() != 3 || p.Batch.Repeated != 1 || len(p.Questions) != 1 ||
		p.Questions[0].ID != imports.AskThere || len(p.Questions[0].Lines) != 3 || len(p.Batch.KeptOut) != 4 {
		t.Fatalf("%+v, %+v; want one row there already and three asked about", p.Batch, p.Questions)
	}
	const want = "in the shop already as no. 1, Corvane KR-1"
	if k := p.Batch.KeptOut[0]; k.Line != 2 || k.Field != "asking" || !strings.HasPrefix(k.Reason, want) ||
		!strings.HasSuffix(k.Reason, "the file says asking 5,200 EUR, the shop 4,900 EUR") {
		t.Errorf("%+v; want both prices", k)
	}
	if k := p.Batch.KeptOut[1]; k.Field != "state" || !strings.HasSuffix(k.Reason, "the file says listed, the shop in stock") {
		t.Errorf("%+v; want both states", k)
	}
	if got := bring(t, b, tables.Stock, next, map[string]string{"there": "keep the shop's"}); got.Added() != 0 ||
		len(got.Changed) != 0 || got.Repeated != 4 || got.RowsWaiting() != 0 {
		t.Errorf("%+v; want all as the shop has it", got)
	}
	got := bring(t, b, tables.Stock, next,
		map[string]string{"there": "keep", "there.2": "take", "there.3": "take the file's"})
	if len(got.Changed) != 1 || len(got.Says) != 1 || !strings.Contains(got.Says[0], "3,100 EUR was paid") {
		t.Fatalf("%+v; want one watch changed, and what was paid left as it is booked", got)
	}
	is := func(state shop.State, asking string) {
		t.Helper()
		w, err := b.Find(ctx, "310077")
		if err != nil || w.State != state || w.Asking.String() != asking {
			t.Errorf("%s, asking %s, %v; want %s, %s", w.State, w.Asking, err, state, asking)
		}
	}
	is(shop.Listed, "5200.00 EUR")
	if again := bring(t, b, tables.Stock, lastMonth, nil); again.Brings() || again.RowsWaiting() != 0 {
		t.Errorf("%+v; want nothing of a file that was brought in before", again)
	}
	undone, err := b.Imports.Undo(ctx, got.ID, "Ines")
	if err != nil || undone.Undone.Taken != 1 || len(undone.Undone.Kept) != 0 {
		t.Fatalf("%+v, %v; want the change taken back", undone.Undone, err)
	}
	is(shop.Bought, "4900.00 EUR")
	if err := b.Store.VerifyLedger(ctx); err != nil {
		t.Error(err)
	}
}

// What was changed by hand since stays when the batch is taken back.
func TestAChangeThatWasChangedStays(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	bring(t, b, tables.Stock, lastMonth, nil)
	next := strings.ReplaceAll(lastMonth, "4900 EUR", "5200 EUR")
	got := bring(t, b, tables.Stock, next, map[string]string{"there": "take"})
	w, err := b.Find(ctx, "310077")
	if err != nil {
		t.Fatal(err)
	}
	if w.Asking, err = money.Parse("5300", "EUR"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Trade.Change(ctx, w); err != nil {
		t.Fatal(err)
	}
	undone, err := b.Imports.Undo(ctx, got.ID, "Ines")
	if err != nil || undone.Undone.Taken != 0 || len(undone.Undone.Kept) != 1 {
		t.Errorf("%+v, %v; want the newer price kept", undone.Undone, err)
	}
}

// A row with the number of another row, of another reference, waits; one that repeats a watch with another price is
// named.
func TestNumbersTwiceInOneList(t *testing.T) {
	b := shoptest.New(t)
	got := bring(t, b, tables.Stock, `Maker;Ref;Serial;Bought;Paid;Asking
Corvane;KR-1;310077;2025-11-04;2800 EUR;4900 EUR
Corvane;KR-2;310077;2025-11-05;2900 EUR;4950 EUR
Corvane;KR-1;310077;2025-11-04;2800 EUR;5100 EUR
`, nil)
	if got.Added() != 1 || got.RowsWaiting() != 1 || got.Repeated != 1 || got.CellsOut() != 1 {
		t.Fatalf("%+v; want one in, one waiting, one repeated with its price named", got)
	}
	for _, k := range got.KeptOut {
		if k.Line == 3 && !k.Odd || k.Line == 4 && (k.Field != "asking" || !strings.Contains(k.Reason, "row 2")) {
			t.Errorf("%+v", k)
		}
	}
	if _, err := b.Imports.Read(t.Context(), imports.File{Name: "list.csv", Data: []byte(lastMonth), As: tables.Stock,
		Answers: map[string]string{"there": "both"}}); err == nil {
		t.Error("an answer that is none was taken")
	}
}

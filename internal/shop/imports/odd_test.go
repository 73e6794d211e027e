package imports_test

import (
	"strings"
	"testing"

	"midcase/internal/shop/imports"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/tables"
)

const oddList = `Maker;Ref;Serial;Bought;Paid;State
Corvane;KR-1;310077;2025-11-04;2.800 €;in stock
Corvane;KR-1;999999999;2025-11-05;2.900 €;in stock
Corvane;KR-2;310200;2025-11-06;3.000 €;in stock
`

// Rows that look wrong wait until somebody says that they are right: all of them, or one with its reason. A preview
// says the same.
func TestOddRowsWait(t *testing.T) {
	read := func(b *shoptest.Bench, answers map[string]string) imports.Preview {
		t.Helper()
		p, err := b.Imports.Read(t.Context(), imports.File{Name: "list.csv", Data: []byte(oddList), As: tables.Stock,
			Answers: answers})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	b := shoptest.New(t)
	b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "310200"})
	p := read(b, nil)
	if p.Batch.Added() != 1 || p.Batch.RowsWaiting() != 2 || len(p.Questions) != 1 ||
		p.Questions[0].ID != imports.AskOdd {
		t.Fatalf("%+v, %+v; want one row in, two asked about", p.Batch, p.Questions)
	}
	if k := p.Batch.KeptOut; k[0].Line != 3 || k[0].Field != "serial" || k[0].Found != "999999999" || !k[0].Odd ||
		k[1].Line != 4 || !strings.Contains(k[1].Reason, "File 1, Corvane KR-1") {
		t.Errorf("%+v; want the number beyond the run, and the one that a file has", k)
	}
	if p := read(b, map[string]string{"odd": "keep out"}); p.Batch.RowsOut() != 2 || p.Batch.RowsWaiting() != 0 {
		t.Errorf("%+v; want both kept out", p.Batch)
	}
	if p := read(b, map[string]string{"cell.3.serial": "310078"}); p.Batch.Added() != 2 {
		t.Errorf("%+v; want the row in whose number was mended", p.Batch)
	}
	got := bring(t, b, tables.Stock, oddList, map[string]string{"odd.3": "the archive wrote it so"})
	if got.Added() != 2 || got.RowsWaiting() != 1 {
		t.Fatalf("%+v; want the row in that is right, and the other waiting", got)
	}
	w, err := b.Find(t.Context(), "999999999")
	if err != nil {
		t.Fatal(err)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil || log.Evidence[0].Note != "stock.csv, row 3; kept all the same: the archive wrote it so" {
		t.Errorf("%+v, %v; want the row and the reason", log.Evidence, err)
	}
	if s := read(b, nil); len(s.Answers) != 0 || s.Batch.RowsWaiting() != 1 {
		t.Errorf("%+v; want what was said of one file not said of the next", s.Batch)
	}
	if got := bring(t, b, tables.Stock, oddList, map[string]string{"odd": "bring in"}); got.Added() != 1 {
		t.Errorf("%+v; want the last row in", got)
	}
	if _, err := b.Imports.Read(t.Context(), imports.File{Name: "list.csv", Data: []byte(oddList), As: tables.Stock,
		Answers: map[string]string{"odd": "perhaps"}}); err == nil {
		t.Error("an answer that is none was taken")
	}
}

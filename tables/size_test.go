package tables_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"midcase/tables"
)

// A long list is read whole: every one of ten thousand rows, each with its amount.
func TestLongListIsReadWhole(t *testing.T) {
	var b strings.Builder
	b.WriteString("Maker;Ref;Serial;Bought;Paid;Notes\n")
	for i := range 10_000 {
		fmt.Fprintf(&b, "Orbenau;T %d;%d;2024-%02d-11;%d,50 €;case polished\n", 200+i%40, 300000+i, 1+i%12, 1000+i)
	}
	r, err := tables.Read([]byte(b.String()), tables.Stock, tables.Options{Now: today})
	if err != nil || len(r.Rows) != 10_000 || len(r.KeptOut) != 0 {
		t.Fatalf("%d rows, %d kept out, %v; want all ten thousand", len(r.Rows), len(r.KeptOut), err)
	}
}

// A small file that unpacks to more than a gigabyte is refused with what to do.
func TestZipBombIsRefused(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	block := bytes.Repeat([]byte{'0'}, 1<<20)
	for range 1100 {
		if _, err := w.Write(block); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	_, err = tables.Read(b.Bytes(), tables.Stock, tables.Options{Now: today})
	if err == nil || !strings.Contains(err.Error(), "save the one sheet as CSV") {
		t.Errorf("%v; want it refused before it is unpacked", err)
	}
}

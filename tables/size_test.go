package tables_test

import (
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

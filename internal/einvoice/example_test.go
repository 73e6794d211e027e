package einvoice_test

import (
	"fmt"

	"github.com/govalues/decimal"

	"midcase/internal/einvoice"
)

func ExampleCheck() {
	v := einvoice.Invoice{Model: einvoice.Model, Number: "2026-0001", Kind: einvoice.Commercial, Issued: "2026-11-02"}
	v.Totals.Gross = einvoice.Some(decimal.MustParse("100.00"))
	for _, b := range einvoice.Check(v) {
		if b.Rule == "BR-CO-15" || b.Rule == "BR-09" {
			fmt.Println(b.Rule, b.Says)
		}
	}
	// Output:
	// BR-09 the seller's address has a country (BT-40)
	// BR-CO-15 the total with VAT is the one without plus VAT
}

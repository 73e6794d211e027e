package document

import (
	"bytes"
	"fmt"
	"testing"

	"midcase/money"
	"midcase/say"
)

// settlements are those of one sale with everything that can stand on them.
func settlements(language string) []*Settlement {
	chf := func(s string) money.Money { return money.MustParse(s, "CHF") }
	v := Settlement{Head: Head{Kind: KindSettlement, Number: "O-2026-0007", Day: "2026-03-01", Issuer: Party{
		Name: "Marrow Lane Watches", Lines: []string{"7 Marrow Lane"}, TaxNumber: "CHE-000.000.000",
		Registration: "R 1"}, LogHead: "12 ab", Language: language}, Goods: Goods{File: "107",
		Title:  "Askelund Skerry KR-1",
		Serial: "1 204 417", Reference: "KR-1"}, Owner: Party{Name: "O. Owner", Lines: []string{"3 Quay"}},
		Sold: "2026-02-20", Share: "0.15", Price: chf("8200"),
		Allowed:    []SettledItem{{SettledAllowance, "2026-02-24", "", chf("-200")}},
		Commission: chf("1200"), Rate: "0.081", BeforeTax: chf("1110.08"), Tax: chf("89.92"),
		TaxBase: money.MustParse("95.04", "EUR"), Costs: []SettledItem{{SettledCost, "2026-01-12", "new crystal",
			chf("-120")}}, Owed: chf("6680"), Paid: []SettledItem{{SettledAdvance, "2026-01-20", "", chf("-1000")},
			{SettledBank, "2026-02-25", "", chf("-2000")}, {SettledCash, "2026-02-26", "", chf("-4000")},
			{SettledTogether, "", "", chf("-100")},
			{SettledBank, "2026-02-27", "", chf("20")}}, Due: chf("-400"), Elsewhere: []SettledItem{{SettledCost,
			"2026-01-13", "a strap", money.MustParse("-40", "USD")}}, BuyerOwes: chf("500"),
		Replaces: "O-2026-0006"}
	own := v
	own.OwnName, own.Net, own.Number, own.Replaces = true, chf("6800"), "", ""
	own.Cancels, own.Returned = "O-2026-0006", true
	plain := v
	plain.Rate, plain.Replaces, plain.Cancels = "", "", "O-2026-0006"
	plain.Paid, plain.Elsewhere = nil, nil
	return []*Settlement{&v, &own, &plain}
}

// The settlement of one sale, in each language, as it was read.
func TestSettlementAsItWasRead(t *testing.T) {
	var all bytes.Buffer
	for _, language := range say.Languages() {
		for _, one := range settlements(language) {
			fmt.Fprintf(&all, "<!-- %s -->\n", language)
			if err := WriteSlipMarkdown(&all, one); err != nil {
				t.Fatal(err)
			}
			var pdf bytes.Buffer
			if err := WriteSlipPDF(&pdf, one); err != nil || !bytes.Contains(pdf.Bytes(), []byte("/Lang")) {
				t.Errorf("%s: %v, or no language in the PDF", language, err)
			}
		}
	}
	golden(t, "settlement.md", all.Bytes())
}

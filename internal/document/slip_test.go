package document

import (
	"bytes"
	"strings"
	"testing"

	"midcase/money"
)

func plainSlips() []Slip {
	head := func(kind string) Head {
		return Head{Kind: kind, Number: "2026-0001", Day: "2026-03-01",
			Issuer: Party{Name: "Marrow Lane Watches",
				Lines: []string{"7 Marrow Lane"}}, Terms: []string{"By appointment."}}
	}
	goods := Goods{File: "107", Title: "Askelund Skerry KR-1", Serial: "1 204 417"}
	who := Party{Name: "B. Buyer"}
	eur := money.MustParse("8200", "EUR")
	return []Slip{
		&Invoice{Head: head(KindInvoice), Goods: goods, Buyer: who, Supplied: "2026-02-28", Price: eur, Due: eur,
			Scheme: "margin", SchemeSay: "Margin scheme – second-hand goods"},
		&MemoNote{Head: head(KindMemo), Goods: goods, Borrower: who, Value: eur, Due: "2026-04-01",
			Risk: "borne by the taker"},
		&PurchaseStatement{Head: head(KindPurchase), Goods: goods, Seller: who, Price: eur, Private: true},
		&ConsignmentNote{Head: head(KindConsignment), Goods: goods, Owner: who, Value: eur, Commission: "0.125",
			Risk: "borne by the shop"},
		&Settlement{Head: head(KindSettlement), Goods: goods, Owner: who, Sold: "2026-02-28",
			Share: "0.15", Price: eur, Commission: money.MustParse("1230", "EUR"), Owed: money.MustParse("6970", "EUR"),
			Due: money.MustParse("6970", "EUR")},
		&WorkOrder{Head: head(KindWork), Goods: goods, Workshop: who, Handed: "2026-03-01", Due: "2026-04",
			Work: []string{"service", "new crystal: acrylic, of the right height"}, Limit: eur},
		&PackingList{Head: head(KindPacking), Goods: goods, To: who, Sent: "2026-03-01", Value: eur, Precious: true,
			Contents: []string{"the watch, serial number 12", "its box"}, Sold: true},
	}
}

// A paper that was kept as JSON prints again to the same bytes, in every form.
func TestSlipsPrintAgain(t *testing.T) {
	for _, one := range plainSlips() {
		var kept, pdf, again, md bytes.Buffer
		for _, err := range []error{WriteSlipJSON(&kept, one), WriteSlipPDF(&pdf, one), WriteSlipMarkdown(&md, one)} {
			if err != nil {
				t.Fatal(err)
			}
		}
		back, err := ReadSlip(kept.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if err := WriteSlipPDF(&again, back); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(pdf.Bytes(), again.Bytes()) {
			t.Errorf("%T prints otherwise from what was kept", one)
		}
		for _, want := range []string{"2026-0001", "Askelund Skerry KR-1", "8,200.00", "B. Buyer",
			"local rules"} {
			if !strings.Contains(md.String(), want) {
				t.Errorf("%T: no %q in\n%s", one, want, md.String())
			}
		}
	}
}

func TestSlipBears(t *testing.T) {
	long := strings.Repeat("a very long word of the terms, and another; ", 400)
	v := &Invoice{Head: Head{Kind: KindInvoice, Issuer: Party{Lines: []string{"\x00", "<script>", "漢字", long}},
		Terms: []string{long, long}}, Goods: Goods{Title: long, Faults: []string{long}}, Buyer: Party{Name: long}}
	var pdf, md bytes.Buffer
	if err := WriteSlipPDF(&pdf, v); err != nil {
		t.Fatal(err)
	}
	if err := WriteSlipMarkdown(&md, v); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(md.String(), "<script>") {
		t.Error("a mark of HTML goes through")
	}
}

func TestReadSlipRefuses(t *testing.T) {
	for _, text := range []string{"", "{", `{"kind":"poem"}`, `{"kind":"invoice","price":"much"}`} {
		if _, err := ReadSlip([]byte(text)); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}

func TestPercentOf(t *testing.T) {
	for rate, want := range map[string]string{"0.20": "20 %", "0.2": "20 %", "0.125": "12.5 %", "0.055": "5.5 %",
		"0": "0 %", "1": "100 %"} {
		if got := strings.ReplaceAll(percentOf(rate), nbsp, " "); got != want {
			t.Errorf("%s is %q; want %q", rate, got, want)
		}
	}
}

package papers_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/einvoice"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
)

// headed gives the shop the letterhead that e-invoices ask for.
func headed(t *testing.T, s *rooms.Shop) {
	t.Helper()
	l := must(s.Letterhead(t.Context()))(t)
	l.TaxNumber, l.Country, l.Lines, l.Bank = "NL000000000B00", "NL", []string{"7 Marrow Lane", "Eastmere"},
		"IBAN NL91 ABNA 0417 1643 00"
	if err := s.SetLetterhead(t.Context(), l); err != nil {
		t.Fatal(err)
	}
}

// An invoice over 8,000 with 500 deposit and the rest owed, with tax on the whole price: 8000 · 0.2 / 1.2 = 1,333.33,
// worked by hand; then an allowance of 200, and the whole taken back.
func TestEInvoiceOfASaleAndItsCreditNotes(t *testing.T) {
	s, _ := open(t)
	headed(t, s)
	ctx, rate := t.Context(), decimal.MustParse("0.20")
	id := bought(t, s, ledger.Ordinary)
	must(s.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "tester"))(t)
	must(s.Trade.Reserve(ctx, id, trade.Reserving{Terms: trade.Terms{Day: "2026-10-10", Client: "c_buyer",
		Amount: eur("500")}, Until: edtf.MustParse("2026-10-30")}, "tester"))(t)
	must(s.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: eur("8000"), Pay: ledger.Receivable}, TaxRate: &rate}, "tester"))(t)
	p := must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	read := func(id string) einvoice.Invoice {
		t.Helper()
		v, err := einvoice.Read([]byte(says(t, s, id, "xml")))
		if err != nil {
			t.Fatal(err)
		}
		if broken := einvoice.Check(v); len(broken) > 0 {
			t.Errorf("breaks %v", broken)
		}
		return v
	}
	v := read(p.ID)
	got := strings.Join([]string{v.Number, v.Kind, v.Supplied, v.Taxes[0].Category, v.Totals.Net.Decimal.String(),
		v.TaxTotal.Decimal.String(), v.Totals.Gross.Decimal.String(), v.Totals.Prepaid.Decimal.String(),
		v.Totals.Due.Decimal.String(), v.Account, v.Buyer.Country}, " ")
	if want := "2026-0001 380 2026-10-20 S 6666.67 1333.33 8000.00 500.00 7500.00 NL91ABNA0417164300 NL"; got != want {
		t.Errorf("says %s\nwant %s", got, want)
	}

	must(s.Trade.Refund(ctx, id, trade.Terms{Amount: eur("200"), Pay: ledger.Receivable}, "tester"))(t)
	part := read(must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperCredit, Watch: id, By: "tester"}))(t).ID)
	must(s.Trade.Refund(ctx, id, trade.Terms{}, "tester"))(t)
	whole := read(must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperCredit, Watch: id, By: "tester"}))(t).ID)
	if part.Kind != einvoice.CreditNote || part.Cancels[0] != p.Number ||
		part.Totals.Gross.Decimal.String() != "200.00" ||
		whole.Totals.Gross.Decimal.String() != "7800.00" || whole.Number != "2026-0003" {
		t.Errorf("credit notes %+v and %+v", part.Totals, whole.Totals)
	}
}

// A margin-scheme invoice shows no tax, in its electronic form neither (Directive 2006/112/EC, article 325).
func TestEInvoiceOfTheMarginScheme(t *testing.T) {
	s, _ := open(t)
	headed(t, s)
	id := bought(t, s, ledger.Margin)
	sell(t, s, id, "8200")
	p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	v, err := einvoice.Read([]byte(says(t, s, p.ID, "xml")))
	if err != nil || v.Taxes[0].WhyCode != einvoice.MarginGoods ||
		v.Taxes[0].Why != "Margin scheme – second-hand goods" ||
		!v.TaxTotal.Decimal.IsZero() || v.Totals.Due.Decimal.String() != "0.00" {
		t.Errorf("%v: %+v", err, v)
	}
}

func TestAnExportSaysSo(t *testing.T) {
	s, _ := open(t)
	headed(t, s)
	ctx := t.Context()
	id := bought(t, s, ledger.Margin)
	must(s.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "tester"))(t)
	sale := trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer", Amount: eur("8200")},
		Untaxed: ledger.UntaxedReverse}
	if _, err := s.Trade.Sell(ctx, id, sale, "tester"); err == nil || !strings.Contains(err.Error(), "tax number") {
		t.Errorf("reverse charge without the buyer's number: %v", err)
	}
	sale.Untaxed, sale.Scheme = ledger.UntaxedExport, ledger.Margin
	if _, err := s.Trade.Sell(ctx, id, sale, "tester"); err == nil {
		t.Error("an export taxed on the margin was taken")
	}
	sale.Scheme, sale.Customs, sale.Destination = "", "26NL00001", "ch"
	must(s.Trade.Sell(ctx, id, sale, "tester"))(t)
	p := must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	md := says(t, s, p.ID, "md")
	for _, want := range []string{"Export: no value added tax is charged", "26NL00001", "Goods go to"} {
		if !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}
	if strings.Contains(md, "Margin scheme") || !strings.Contains(says(t, s, p.ID, "xml"), "VATEX-EU-G") {
		t.Error("the words of the margin scheme stand on an export, or its code is missing")
	}
}

// What an e-invoice asks for and nobody entered is named, and the paper is made without.
func TestAnInvoiceWithoutEInvoice(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, ledger.Margin)
	sell(t, s, id, "8200")
	p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	if _, _, _, err := papers.Print(t.Context(), s, p.ID, "xml"); !errors.Is(err, papers.ErrNoEInvoice) ||
		!strings.Contains(err.Error(), "our country is not on the letterhead") {
		t.Errorf("printed: %v", err)
	}
}

package document_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/internal/document"
	"midcase/internal/einvoice"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

func billFor(amount string) *document.Invoice {
	p := money.MustParse(amount, "EUR")
	return &document.Invoice{Head: document.Head{Kind: document.KindInvoice, Number: "2026-0001", Day: "2026-11-02",
		Issuer: document.Party{Name: "Marrow Lane Watches", Lines: []string{"7 Marrow Lane", "Eastmere", "Tel. 1",
			"web"},
			TaxNumber: "NL 0000 00000 B00", Country: "NL"}},
		Goods: document.Goods{File: "12", Title: "Corvane KR-1", Serial: "1234"}, Supplied: "2026-10-20",
		Buyer:  document.Party{Name: "B. Buyer", City: "Westmere", Street: []string{"2 Quay"}, Country: "DE"},
		Scheme: "margin", SchemeSay: "Margin scheme – second-hand goods", Price: p, Due: p}
}

// The codes are those of the lists that EN 16931 names: UNTDID 5305 for the category of VAT and VATEX of the
// Connecting Europe Facility for the reason of exemption.
func TestCategoriesOfVAT(t *testing.T) {
	for _, c := range []struct {
		change         func(*document.Invoice)
		category, code string
	}{
		{func(*document.Invoice) {}, "E", "VATEX-EU-F"},
		{func(v *document.Invoice) { v.MarginGoods = "art" }, "E", "VATEX-EU-I"},
		{func(v *document.Invoice) { v.MarginGoods = "collectors" }, "E", "VATEX-EU-J"},
		{func(v *document.Invoice) {
			v.Scheme, v.Rate, v.Net, v.Tax = "ordinary", "0.2", money.MustParse("6833.33",
				"EUR"), money.MustParse("1366.67", "EUR")
		}, "S", ""},
		{func(v *document.Invoice) { v.Scheme, v.Rate, v.Net = "ordinary", "0", v.Price }, "Z", ""},
		{func(v *document.Invoice) { v.Scheme, v.Untaxed, v.Destination = "none", ledger.UntaxedExport, "CH" }, "G",
			"VATEX-EU-G"},
		{func(v *document.Invoice) {
			v.Scheme, v.Untaxed, v.Buyer.TaxNumber = "none", ledger.UntaxedIntra, "DE123456789"
		}, "K", "VATEX-EU-IC"},
		{func(v *document.Invoice) {
			v.Scheme, v.Untaxed, v.Buyer.TaxNumber = "none", ledger.UntaxedReverse, "DE123456789"
		}, "AE", "VATEX-EU-AE"},
		{func(v *document.Invoice) { v.Scheme, v.Untaxed = "none", ledger.UntaxedExempt }, "E", ""},
		{func(v *document.Invoice) { v.Scheme, v.Issuer.TaxNumber, v.Issuer.Registration = "none", "", "R 1" }, "O",
			"VATEX-EU-O"},
	} {
		v := billFor("8200.00")
		c.change(v)
		e, err := document.EInvoice(v)
		if err != nil {
			t.Errorf("%s: %v", c.category, err)
			continue
		}
		if got := e.Taxes[0]; got.Category != c.category || got.WhyCode != c.code || e.Lines[0].Category != c.category {
			t.Errorf("category %s with %s; want %s with %s", got.Category, got.WhyCode, c.category, c.code)
		}
		if tax := e.TaxTotal.Decimal; (c.category == "S") != tax.IsPos() {
			t.Errorf("%s: tax %s", c.category, tax)
		}
	}
}

func TestWhatAnEInvoiceLacks(t *testing.T) {
	for want, change := range map[string]func(*document.Invoice){
		"our country":         func(v *document.Invoice) { v.Issuer.Country = "" },
		"the buyer's country": func(v *document.Invoice) { v.Buyer.Country = "" },
		"our tax number":      func(v *document.Invoice) { v.Issuer.TaxNumber, v.Issuer.Registration = "", "R 1" },
		"why no tax":          func(v *document.Invoice) { v.Scheme = "none" },
		"of its owner":        func(v *document.Invoice) { v.Consigned = true },
		"numbers for VAT of both": func(v *document.Invoice) {
			v.Scheme, v.Untaxed = "none", ledger.UntaxedReverse
		},
		"two decimals": func(v *document.Invoice) {
			v.Price, v.Due = money.MustParse("8200.000", "KWD"), money.MustParse("8200.000", "KWD")
		},
	} {
		v := billFor("8200.00")
		change(v)
		_, err := document.EInvoice(v)
		var lacks *document.Lacking
		if !errors.As(err, &lacks) || !strings.Contains(strings.Join(lacks.Reasons, "\n"), want) {
			t.Errorf("%q: %v", want, err)
		}
	}
}

// Any price, rate, allowance and payment gives sums that keep the rules, and the same totals as the paper.
func TestSumsKeepTheRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cents := func(name string, most int64) money.Money {
			m, err := money.New(decimal.MustNew(rapid.Int64Range(1, most).Draw(t, name), 2), "EUR")
			if err != nil {
				t.Fatal(err)
			}
			return m
		}
		v := billFor("1.00")
		v.Price = cents("price", 10_000_000)
		v.Due = v.Price
		if rapid.Bool().Draw(t, "allowed") {
			v.Allowed = []document.Payment{{Text: "Allowance", Amount: cents("allowance", 100_000).Neg()}}
		}
		if rapid.Bool().Draw(t, "paid") {
			v.Due = cents("due", 10_000_000)
		}
		if rapid.Bool().Draw(t, "taxed") {
			rate := decimal.MustNew(rapid.Int64Range(1, 300).Draw(t, "rate"), 3)
			tax, err := ledger.TaxIncluded(v.Price, rate)
			if err != nil {
				t.Fatal(err)
			}
			v.Scheme, v.Rate, v.Tax = "ordinary", rate.String(), tax
			if v.Net = v.Price; tax.Sign() != 0 {
				if v.Net, err = v.Price.Add(tax.Neg()); err != nil {
					t.Fatal(err)
				}
			}
		}
		if rapid.Bool().Draw(t, "credit") {
			v.Cancels, v.Price, v.Net, v.Tax, v.Allowed = "2026-0000", v.Price.Neg(), neg(v.Net), neg(v.Tax), nil
			v.Due = v.Price
		}
		e, err := document.EInvoice(v)
		if err != nil {
			t.Fatal(err)
		}
		if got := einvoice.Check(e); len(got) > 0 {
			t.Fatalf("breaks %v", got)
		}
		if want := v.Price.Decimal().Abs(); e.Totals.Gross.Decimal.Cmp(want) != 0 {
			t.Fatalf("total %s; the paper says %s", e.Totals.Gross.Decimal, want)
		}
	})
}

func neg(m money.Money) money.Money {
	if m.IsZero() {
		return m
	}
	return m.Neg()
}

// NL91 ABNA 0417 1643 00 and GB29 NWBK 6016 1331 9268 19 are the examples of the registry of IBANs (from memory).
func TestAccountsInText(t *testing.T) {
	for text, want := range map[string]string{"IBAN NL91 ABNA 0417 1643 00, BIC X": "NL91ABNA0417164300",
		"Bank of Eastmere GB29NWBK60161331926819": "GB29NWBK60161331926819", "NL91 ABNA 0417 1643 01": "",
		"NL91ABNA0417164300 HARBOUR": "NL91ABNA0417164300", "12345": "", "": ""} {
		if got := document.IBANIn(text); got != want {
			t.Errorf("%q gives %q; want %q", text, got, want)
		}
	}
}

// A paper that is kept as JSON gives the same e-invoice again.
func TestEInvoiceOfAKeptPaper(t *testing.T) {
	v := billFor("8200.00")
	v.Bank = "IBAN NL91 ABNA 0417 1643 00"
	var first, again bytes.Buffer
	if err := document.WriteEInvoice(&first, v); err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	one, err := document.ReadSlip(b)
	if err != nil {
		t.Fatal(err)
	}
	if err := document.WriteEInvoice(&again, one.(*document.Invoice)); err != nil || !bytes.Equal(first.Bytes(),
		again.Bytes()) {
		t.Errorf("%v\n%s\n%s", err, first.String(), again.String())
	}
	read, err := einvoice.Read(first.Bytes())
	if err != nil || read.Account != "NL91ABNA0417164300" || read.Seller.VAT != "NL000000000B00" ||
		!slices.Equal(read.Seller.Street, []string{"7 Marrow Lane", "Eastmere", "Tel. 1, web"}) {
		t.Errorf("%v %+v", err, read)
	}
}

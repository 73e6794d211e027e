package einvoice_test

import (
	"bytes"
	_ "embed"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/internal/einvoice"
)

func d(s string) decimal.NullDecimal { return einvoice.Some(decimal.MustParse(s)) }

// good is an invoice over 8,200.00 with 20 % inside: 8200 · 0.2 / 1.2 = 1,366.67, worked by hand, 200.00 of it
// taken off before, 500.00 paid.
func good() einvoice.Invoice {
	s := func(v string) decimal.NullDecimal { return d(v) }
	return einvoice.Invoice{Model: einvoice.Model, Number: "2026-0001", Kind: einvoice.Commercial, Issued: "2026-11-02",
		Supplied: "2026-10-20", Currency: "EUR", Notes: []string{"Thank you"}, PayBy: "Payment open", Means: "30",
		Account: "NL91ABNA0417164300",
		Seller: einvoice.Party{Name: "Marrow Lane Watches", VAT: "NL000000000B00", Street: []string{"7 Marrow Lane",
			"Yard", "Gate 2"},
			City: "Eastmere", PostCode: "1000", Region: "North", Country: "NL", Registration: "R 1"},
		Buyer:       einvoice.Party{Name: "B. Buyer", Country: "NL"},
		Adjustments: []einvoice.Adjustment{{Amount: s("166.67"), Reason: "Allowance", Category: "S", Rate: s("20")}},
		Lines: []einvoice.Line{{ID: "1", Quantity: s("1"), Unit: "C62", Net: s("7000.00"), Price: s("7000.00"),
			Name: "A watch",
			Says: "Second-hand", SellerID: "12", Category: "S", Rate: s("20"),
			Facts: []einvoice.Fact{{Name: "Serial", Value: "1"}}}},
		Taxes:    []einvoice.Tax{{Taxable: s("6833.33"), Amount: s("1366.67"), Category: "S", Rate: s("20")}},
		TaxTotal: s("1366.67"),
		Totals: einvoice.Totals{Lines: s("7000.00"), Allowances: s("166.67"), Net: s("6833.33"), Gross: s("8200.00"),
			Prepaid: s("500.00"), Due: s("7700.00")}}
}

// of turns the good invoice into one of another category, without tax.
func of(code, why string) einvoice.Invoice {
	v := good()
	v.Adjustments, v.TaxTotal, v.DeliveredTo = nil, d("0.00"), "CH"
	v.Lines[0].Category, v.Lines[0].Rate, v.Lines[0].Net = code, d("0"), d("8200.00")
	v.Taxes = []einvoice.Tax{{Taxable: d("8200.00"), Amount: d("0.00"), Category: code, Rate: d("0"), WhyCode: why}}
	v.Totals = einvoice.Totals{Lines: d("8200.00"), Net: d("8200.00"), Gross: d("8200.00"), Due: d("8200.00")}
	v.Buyer.VAT = "DE123456789"
	if code == einvoice.OutOfScope {
		v.Lines[0].Rate, v.Taxes[0].Rate = decimal.NullDecimal{}, decimal.NullDecimal{}
		v.Seller.VAT, v.Buyer.VAT = "", ""
	}
	return v
}

func names(all []einvoice.Broken) []string {
	var out []string
	for _, b := range all {
		out = append(out, b.Rule)
	}
	return out
}

// TestEveryRuleIsHeld breaks each rule by itself. Names and meaning of the rules are those of EN 16931-1:2017, as the
// validation artefacts of the European Commission (eInvoicing-EN16931) word them.
func TestEveryRuleIsHeld(t *testing.T) {
	type change = func(*einvoice.Invoice)
	none := decimal.NullDecimal{}
	broken := map[string]change{
		"BR-01": func(v *einvoice.Invoice) { v.Model = "" }, "BR-02": func(v *einvoice.Invoice) { v.Number = "" },
		"BR-03": func(v *einvoice.Invoice) { v.Issued = "2026-13-01" },
		"BR-04": func(v *einvoice.Invoice) { v.Kind = "" },
		"BR-05": func(v *einvoice.Invoice) { v.Currency = "euro" },
		"BR-06": func(v *einvoice.Invoice) { v.Seller.Name = "" },
		"BR-07": func(v *einvoice.Invoice) { v.Buyer.Name = "" },
		"BR-09": func(v *einvoice.Invoice) { v.Seller.Country = "" },
		"BR-11": func(v *einvoice.Invoice) { v.Buyer.Country = "Holland" },
		"BR-12": func(v *einvoice.Invoice) { v.Totals.Lines = none },
		"BR-13": func(v *einvoice.Invoice) { v.Totals.Net = none },
		"BR-14": func(v *einvoice.Invoice) { v.Totals.Gross = none },
		"BR-15": func(v *einvoice.Invoice) { v.Totals.Due = none },
		"BR-16": func(v *einvoice.Invoice) { v.Lines = nil }, "BR-21": func(v *einvoice.Invoice) { v.Lines[0].ID = "" },
		"BR-22": func(v *einvoice.Invoice) { v.Lines[0].Quantity = none },
		"BR-23": func(v *einvoice.Invoice) { v.Lines[0].Unit = "" },
		"BR-24": func(v *einvoice.Invoice) { v.Lines[0].Net = none },
		"BR-25": func(v *einvoice.Invoice) { v.Lines[0].Name = "" },
		"BR-26": func(v *einvoice.Invoice) { v.Lines[0].Price = none },
		"BR-27": func(v *einvoice.Invoice) { v.Lines[0].Price = d("-7000.00") },
		"BR-31": func(v *einvoice.Invoice) { v.Adjustments[0].Amount = none },
		"BR-32": func(v *einvoice.Invoice) { v.Adjustments[0].Category = "" },
		"BR-33": func(v *einvoice.Invoice) { v.Adjustments[0].Reason = "" },
		"BR-36": func(v *einvoice.Invoice) {
			v.Adjustments = append(v.Adjustments, einvoice.Adjustment{Charge: true, Category: "S", Rate: d("20"),
				Reason: "x"})
		},
		"BR-37": func(v *einvoice.Invoice) {
			v.Adjustments = append(v.Adjustments, einvoice.Adjustment{Charge: true, Amount: d("1"), Reason: "x"})
		},
		"BR-38": func(v *einvoice.Invoice) {
			v.Adjustments = append(v.Adjustments, einvoice.Adjustment{Charge: true, Amount: d("1"), Category: "S",
				Rate: d("20")})
		},
		"BR-45":    func(v *einvoice.Invoice) { v.Taxes[0].Taxable = none },
		"BR-46":    func(v *einvoice.Invoice) { v.Taxes[0].Amount = none },
		"BR-47":    func(v *einvoice.Invoice) { v.Taxes[0].Category = "" },
		"BR-48":    func(v *einvoice.Invoice) { v.Taxes[0].Rate = none },
		"BR-53":    func(v *einvoice.Invoice) { v.TaxCurrency = "USD" },
		"BR-54":    func(v *einvoice.Invoice) { v.Lines[0].Facts[0].Value = "" },
		"BR-55":    func(v *einvoice.Invoice) { v.Cancels = []string{""} },
		"BR-57":    func(v *einvoice.Invoice) { v.DeliveredTo = "x" },
		"BR-61":    func(v *einvoice.Invoice) { v.Account = "" },
		"BR-CL-01": func(v *einvoice.Invoice) { v.Kind = "1" },
		"BR-CL-22": func(v *einvoice.Invoice) { v.Taxes[0].WhyCode = "second-hand" },
		"BR-CO-04": func(v *einvoice.Invoice) { v.Lines[0].Category = "" },
		"BR-CO-09": func(v *einvoice.Invoice) { v.Seller.VAT = "000000000B00" },
		"BR-CO-10": func(v *einvoice.Invoice) { v.Totals.Lines = d("7000.01") },
		"BR-CO-11": func(v *einvoice.Invoice) { v.Totals.Allowances = d("166.66") },
		"BR-CO-12": func(v *einvoice.Invoice) { v.Totals.Charges = d("1.00") },
		"BR-CO-13": func(v *einvoice.Invoice) { v.Totals.Net = d("6833.34") },
		"BR-CO-14": func(v *einvoice.Invoice) { v.TaxTotal = d("1366.66") },
		"BR-CO-15": func(v *einvoice.Invoice) { v.Totals.Gross = d("8200.01") },
		"BR-CO-16": func(v *einvoice.Invoice) { v.Totals.Due = d("8200.00") },
		"BR-CO-17": func(v *einvoice.Invoice) { v.Taxes[0].Amount = d("1366.69") },
		"BR-CO-18": func(v *einvoice.Invoice) { v.Taxes = nil },
		"BR-CO-25": func(v *einvoice.Invoice) { v.PayBy = "" },
		"BR-CO-26": func(v *einvoice.Invoice) { v.Seller.VAT, v.Seller.Registration = "", "" },
		"BR-DEC":   func(v *einvoice.Invoice) { v.Totals.Prepaid = d("500.001") },
		"BR-S-01":  func(v *einvoice.Invoice) { v.Taxes[0].Category = "Z" },
		"BR-S-02":  func(v *einvoice.Invoice) { v.Seller.VAT = "" },
		"BR-S-05":  func(v *einvoice.Invoice) { v.Lines[0].Rate = d("0") },
		"BR-S-08":  func(v *einvoice.Invoice) { v.Taxes[0].Taxable = d("6833.34") },
		"BR-S-10":  func(v *einvoice.Invoice) { v.Taxes[0].Why = "x" },
	}
	tried := map[string]bool{}
	if got := einvoice.Check(good()); len(got) > 0 {
		t.Fatalf("the good invoice breaks %v", got)
	}
	for id, change := range broken {
		v := good()
		change(&v)
		tried[id] = true
		if !slices.Contains(names(einvoice.Check(v)), id) {
			t.Errorf("%s is not held: %v", id, names(einvoice.Check(v)))
		}
	}
	for _, c := range []struct{ code, rule, why string }{{"Z", "Z", ""}, {"E", "E", einvoice.MarginGoods},
		{"AE", "AE", einvoice.ReverseChargeWhy}, {"K", "IC", einvoice.IntraWhy}, {"G", "G", einvoice.ExportWhy},
		{"O", "O", einvoice.OutOfScopeWhy}} {
		if got := einvoice.Check(of(c.code, c.why)); len(got) > 0 {
			t.Errorf("a good invoice of category %s breaks %v", c.code, got)
		}
		for n, change := range map[string]change{
			"01": func(v *einvoice.Invoice) { v.Taxes[0].Category = "S" },
			"02": func(v *einvoice.Invoice) {
				if v.Seller.VAT = ""; c.code == "O" {
					v.Seller.VAT = "NL000000000B00"
				}
			},
			"05": func(v *einvoice.Invoice) { v.Lines[0].Rate = d("20") },
			"08": func(v *einvoice.Invoice) { v.Taxes[0].Taxable = d("1.00") },
			"09": func(v *einvoice.Invoice) { v.Taxes[0].Amount = d("1.00") },
			"10": func(v *einvoice.Invoice) {
				if v.Taxes[0].WhyCode = ""; c.code == "Z" {
					v.Taxes[0].Why = "x"
				}
			},
		} {
			v, id := of(c.code, c.why), "BR-"+c.rule+"-"+n
			change(&v)
			tried[id] = true
			if !slices.Contains(names(einvoice.Check(v)), id) {
				t.Errorf("%s is not held: %v", id, names(einvoice.Check(v)))
			}
		}
	}
	for id, change := range map[string]change{"BR-IC-11": func(v *einvoice.Invoice) { v.Supplied = "" },
		"BR-IC-12": func(v *einvoice.Invoice) { v.DeliveredTo = "" }} {
		v := of("K", einvoice.IntraWhy)
		change(&v)
		if tried[id] = true; !slices.Contains(names(einvoice.Check(v)), id) {
			t.Errorf("%s is not held", id)
		}
	}
	v := of("O", einvoice.OutOfScopeWhy)
	v.Taxes = append(v.Taxes, good().Taxes...)
	if tried["BR-O-11"] = true; !slices.Contains(names(einvoice.Check(v)), "BR-O-11") {
		t.Error("BR-O-11 is not held")
	}
	for _, r := range einvoice.Rules() {
		if !tried[r.Rule] {
			t.Errorf("%s is never broken by this test", r.Rule)
		}
	}
}

// TestTheSameInvoiceInBothSyntaxes reads sums of a published example, which the Commission gives in both.
func TestTheSameInvoiceInBothSyntaxes(t *testing.T) {
	var read []einvoice.Invoice
	for _, file := range []string{"testdata/example1.ubl.xml", "testdata/example1.cii.xml"} {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		v, err := einvoice.Read(b)
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		if got := einvoice.Check(v); len(got) > 0 {
			t.Errorf("%s breaks %v", file, got)
		}
		read = append(read, v)
	}
	if !reflect.DeepEqual(read[0], read[1]) {
		t.Errorf("UBL says\n%+v\nCII says\n%+v", read[0], read[1])
	}
	if v := read[0]; v.Totals.Due.Decimal.String() != "250.33" || v.TaxTotal.Decimal.String() != "20.73" ||
		v.Taxes[1].Amount.Decimal.String() != "9.74" || v.Issued != "2015-01-09" {
		t.Errorf("read %+v", v)
	}
}

func TestWhatIsWrittenReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := good()
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 1:
			v = of("E", einvoice.MarginArt)
			v.Kind, v.Cancels, v.DueDay = einvoice.CreditNote, []string{"2026-0001"}, "2026-12-01"
		case 2:
			v.TaxCurrency, v.TaxInOther = "USD", d("1500.00")
		}
		text := rapid.StringMatching(`[A-Za-zäéß<>&"' ]{1,20}[a-z]`)
		v.Buyer.Name = strings.Join(strings.Fields(text.Draw(t, "name")), " ")
		v.Lines[0].Name = strings.Join(strings.Fields(text.Draw(t, "goods")), " ")
		v.Seller.TaxNumber = rapid.StringMatching(`[0-9]{0,8}`).Draw(t, "tax number")
		var b bytes.Buffer
		if err := einvoice.WriteUBL(&b, v); err != nil {
			t.Fatal(err)
		}
		back, err := einvoice.Read(b.Bytes())
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if !reflect.DeepEqual(v, back) {
			t.Fatalf("wrote\n%+v\nread\n%+v\n%s", v, back, b.String())
		}
	})
}

// sequences are the children of elements in the order of UBL 2.1 (OASIS, UBL-Invoice-2.1.xsd, UBL-CreditNote-2.1.xsd
// and UBL-CommonAggregateComponents-2.1.xsd), as far as they are written; from memory of the published schema.
//
//go:embed testdata/order.txt
var sequences string

// orderOf is the order of the children of an element; ok is false where any will do.
func orderOf(element string) (order []string, ok bool) {
	for line := range strings.Lines(sequences) {
		if name, children, _ := strings.Cut(line, ": "); name == element {
			return strings.Fields(children), true
		}
	}
	return nil, false
}

func TestElementsComeInTheOrderOfTheSchema(t *testing.T) {
	credit := of("E", einvoice.MarginGoods)
	credit.Kind, credit.Cancels, credit.DueDay = einvoice.CreditNote, []string{"2026-0001"}, "2026-12-01"
	full := good()
	full.TaxCurrency, full.TaxInOther, full.DueDay, full.DeliveredTo, full.Buyer.ID = "USD", d("1"), "2026-12-01",
		"NL", "7"
	full.Reference, full.Totals.Rounding, full.Totals.Charges = "x", d("0.00"), d("0.00")
	for _, v := range []einvoice.Invoice{full, credit} {
		var b bytes.Buffer
		if err := einvoice.WriteUBL(&b, v); err != nil {
			t.Fatal(err)
		}
		dec, open, last := xml.NewDecoder(&b), []string{}, []int{-1}
		for {
			token, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			switch e := token.(type) {
			case xml.StartElement:
				if len(open) > 0 {
					if order, ok := orderOf(open[len(open)-1]); ok {
						i := slices.Index(order, e.Name.Local)
						if i < last[len(last)-1] {
							t.Errorf("%s in %s is not at its place", e.Name.Local, open[len(open)-1])
						}
						last[len(last)-1] = i
					}
				}
				open, last = append(open, e.Name.Local), append(last, -1)
			case xml.EndElement:
				open, last = open[:len(open)-1], last[:len(last)-1]
			}
		}
	}
}

func TestWhatIsNoInvoiceIsRefused(t *testing.T) {
	for _, text := range []string{"", "invoice", "<a/>", "<Invoice", "\x00", `<?xml version="1.0" encoding="klingon"?><Invoice/>`,
		`<Invoice><LegalMonetaryTotal><PayableAmount>much</PayableAmount></LegalMonetaryTotal></Invoice>`,
		`<!DOCTYPE x [<!ENTITY e "boom">]><Invoice><ID>&e;</ID></Invoice>`} {
		if _, err := einvoice.Read([]byte(text)); !errors.Is(err, einvoice.ErrSyntax) {
			t.Errorf("%q gives %v", text, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, file := range []string{"testdata/example1.ubl.xml", "testdata/example1.cii.xml"} {
		b, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		v, err := einvoice.Read(b)
		if err != nil {
			return
		}
		einvoice.Check(v)
		if err := einvoice.WriteUBL(io.Discard, v); err != nil {
			t.Error(err)
		}
	})
}

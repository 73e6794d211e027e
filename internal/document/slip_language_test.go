package document

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"midcase/money"
	"midcase/say"
)

// fullSlips are papers about dealings with everything that can stand on them; what papers are given as words is
// neutral here.
func fullSlips(language string) []Slip {
	head := func(kind string) Head {
		return Head{Kind: kind, Number: "N-2026-0007", Day: "2026-03-01", SignedBy: "M. Lane", Issuer: Party{
			Name: "Marrow Lane Watches", Lines: []string{"7 Marrow Lane"}, TaxNumber: "CHE-000.000.000",
			Registration: "R 1"}, LogHead: "12 ab", Terms: []string{"(terms)"}, Language: language}
	}
	goods := Goods{File: "107", Title: "Askelund Skerry KR-1", Maker: "Askelund", Reference: "KR-1",
		Serial: "1 204 417", Movement: "(movement)", Metal: "(metal)", Made: "1968–1969", Set: "(set)",
		Faults: []string{"(fault)", "(another)"}}
	who := Party{Name: "O. Other", Lines: []string{"3 Quay"}, Identity: "(identity)"}
	chf := func(s string) money.Money { return money.MustParse(s, "CHF") }
	margin := &Invoice{Head: head(KindInvoice), Goods: goods, Buyer: who, Supplied: "2026-02-28", Price: chf("8200"),
		Scheme: "margin", SchemeSay: "(margin words)", Agreed: chf("8300"), Allowed: []Payment{{"(allowance)",
			chf("-100")}}, Paid: []Payment{{"(deposit)", chf("500")}, {"(exchange)", chf("2000")}}, Due: chf("5700"),
		HowPaid: "(open)", Bank: "(account)"}
	ordinary := &Invoice{Head: head(KindInvoice), Goods: goods, Buyer: who, Supplied: "2026-02-28",
		Price: chf("1081"), Scheme: "ordinary", Rate: "0.081", Net: chf("1000"), Tax: chf("81"),
		TaxBase: money.MustParse("85.04", "EUR"), Due: chf("1081")}
	export := &Invoice{Head: head(KindInvoice), Goods: goods, Buyer: who, Supplied: "2026-02-28", Price: chf("1000"),
		Scheme: "none", Due: chf("1000"), Untaxed: "export", Customs: "26CH1", Destination: "NO", Consigned: true}
	back := *margin
	back.Head, back.Cancels, back.Reason, back.Price = head(KindCredit), "2026-0001", "(reason)", chf("-8200")
	back.Paid, back.Allowed, back.Due, back.HowPaid = nil, nil, chf("-8200"), ""
	back.Consigned, back.OwnName = true, true
	part := back
	part.Part, part.Reason, part.Untaxed = true, "", "intra-community"
	out := []Slip{margin, ordinary, export, &back, &part,
		&MemoNote{Head: head(KindMemo), Goods: goods, Borrower: who, Value: chf("8200"), Handed: "2026-03-01",
			Due: "2026-04-01", Risk: "(risk)"},
		&MemoNote{Head: head(KindMemo), Borrower: who, Value: chf("8200"), Handed: "2026-03-01", Due: "2026-04"},
		&PurchaseStatement{Head: head(KindPurchase), Goods: goods, Seller: who, Price: chf("8200"), Private: true,
			Bought: "2026-02-28", PaidBy: "(paid by)"},
		&ConsignmentNote{Head: head(KindConsignment), Goods: goods, Owner: who, Value: chf("8200"),
			Commission: "0.125", Net: chf("7000"), Taken: "2026-02-27", Until: "2026-08-27", Risk: "(risk)"},
		&WorkOrder{Head: head(KindWork), Goods: goods, Workshop: who, Handed: "2026-03-01", Due: "2026-04-09",
			Work: []string{"(work)", "(more work)"}, Limit: chf("300")},
		&WorkOrder{Head: head(KindWork), Goods: goods, Handed: "2026-03-01", Lume: "(lume)"},
		&PackingList{Head: head(KindPacking), Goods: goods, To: who, Sent: "2026-03-01", Value: chf("8200"),
			Precious: true, Contents: []string{"(watch)", "(box)"}, Sold: true},
		&PackingList{Head: head(KindPacking), Goods: goods, To: who, Sent: "2026-03-01", Lume: "(lume).",
			Contents: []string{"(watch)"}}}
	draft := &PurchaseStatement{Head: head(KindPurchase), Goods: goods, Seller: who}
	draft.Number, draft.Issuer, draft.LogHead = "", Party{}, ""
	return append(out, draft)
}

// Papers that were made before there were languages print as they did then.
func TestSlipsOfBeforePrintTheSame(t *testing.T) {
	var all bytes.Buffer
	for _, one := range fullSlips("") {
		fmt.Fprintf(&all, "<!-- %T -->\n", one)
		if err := WriteSlipMarkdown(&all, one); err != nil {
			t.Fatal(err)
		}
	}
	golden(t, "slips_before.md", all.Bytes())
}

// Papers about dealings in each language, as they were read; and no sentence of theirs is left in English.
func TestSlipsAsTheyWereRead(t *testing.T) {
	english := map[string]bool{}
	var all bytes.Buffer
	for _, language := range say.Languages() {
		for i, one := range fullSlips(language) {
			var md, pdf bytes.Buffer
			if err := WriteSlipMarkdown(&md, one); err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&all, "<!-- %s %T -->\n%s", language, one, md.String())
			for _, line := range strings.Split(md.String(), "\n") {
				if language == "en" {
					english[line] = true
				} else if english[line] && strings.Count(line, " ") > 2 && !typed[line] {
					t.Errorf("%s, %d: %q is English", language, i, line)
				}
			}
			if err := WriteSlipPDF(&pdf, one); err != nil || !strings.Contains(pdf.String(), "/Lang ("+language) {
				t.Errorf("%s, %d: %v, or another language in the PDF", language, i, err)
			}
			if dir := os.Getenv("MIDCASE_KEEP_PDF"); dir != "" {
				os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%02d.pdf", language, i)), pdf.Bytes(), 0o600)
			}
		}
	}
	golden(t, "slips.md", all.Bytes())
}

// typed are lines of the fixture that are the same in all languages.
var typed = map[string]bool{"| --- | ---: |": true, "| | |": true, "| --- | --- |": true}

// No words of an amount are cut in any language: they have the width of their column.
func TestWordsOfAmountsAreNotCut(t *testing.T) {
	const column = rightX - leftX - 60 - 38
	for _, language := range say.Languages() {
		all := fullSlips(language)
		for _, one := range settlements(language) {
			all = append(all, one)
		}
		for _, one := range all {
			p := one.slip()
			for i, l := range append(p.lines, p.total) {
				f := faceText
				if i == len(p.lines) {
					f = f.as(serifBold)
				}
				if w := f.width(l.text); w > column {
					t.Errorf("%s: %q takes %.0f mm of %.0f", language, l.text, w, float64(column))
				}
			}
		}
	}
}

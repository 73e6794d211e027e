package papers_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
)

// A watch sold for 8,000: 500 deposit, a watch in part exchange for 3,000, an allowance of 200 on what is
// owed, 2,000 paid later. 2,300 are open.
func TestInvoiceReadsAllThatIsBooked(t *testing.T) {
	s, _ := open(t)
	ctx, rate := t.Context(), decimal.MustParse("0.20")
	id := bought(t, s, ledger.Margin)
	must(s.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "tester"))(t)
	must(s.Trade.Reserve(ctx, id, trade.Reserving{Terms: trade.Terms{Day: "2026-10-10", Client: "c_buyer",
		Amount: eur("500")},
		Until: edtf.MustParse("2026-10-30")}, "tester"))(t)
	must(s.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: eur("8000"),
		Pay:    ledger.Receivable}, TaxRate: &rate}, "tester"))(t)
	other := must(s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-2"}, "tester"))(t)
	must(s.Trade.PartExchange(ctx, other.ID, trade.Buying{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: eur("3000")}, Scheme: ledger.Margin}, id, "tester"))(t)
	must(s.Trade.Refund(ctx, id, trade.Terms{Day: "2026-10-22", Amount: eur("200"), Pay: ledger.Receivable},
		"tester"))(t)
	must(s.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Day: "2026-10-25", Client: "c_buyer", Amount: eur("2000")},
		"tester"))(t)
	p := must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	md := says(t, s, p.ID, "md")
	for _, want := range []string{"price agreed | 8,000.00 EUR", "Allowance of 22 October 2026 | −200.00 EUR", "| 7,800.00 EUR |",
		"Deposit received | −500.00 EUR", "Part exchange", "−3,000.00 EUR", "Received later | −2,000.00 EUR",
		"**Balance due** | **2,300.00 EUR**"} {
		if !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}

	// What is allowed after the invoice is a credit note of a part, and taking it all back leaves that out.
	must(s.Trade.Refund(ctx, id, trade.Terms{Amount: eur("100"), Pay: ledger.Receivable}, "tester"))(t)
	part := must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperCredit, Watch: id, By: "tester"}))(t)
	if md := says(t, s, part.ID, "md"); part.Total.String() != "-100.00 EUR" ||
		!strings.Contains(md, "Reduces invoice "+p.Number) {
		t.Errorf("%s\n%s", part.Total, md)
	}
	must(s.Trade.Refund(ctx, id, trade.Terms{}, "tester"))(t)
	whole := must(papers.Make(ctx, s, papers.Order{Kind: shop.PaperCredit, Watch: id, By: "tester"}))(t)
	if whole.Total.String() != "-7700.00 EUR" {
		t.Errorf("the rest of the invoice is %s; want -7700.00 EUR", whole.Total)
	}
}

// Who leads a shared watch sells it and writes the invoice.
func TestNoInvoiceForAPartnersSale(t *testing.T) {
	s, _ := open(t)
	ctx := t.Context()
	w := must(s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester"))(t)
	must(s.Trade.ShareBuy(ctx, w.ID, trade.Sharing{Terms: trade.Terms{Day: "2026-10-01", Client: "c_dealer",
		Amount: eur("4000")}, Scheme: ledger.Margin, Leader: "c_dealer",
		Stakes: []ledger.Stake{{Party: "c_dealer", Share: decimal.MustParse("0.5")}}}, "tester"))(t)
	must(s.Trade.Sell(ctx, w.ID, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: eur("5000")}}, "tester"))(t)
	_, err := papers.Make(ctx, s, papers.Order{Kind: shop.PaperInvoice, Watch: w.ID, By: "tester"})
	if err == nil || !strings.Contains(err.Error(), "the partner's own invoice") {
		t.Errorf("an invoice over the whole price of a watch that a partner sold: %v", err)
	}
}

package papers_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/internal/document"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// consigned is a watch of the client c_seller taken in on terms, and listed.
func consigned(t *testing.T, s *rooms.Shop, terms trade.Consigning) shop.WatchID {
	t.Helper()
	w := must(s.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester"))(t)
	terms.Terms.Day, terms.Terms.Client = "2026-10-01", "c_seller"
	must(s.Trade.ConsignIn(t.Context(), w.ID, terms, "tester"))(t)
	must(s.Trade.Move(t.Context(), w.ID, trade.Moving{To: shop.Listed}, "tester"))(t)
	return w.ID
}

func sold(t *testing.T, s *rooms.Shop, id shop.WatchID, price money.Money, rate string, pay ledger.Account) {
	t.Helper()
	r := decimal.MustParse(rate)
	must(s.Trade.Sell(t.Context(), id, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: price,
		Pay:    pay}, TaxRate: &r}, "tester"))(t)
}

func settle(t *testing.T, s *rooms.Shop, id shop.WatchID, language string) (shop.Paper, document.Settlement) {
	t.Helper()
	p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperSettlement, Watch: id, By: "tester",
		Language: language}))(t)
	one, err := document.ReadSlip([]byte(says(t, s, p.ID, "json")))
	if err != nil {
		t.Fatal(err)
	}
	return p, *one.(*document.Settlement)
}

func lines(t *testing.T, text string, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

// HMRC's internal manual, VATMARG04150, has the worked example: hammer price 10,000, 12 % from the owner and 12 % from
// the buyer, so the owner gets 8,800 of 11,200, the margin is 2,400 and the tax in it, a sixth, 400. The tax is not
// shown; the owner's supply is the 8,800.
func TestSettlementInTheShopsOwnName(t *testing.T) {
	s, _ := open(t)
	id := consigned(t, s, trade.Consigning{Terms: trade.Terms{Amount: eur("10000")}, Net: eur("8800"), OwnName: true})
	sold(t, s, id, eur("11200"), "0.20", ledger.Bank)
	_, v := settle(t, s, id, "en")
	if v.Owed.String() != eur("8800").String() || v.Commission.String() != eur("2400").String() || !v.Tax.IsZero() {
		t.Errorf("owed %s, commission %s, tax %s", v.Owed, v.Commission, v.Tax)
	}
	p := must(papers.List(t.Context(), s, shop.PaperFilter{}))(t)[0]
	text := says(t, s, p.ID, "md")
	lines(t, text, "# Settlement O-2026-0001", "own name", "supplied the watch to us for 8,800.00 EUR", "| Commission | −2,400.00 EUR |",
		"**8,800.00 EUR**")
	if strings.Contains(text, "400.00 EUR)") || strings.Contains(text, "20 %") {
		t.Errorf("the tax in the margin is shown:\n%s", text)
	}
	var tax string
	for _, e := range must(s.Entries(t.Context(), shop.EntryFilter{Watch: id}))(t) {
		if e.Kind == ledger.KindSale {
			tax = e.Goods.Tax.String()
		}
	}
	if tax != eur("400").String() {
		t.Errorf("the books have %s of tax; the manual 400", tax)
	}
}

// In the owner's name it is the invoice for the commission. By hand: 15 % of 8,000 is 1,200, of which 200 are tax at
// 20 %; an allowance of 400 is borne 340 by the owner and 60 by the shop, which leaves 1,140 with 190 of tax. Costs of
// 120, an advance of 1,000 and 2,000 paid leave 8,000 − 400 − 1,140 − 120 − 3,000 = 3,340.
func TestSettlementInTheOwnersNameIsTheInvoice(t *testing.T) {
	s, _ := open(t)
	ctx := t.Context()
	id := consigned(t, s, trade.Consigning{Terms: trade.Terms{Amount: eur("9000")},
		Commission: decimal.MustParse("0.15")})
	order := papers.Order{Kind: shop.PaperSettlement, Watch: id, By: "tester"}
	if _, err := papers.Make(ctx, s, order); err == nil || !strings.Contains(err.Error(),
		"consigned watch that was sold") {
		t.Errorf("a settlement before the sale: %v", err)
	}
	must(s.Trade.Enter(ctx, "owner-advance", id, trade.Terms{Day: "2026-10-05", Client: "c_seller",
		Amount: eur("1000")},
		money.Money{}, "tester"))(t)
	if _, err := s.Trade.Enter(ctx, "owner-advance", id, trade.Terms{Day: "2026-10-05", Client: "c_buyer",
		Amount: eur("1000")}, money.Money{}, "tester"); err == nil {
		t.Error("an advance to somebody else")
	}
	must(s.Trade.Repair(ctx, id, trade.Working{Terms: trade.Terms{Day: "2026-10-06", Client: "c_dealer",
		Amount: eur("120"),
		Text:   "new crystal"}, What: "new crystal", ForConsignor: true}, "tester"))(t)
	sold(t, s, id, eur("8000"), "0.20", ledger.Receivable)
	first, v := settle(t, s, id, "en")
	if v.Tax.String() != eur("200").String() || v.Owed.String() != eur("6680").String() ||
		v.Due.String() != eur("5680").String() || v.BuyerOwes.String() != eur("8000").String() {
		t.Errorf("tax %s, owed %s, due %s, the buyer %s", v.Tax, v.Owed, v.Due, v.BuyerOwes)
	}
	must(s.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Day: "2026-10-25", Client: "c_buyer", Amount: eur("8000")},
		"tester"))(t)
	must(s.Trade.Refund(ctx, id, trade.Terms{Day: "2026-10-26", Client: "c_buyer", Amount: eur("400")}, "tester"))(t)
	must(s.Trade.Settle(ctx, ledger.Consignors, trade.Terms{Day: "2026-10-28", Client: "c_seller", Amount: eur("2000")},
		"tester"))(t)
	second, v := settle(t, s, id, "en")
	text := says(t, s, second.ID, "md")
	lines(t, text, "# Settlement and commission invoice O-2026-0002", "Replaces settlement O-2026-0001",
		"| Paid by the buyer | 8,000.00 EUR |", "| Allowance to the buyer, 26 October 2026 | −400.00 EUR |",
		"| Commission, net | −950.00 EUR |", "| Value added tax on it, 20 % | −190.00 EUR |",
		"| Costs charged, 6 October 2026: new crystal | −120.00 EUR |", "| Due to the owner | 6,340.00 EUR |",
		"| Advance of 5 October 2026 | −1,000.00 EUR |", "| Paid by bank transfer, 28 October 2026 | −2,000.00 EUR |",
		"**3,340.00 EUR**", "our invoice for the commission of 1,140.00 EUR")
	if strings.Contains(text, "still owes") || v.Replaces != first.Number {
		t.Errorf("replaces %q\n%s", v.Replaces, text)
	}
	open := must(s.Trade.Open(ctx, ledger.Consignors, "c_seller"))(t)
	if len(open) != 1 || open[0].Amount.String() != v.Due.String() {
		t.Errorf("the books owe %v, the paper %s", open, v.Due)
	}
	must(s.Trade.Refund(ctx, id, trade.Terms{Day: "2026-10-30", Client: "c_buyer"}, "tester"))(t)
	third, v := settle(t, s, id, "en")
	if v.Cancels != second.Number || third.Cancels != second.Number || v.Owed.String() != eur("-6460").String() ||
		v.Tax.String() != eur("-190").String() {
		t.Errorf("taken back: %+v", v)
	}
	lines(t, says(t, s, third.ID, "md"), "Takes back settlement O-2026-0002", "got the price back")
	if _, err := papers.Make(ctx, s, order); err == nil {
		t.Error("taken back twice")
	}
}

// What was paid for several watches at once, as older books have it, is for the oldest of them.
func TestSettlementPaidTogether(t *testing.T) {
	s, st := open(t)
	id := consigned(t, s, trade.Consigning{Terms: trade.Terms{Amount: eur("9000")},
		Commission: decimal.MustParse("0.1")})
	sold(t, s, id, eur("8000"), "0", ledger.Bank)
	lot := ledger.Lot{Account: ledger.Consignors, Party: "c_seller", Amount: eur("7200"), Rate: decimal.One,
		Base: eur("7200")}
	e := must(ledger.ConsignorSettlement(ledger.SettleTerms{Head: ledger.Head{ID: "le_old", Day: "2026-10-22", At: now,
		By: "tester", Party: "c_seller", Base: "EUR"}, Open: []ledger.Lot{lot}, Pay: ledger.Bank}))(t)
	must(st.KeepStep(t.Context(), shop.Step{Entries: []ledger.Entry{e}}))(t)
	p, v := settle(t, s, id, "en")
	if v.Due.Sign() != 0 {
		t.Errorf("due %s", v.Due)
	}
	lines(t, says(t, s, p.ID, "md"), "| Paid together with other watches | −7,200.00 EUR |", "**0.00 EUR**")
}

// A shop that charges no tax says so, in each language, and has no word of tax in the amounts.
func TestSettlementWithoutTaxInEachLanguage(t *testing.T) {
	s, _ := open(t)
	id := consigned(t, s, trade.Consigning{Terms: trade.Terms{Amount: eur("9000")},
		Commission: decimal.MustParse("0.125")})
	sold(t, s, id, eur("8000"), "0", ledger.Cash)
	if err := s.Accounts.Books(t.Context(), func(b *ledger.Books) error { // a commission without tax is no taxed sale
		rows, err := b.VAT("2026-10", "2026-10")
		if err != nil || len(rows) != 1 || rows[0].UntaxedSales.Amount() != "1000.00" ||
			rows[0].OrdinarySales.Sign() != 0 {
			t.Errorf("the figures of the month: %+v, %v", rows, err)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	for language, wants := range map[string][]string{
		"en": {"# Settlement O-", "8,000.00 EUR", "No value added tax is charged", "20 October 2026",
			"12.5 % commission"},
		"de": {"# Abrechnung O-", "8.000,00 EUR", "keine Umsatzsteuer", "20. Oktober 2026", "12,5 % Provision"},
		"fr": {"# Décompte O-", "8 000,00 EUR", "pas soumise à la TVA", "20 octobre 2026", "12,5 % de commission"},
		"it": {"# Rendiconto O-", "8.000,00 EUR", "non è applicata l’IVA", "20 ottobre 2026", "Commissione del 12,5%"},
	} {
		p, v := settle(t, s, id, language)
		if v.Owed.String() != eur("7000").String() || v.Rate != "" {
			t.Errorf("%s: owed %s at %q", language, v.Owed, v.Rate)
		}
		lines(t, strings.ReplaceAll(says(t, s, p.ID, "md"), "\u202f", " "), wants...)
	}
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperSettlement, Watch: id, By: "tester",
		Language: "nl"}); err == nil || !strings.Contains(err.Error(), "language") {
		t.Errorf("in a language that there is none of: %v", err)
	}
	c := must(s.People.Client(t.Context(), "c_seller"))(t)
	c.Language = "de-CH"
	must(s.People.Change(t.Context(), c))(t)
	if _, v := settle(t, s, id, ""); v.Language != "de" {
		t.Errorf("language %q; want the client's", v.Language)
	}
}

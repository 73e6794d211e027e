package trade_test

import (
	"strings"
	"testing"

	"midcase/evidence"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

// TestLifeOf adds up what a watch cost and brought: 2,500 sold, less 166.67 tax on the margin of
// 1,000 at 20 %, less 1,700 of cost and 40 of fees.
func TestLifeOf(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	before, err := h.Trade.Life(ctx, id)
	if err != nil || before.Known || before.Undoable != "" || len(before.Steps) != 1 {
		t.Fatalf("before anything: %+v, %v", before, err)
	}
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500")}}, "Ines"))
	done(t)(h.Trade.Repair(ctx, id, trade.Working{What: "service", Terms: trade.Terms{Client: "c_bench",
		Amount: eur("200")}}, "Ines"))
	m := done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed, Asking: eur("2600")}, "Ines"))
	if m.Price.String() != "2600.00 EUR" {
		t.Errorf("the step names %s", m.Price)
	}
	l, err := h.Trade.Life(ctx, id)
	if err != nil || l.CostSoFar.String() != "1700.00 EUR" || l.Watch.Asking.String() != "2600.00 EUR" ||
		l.Undoable != m.ID {
		t.Errorf("cost %s, asking %s, %v", l.CostSoFar, l.Watch.Asking, err)
	}
	done(t)(h.Trade.Fee(ctx, id, trade.Working{What: "carriage", Terms: trade.Terms{Amount: eur("40")}}, "Ines"))
	done(t)(h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("2500")}}, "Ines"))
	if l, err = h.Trade.Life(ctx, id); err != nil || l.Profit.String() != "593.33 EUR" ||
		l.Fees.String() != "40.00 EUR" || l.CostSoFar.Sign() != 0 {
		t.Errorf("profit %s, fees %s, cost %s, %v", l.Profit, l.Fees, l.CostSoFar, err)
	}
}

// TestConsignedCostsNothing: the agreed value of a consigned watch is no cost of the shop.
func TestConsignedCostsNothing(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	m := done(t)(h.Trade.ConsignIn(ctx, id, trade.Consigning{Terms: trade.Terms{Client: "c_seller",
		Amount: eur("1500")}, Net: eur("1400")}, "Ines"))
	w, err := h.Watch(ctx, id)
	if err != nil || !w.Cost.IsZero() || m.Price.String() != "1500.00 EUR" {
		t.Errorf("cost %s, agreed %s, %v", w.Cost, m.Price, err)
	}
}

// TestTakenInBeforeTheFirstStep: a watch that is entered late was taken in no later than its first
// step.
func TestTakenInBeforeTheFirstStep(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500"),
		Day: "2025-12-01"}}, "Ines"))
	steps, err := h.Trade.History(ctx, id)
	if err != nil || steps[0].Day != "2025-12-01" {
		t.Errorf("taken in %s, %v", steps[0].Day, err)
	}
	w, err := h.Watch(ctx, id)
	if err != nil || w.Acquired != edtf.MustParse("2025-12-01") {
		t.Errorf("acquired %s, %v", w.Acquired, err)
	}
}

func TestLifeOfAWatch(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	_, err := h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "Ines")
	refusedFor(t, "listed before it was bought", err, "state")
	_, err = h.Trade.Move(ctx, id, trade.Moving{To: shop.Bought}, "Ines")
	refusedFor(t, "bought without money", err, "state")
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500"),
		Document: "P-1"}}, "Ines"))
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.AtWorkshop, Holder: "c_bench", Place: "workshop",
		Due: edtf.MustParse("2026-03-20")}, "Ines"))
	done(t)(h.Trade.Repair(ctx, id, trade.Working{Terms: trade.Terms{Client: "c_bench", Amount: eur("200")},
		What: "service", Removed: []shop.Kept{{Slot: evidence.Crown, What: "worn original crown"}}}, "Ines"))
	where, err := h.Trade.WhereIs(ctx, id)
	if err != nil || where.Holder != "c_bench" || where.Place != "workshop" || len(where.Bag) != 1 ||
		where.Due.String() != "2026-03-20" {
		t.Errorf("where: %+v, %v", where, err)
	}
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed, Place: "window"}, "Ines"))
	done(t)(h.Trade.Reserve(ctx, id, trade.Reserving{Terms: trade.Terms{Client: "c_buyer", Amount: eur("300")},
		Until: edtf.MustParse("2026-03-10")}, "Ines"))
	rate := decimal.MustParse("0.20")
	done(t)(h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("2000"),
		Document: "S-1"}, Route: "private client", TaxRate: &rate}, "Ines"))
	if got := h.Balance(t, ledger.VATDue); got != "-83.33" { // gov.uk: 1,500 to 2,000 at one sixth of the margin
		t.Errorf("VAT due %s; want -83.33", got)
	}
	if got := h.Balance(t, ledger.Bank); got != "300.00" {
		t.Errorf("bank %s; want 300.00", got)
	}
	rows, err := h.Accounts.StockBook(ctx)
	if err != nil || len(rows) != 1 || rows[0].SellerName != "Selma Lund" || rows[0].BuyerName != "Bruno Vale" ||
		rows[0].FileNumber != 1 {
		t.Errorf("stock book: %+v, %v", rows, err)
	}
	log, err := h.Log(ctx, id)
	if err != nil || len(log.Evidence) != 1 || log.Evidence[0].Kind() != evidence.KindWork {
		t.Errorf("evidence: %+v, %v", log.Evidence, err)
	}

	// Back step by step: each undone by a counter-step, nothing taken away.
	for _, want := range []shop.State{shop.Reserved, shop.Listed, shop.AtWorkshop, shop.AtWorkshop, shop.Bought,
		shop.Offered} {
		m := done(t)(h.Trade.Undo(ctx, id, "entered for another watch", "Ines"))
		if m.To != want {
			t.Errorf("undone to %s; want %s", m.To, want)
		}
	}
	_, err = h.Trade.Undo(ctx, id, "again", "Ines")
	refusedFor(t, "undo of the taking in", err, "step")
	w, err := h.Watch(ctx, id)
	if err != nil || w.State != shop.Offered || !w.Cost.IsZero() || w.Place != "safe" || w.Holder != "" ||
		w.Client != "" {
		t.Errorf("all undone: %+v, %v", w, err)
	}
	for _, a := range []ledger.Account{ledger.Bank, ledger.Sales, ledger.VATDue, ledger.StockPurchase,
		ledger.Deposits} {
		if got := h.Balance(t, a); got != "0.00" {
			t.Errorf("%s after all was undone: %s", a, got)
		}
	}
	moves, err := h.Trade.History(ctx, id)
	if err != nil || len(moves) != 13 {
		t.Errorf("%d movements, %v; want 13", len(moves), err)
	}
	if err := h.Accounts.VerifyLedger(ctx); err != nil {
		t.Error(err)
	}
}

func TestSaleInsideAHold(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rules := trade.RuleExamples()[3]
	rules.CashLimit = eur("10000")
	if err := h.Trade.SetRules(ctx, rules); err != nil {
		t.Fatal(err)
	}
	id := h.Offered(t)
	_, err := h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("12000"),
		Pay: ledger.Cash}}, "Ines")
	refusedFor(t, "cash over the limit", err, "cash")
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("1000")}}, "Ines"))
	sell := trade.Selling{Terms: trade.Terms{Client: "c_partner", Amount: eur("1500")}}
	_, err = h.Trade.Sell(ctx, id, sell, "Ines")
	for _, field := range []string{"days to hold", "identity", "statement", "register"} {
		refusedFor(t, "sale inside the holds", err, field)
	}
	if err == nil || !strings.Contains(err.Error(), "2026-03-17") {
		t.Errorf("error %v; want the day on which the hold ends", err)
	}
	w, err := h.Watch(ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	w.State = shop.Sold
	_, err = h.Trade.Change(ctx, w)
	refusedFor(t, "sold by changing the record", err, "state")

	// All settled in time, the sale goes ahead.
	h.Clock.Set(shoptest.Morning.AddDate(0, 0, 16))
	c, err := h.People.Client(ctx, "c_buyer")
	if err != nil {
		t.Fatal(err)
	}
	c.Identity = &shop.Identity{Paper: "identity card", Number: "7", By: "Ines"}
	if _, err := h.People.Change(ctx, c); err != nil {
		t.Fatal(err)
	}
	if _, err := h.Intake.Record(ctx, id, "Ines", &evidence.Document{What: "letter",
		Text: "Statement of ownership, signed"},
		&evidence.Check{Register: "loss register", Date: edtf.MustParse("2026-03-10"), Result: "clear"}); err != nil {
		t.Fatal(err)
	}
	m := done(t)(h.Trade.Sell(ctx, id, sell, "Ines"))
	if len(m.Ignored) != 0 {
		t.Errorf("ignored %v", m.Ignored)
	}
	done(t)(h.Trade.Undo(ctx, id, "buyer fell through", "Ines"))

	// A match in a register blocks whatever else; an override is kept with its reason.
	if _, err := h.Intake.Record(ctx, id, "Ines", &evidence.Check{Register: "loss register",
		Date: edtf.MustParse("2026-03-16"), Result: "match"}); err != nil {
		t.Fatal(err)
	}
	_, err = h.Trade.Sell(ctx, id, sell, "Ines")
	refusedFor(t, "sale of a listed watch", err, "register")
	sell.Override = "released by the police in writing"
	m = done(t)(h.Trade.Sell(ctx, id, sell, "Ines"))
	if len(m.Ignored) != 1 || m.Reason != sell.Override {
		t.Errorf("the override left %v, %q", m.Ignored, m.Reason)
	}
}

func TestSharedConsignedExchanged(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	a, b, c := h.Offered(t), h.Offered(t), h.Offered(t)
	done(t)(h.Trade.ShareBuy(ctx, a, trade.Sharing{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000")},
		Stakes: []ledger.Stake{{Party: "c_partner", Share: decimal.MustParse("0.5")}}}, "Ines"))
	done(t)(h.Trade.Move(ctx, a, trade.Moving{To: shop.OnMemo, Person: "c_partner", Due: edtf.MustParse("2026-04-01")},
		"Ines"))
	done(t)(h.Trade.Sell(ctx, a, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("1600"),
		Pay: ledger.Receivable}, Route: "trade"}, "Ines"))
	done(t)(h.Trade.PartExchange(ctx, b, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("600")}}, a,
		"Ines"))
	if _, err := h.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Client: "c_buyer"}, "Ines"); err != nil {
		t.Fatal(err)
	}
	e, err := h.Trade.Settle(ctx, ledger.Partners, trade.Terms{Client: "c_partner"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	if got := h.Balance(t, ledger.Bank); got != "-250.00" { // −1000 + 1000 − 250 to the partner: (1600 − 100)/2 − 500
		t.Errorf("bank %s; want -250.00", got)
	}
	if _, err := h.Trade.CounterEntry(ctx, e.ID, "sent twice", "Ines"); err != nil {
		t.Fatal(err)
	}
	_, err = h.Trade.CounterEntry(ctx, e.ID, "sent twice", "Ines")
	refusedFor(t, "answered twice", err, "entry")

	done(t)(h.Trade.ConsignIn(ctx, c, trade.Consigning{Terms: trade.Terms{Client: "c_seller", Amount: eur("5000")},
		Commission: decimal.MustParse("0.15")}, "Ines"))
	_, err = h.Trade.Move(ctx, c, trade.Moving{To: shop.Returned}, "Ines")
	refusedFor(t, "given back past the ledger", err, "state")
	done(t)(h.Trade.Sell(ctx, c, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("5000")}}, "Ines"))
	done(t)(h.Trade.Refund(ctx, c, trade.Terms{}, "Ines"))
	done(t)(h.Trade.Move(ctx, c, trade.Moving{To: shop.Consigned}, "Ines"))
	done(t)(h.Trade.GiveBack(ctx, c, trade.Terms{}, "Ines"))
	_, err = h.Trade.Move(ctx, c, trade.Moving{To: shop.Listed}, "Ines")
	refusedFor(t, "listed after it was given back", err, "state")
	if got := h.Balance(t, ledger.GoodsOfOthers) + h.Balance(t, ledger.Consignors); got != "0.000.00" {
		t.Errorf("left of the consignment: %s", got)
	}
}

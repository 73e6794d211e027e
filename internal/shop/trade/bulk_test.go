package trade_test

import (
	"math"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"

	"github.com/govalues/decimal"
)

func TestChangeMany(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ids := []shop.WatchID{h.Offered(t), h.Offered(t), h.Offered(t)}
	for i, asking := range []string{"1234", "999"} {
		done(t)(h.Trade.Buy(ctx, ids[i], trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("500")}},
			"Ines"))
		done(t)(h.Trade.Move(ctx, ids[i], trade.Moving{To: shop.Listed, Asking: eur(asking)}, "Ines"))
	}
	out, err := h.Trade.ChangeMany(ctx, ids, trade.Bulk{Place: " window ", Percent: 10})
	if err != nil || len(out) != 3 {
		t.Fatal(out, err)
	}
	for i, want := range []string{"1360.00 EUR", "1100.00 EUR"} { // 1,357.40 and 1,098.90 to the nearest ten
		if w := out[i].Watch; w.Asking.String() != want || w.Place != "window" || out[i].Failed != "" ||
			out[i].Before.Place != "safe" {
			t.Errorf("%d: asking %s at %q, failed %q", i, w.Asking, w.Place, out[i].Failed)
		}
	}
	if out[2].Failed == "" || out[2].Watch.Place != "safe" {
		t.Errorf("without an asking price: %+v", out[2])
	}
	out, err = h.Trade.ChangeMany(ctx, ids, trade.Bulk{State: shop.Photographed})
	if err != nil || out[0].Failed != "" || out[0].Watch.State != shop.Photographed || out[2].Failed == "" ||
		out[2].Watch.State != shop.Offered {
		t.Errorf("photographed: %+v, %v", out, err)
	}
	for _, c := range []struct {
		ids   []shop.WatchID
		b     trade.Bulk
		field string
	}{
		{nil, trade.Bulk{Place: "x"}, "watches"}, {make([]shop.WatchID, trade.MostAtOnce+1), trade.Bulk{Place: "x"},
			"watches"},
		{ids, trade.Bulk{}, "change"}, {ids, trade.Bulk{Percent: 301}, "percent"}, {ids,
			trade.Bulk{Percent: math.NaN()}, "percent"},
	} {
		_, err := h.Trade.ChangeMany(ctx, c.ids, c.b)
		shoptest.Refused(t, err, c.field)
	}
}

func TestMoneyWithoutAWatch(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	must := shoptest.Must[ledger.Entry](t)
	must(h.Trade.CapitalIn(ctx, trade.Terms{Amount: eur("1000")}, "Ines"))
	must(h.Trade.Overhead(ctx, trade.Terms{Amount: eur("120"), Text: "rent"}, eur("20"), "Ines"))
	must(h.Trade.Exchange(ctx, trade.Terms{Amount: eur("100")},
		trade.Terms{Amount: money.MustParse("110", "USD"), Rate: decimal.MustParse("0.9"), Pay: ledger.Cash}, "Ines"))
	if bank, cash := h.Balance(t, ledger.Bank), h.Balance(t, ledger.Cash); bank != "780.00" || cash != "99.00" {
		t.Errorf("bank %s, cash %s; want 780.00, 99.00", bank, cash)
	}
	_, err := h.Trade.CapitalIn(ctx, trade.Terms{Amount: eur("1")}, " ")
	shoptest.Refused(t, err, "by")
	_, err = h.Trade.Overhead(ctx, trade.Terms{}, eur("0"), "Ines")
	shoptest.Refused(t, err, "cost")
	_, err = h.Trade.Settle(ctx, ledger.Bank, trade.Terms{Client: "c_buyer"}, "Ines")
	shoptest.Refused(t, err, "account")
	_, err = h.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Client: "c_buyer"}, "Ines")
	shoptest.Refused(t, err, "client")
}

// Cash of one client counts together within the months of the rule, whatever it was for.
func TestCashOfOneClientCountsTogether(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rules := trade.RuleExamples()[0]
	rules.CashLimit, rules.CashMonths = eur("10000"), 12
	if err := h.Trade.SetRules(ctx, rules); err != nil {
		t.Fatal(err)
	}
	a, b := h.Offered(t), h.Offered(t)
	for _, id := range []shop.WatchID{a, b} {
		done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("5000")}}, "Ines"))
	}
	cash := trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("6000"), Pay: ledger.Cash}}
	done(t)(h.Trade.Sell(ctx, a, cash, "Ines"))
	_, err := h.Trade.Sell(ctx, b, cash, "Ines")
	shoptest.Refused(t, err, "cash")
	cash.Pay = ledger.Receivable
	done(t)(h.Trade.Sell(ctx, b, cash, "Ines"))
	_, err = h.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Client: "c_buyer", Pay: ledger.Cash}, "Ines")
	shoptest.Refused(t, err, "cash")
	h.Clock.Set(shoptest.Morning.AddDate(1, 0, 2))
	shoptest.Must[ledger.Entry](t)(h.Trade.Settle(ctx, ledger.Receivable,
		trade.Terms{Client: "c_buyer", Pay: ledger.Cash}, "Ines"))
}

// A record changed by hand is a step like any other: legal, and not past the ledger.
func TestChangedByHand(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	change := func(id shop.WatchID, to shop.State) (shop.Watch, error) {
		w, err := h.Watch(ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		w.State, w.Client = to, "c_seller"
		return h.Trade.Change(ctx, w)
	}
	old := h.Offered(t) // from older books, which the ledger does not know
	for _, to := range []shop.State{shop.Bought, shop.Listed, shop.Sold} {
		if w, err := change(old, to); err != nil || w.State != to {
			t.Fatalf("to %s: %+v, %v", to, w, err)
		}
	}
	_, err := change(old, shop.Listed)
	shoptest.Refused(t, err, "state")
	booked := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, booked, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("500")}}, "Ines"))
	_, err = change(booked, shop.Sold)
	shoptest.Refused(t, err, "state")
	moves, err := h.Trade.History(ctx, old)
	if err != nil || len(moves) != 4 {
		t.Errorf("%d movements, %v; want 4", len(moves), err)
	}
}

// The table of transitions and what a watch is told it may do next say the same.
func TestNextStatesAreOfTheTable(t *testing.T) {
	for _, from := range shop.States() {
		for _, owned := range []shop.Ownership{"", shop.Own, shop.OfOthers, shop.InPartner} {
			for _, to := range trade.NextStates(shop.Watch{State: from, Owned: owned}) {
				found := false
				for _, x := range trade.Transitions() {
					found = found || x.From == from && x.To == to
				}
				if !found || to == from {
					t.Errorf("%s (%s) to %s is not in the table", from, owned, to)
				}
			}
		}
	}
	if got := strings.Join(trade.Routes(), " "); got == "" {
		t.Error("no routes")
	}
}

// A deposit that is kept is income; a watch that was stolen is the shop's no more.
func TestDepositKeptAndWrittenOff(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("500")}}, "Ines"))
	done(t)(h.Trade.Reserve(ctx, id, trade.Reserving{Terms: trade.Terms{Client: "c_buyer", Amount: eur("50")}}, "Ines"))
	done(t)(h.Trade.Release(ctx, id, trade.Terms{}, true, "Ines"))
	if kept, open := h.Balance(t, ledger.OtherIncome), h.Balance(t, ledger.Deposits); kept != "-50.00" ||
		open != "0.00" {
		t.Errorf("kept %s, open %s; want -50.00, 0.00", kept, open)
	}
	done(t)(h.Trade.WriteOff(ctx, id, trade.Terms{}, "Ines"))
	w, err := h.Watch(ctx, id)
	if err != nil || w.State != shop.Returned || w.Owned != "" || h.Balance(t, ledger.StockPurchase) != "0.00" {
		t.Errorf("written off: %s, owned %q, %v", w.State, w.Owned, err)
	}
}

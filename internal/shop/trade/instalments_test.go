package trade_test

import (
	"testing"

	"github.com/govalues/decimal"

	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// 1,200.00 at 12 % in three payments, as worked by hand in the ledger's test: the first is 12.00 interest and 396.03 of
// the price; paid off in the second month it costs 803.97 and 8.04.
func TestInstalments(t *testing.T) {
	h, ctx := newHouse(t), t.Context()
	a := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, a, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000"), Day: "2026-01-02"}},
		"Ines"))
	agree := trade.Paying{Day: "2026-01-10", Instalments: 3, Rate: decimal.MustParse("0.12"), First: "2026-01-15"}
	_, err := h.Trade.Instalments(ctx, a, agree, "Ines")
	refusedFor(t, "a watch in stock", err, "watch")
	done(t)(h.Trade.Sell(ctx, a, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("1200"),
		Pay: ledger.Receivable, Day: "2026-01-05", Override: "drawn"}}, "Ines"))
	early := agree
	early.First = "2026-01-01"
	_, err = h.Trade.Instalments(ctx, a, early, "Ines")
	refusedFor(t, "a payment before it was agreed", err, "first")
	m := done(t)(h.Trade.Instalments(ctx, a, agree, "Ines"))
	if m.Plan == nil || len(m.Plan.Instalments) != 3 || m.Price.Amount() != "1200.00" {
		t.Fatalf("%+v", m)
	}
	pay := func(amount, day string) (ledger.Entry, error) {
		terms := trade.Terms{Client: "c_buyer", Day: day}
		if amount != "" {
			terms.Amount = eur(amount)
		}
		return h.Trade.Settle(ctx, ledger.Receivable, terms, "Ines")
	}
	if _, err := pay("408.03", "2026-01-15"); err != nil {
		t.Fatal(err)
	}
	if got := h.Balance(t, ledger.Receivable) + " " + h.Balance(t, ledger.InterestIn); got != "803.97 -12.00" {
		t.Errorf("after the first: %s", got)
	}
	_, err = pay("900", "2026-01-20")
	refusedFor(t, "more than is left", err, "amount")
	paid, err := pay("", "2026-01-20")
	if err != nil {
		t.Fatal(err)
	}
	if got := h.Balance(t, ledger.Receivable) + " " + h.Balance(t, ledger.InterestIn); got != "0.00 -20.04" {
		t.Errorf("paid off: %s", got)
	}
	if _, err := h.Trade.CounterEntry(ctx, paid.ID, "bounced", "Ines"); err != nil {
		t.Fatal(err)
	}
	plan, so, err := h.Trade.PlanOf(ctx, a)
	if err != nil || plan == nil || so.Amount() != "408.03" {
		t.Errorf("after the payment bounced: %s, %v", so, err)
	}
	if _, err := h.Trade.Undo(ctx, a, "not agreed", "Ines"); err != nil {
		t.Fatal(err)
	}
	if plan, _, err := h.Trade.PlanOf(ctx, a); plan != nil || err != nil {
		t.Errorf("undone, the plan is %+v, %v", plan, err)
	}
}

// Interest of a plan in another currency comes in at the day's rate, and the books balance.
func TestInstalmentsInAnotherCurrency(t *testing.T) {
	h, ctx := shoptest.InMemory(t).WithClients(t), t.Context()
	a := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, a, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000"), Day: "2026-01-02"}},
		"Ines"))
	rate := decimal.MustParse("1.05")
	done(t)(h.Trade.Sell(ctx, a, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: money.MustParse("1200", "CHF"), Rate: rate,
		Pay: ledger.Receivable, Day: "2026-01-05", Override: "drawn"}}, "Ines"))
	done(t)(h.Trade.Instalments(ctx, a, trade.Paying{Day: "2026-01-10", Instalments: 3, Rate: decimal.MustParse("0.12"),
		First: "2026-01-15"}, "Ines"))
	if _, err := h.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Client: "c_buyer", Amount: money.MustParse("408.03", "CHF"),
		Rate: decimal.MustParse("1.10"), Day: "2026-01-15"}, "Ines"); err != nil {
		t.Fatal(err)
	}
	// 12.00 at 1.10, and 396.03 · (1.10 − 1.05) = 19.80 as a difference of exchange
	if got := h.Balance(t, ledger.InterestIn) + " " + h.Balance(t, ledger.ExchangeDiff); got != "-13.20 -19.80" {
		t.Errorf("interest and difference: %s", got)
	}
}

package trade_test

import (
	"testing"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

func usd(s string) money.Money { return money.MustParse(s, "USD") }

// Opening a month that is open already files nothing before it; what closes a year or a period may still
// come after its return was handed in, everything else may not.
func TestFiledMonths(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	must := shoptest.Must[ledger.Entry](t)
	year := shoptest.Morning.AddDate(-1, 0, 0).Format("2006")
	must(h.Trade.Overhead(ctx, trade.Terms{Amount: eur("60"), Text: "rent", Day: year + "-03-02"}, eur("0"), "Ines"))
	before := year + "-11"
	if b, err := h.Trade.SetPeriod(ctx, before, trade.PeriodOpen); err != nil || b.Filed != "" {
		t.Errorf("opening a month that is open: %+v, %v", b, err)
	}
	if b, err := h.Trade.SetPeriod(ctx, year+"-12", trade.PeriodFiled); err != nil || b.Filed != year+"-12" {
		t.Fatalf("%+v, %v", b, err)
	}
	_, err := h.Trade.Overhead(ctx, trade.Terms{Amount: eur("10"), Text: "rent", Day: year + "-12-05"}, eur("0"), "Ines")
	shoptest.Refused(t, err, "day")
	if b, err := h.Trade.SetPeriod(ctx, before, trade.PeriodOpen); err != nil || b.Filed != year+"-10" {
		t.Errorf("opening a filed month: %+v, %v", b, err)
	}
	if _, err := h.Trade.SetPeriod(ctx, year+"-12", trade.PeriodFiled); err != nil {
		t.Fatal(err)
	}
	must(h.Trade.CloseYear(ctx, year, "Ines"))
	if b, err := h.Trade.BookRules(ctx); err != nil || b.Locked != year+"-12" {
		t.Errorf("after closing: %+v, %v", b, err)
	}
}

// A counter-entry takes money of another currency back as it was booked, whatever the lots became since, and
// an entry that closes a period is not answered.
func TestCounterEntryTakesBackAsBooked(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	must := shoptest.Must[ledger.Entry](t)
	rate := decimal.MustParse("0.9")
	first := must(h.Trade.CapitalIn(ctx, trade.Terms{Amount: usd("1000"), Rate: rate}, "Ines"))
	must(h.Trade.CapitalIn(ctx, trade.Terms{Amount: usd("1000"), Rate: decimal.MustParse("0.95")}, "Ines"))
	back := must(h.Trade.CounterEntry(ctx, first.ID, "wrong account", "Ines"))
	if len(back.Lines) != len(first.Lines) {
		t.Fatalf("%d lines take back %d", len(back.Lines), len(first.Lines))
	}
	for i, l := range back.Lines {
		if want := first.Lines[i].Base.Neg(); l.Base.Decimal().Cmp(want.Decimal()) != 0 {
			t.Errorf("line %d takes back %s; want %s", i, l.Base, want)
		}
	}
	entries, err := h.Trade.Revalue(ctx, "", map[money.Currency]decimal.Decimal{"USD": decimal.MustParse("0.96")}, "Ines")
	if err != nil || len(entries) == 0 {
		t.Fatalf("%v, %v", entries, err)
	}
	_, err = h.Trade.CounterEntry(ctx, entries[0].ID, "wrong rate", "Ines")
	shoptest.Refused(t, err, "entry")
}

// Cash for a lot and for other entries counts towards the local limit, and an entry with a watch comes back
// as the journal has it.
func TestCashLimitOfLotsAndEntries(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rules := trade.RuleExamples()[0]
	rules.CashLimit, rules.CashMonths = eur("10000"), 12
	if err := h.Trade.SetRules(ctx, rules); err != nil {
		t.Fatal(err)
	}
	a, b := h.Offered(t), h.Offered(t)
	parts := []trade.LotPart{{Watch: a, Worth: eur("9000")}, {Watch: b, Worth: eur("6000")}}
	_, err := h.Trade.BuyLot(ctx, parts, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("12000"),
		Pay: ledger.Cash}}, "Ines")
	shoptest.Refused(t, err, "cash")
	_, err = h.Trade.Enter(ctx, "loan-taken", "", trade.Terms{Client: "c_seller", Amount: eur("12000"), Pay: ledger.Cash},
		money.Money{}, "Ines")
	shoptest.Refused(t, err, "cash")
	if _, err := h.Trade.BuyLot(ctx, parts, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("12000")}},
		"Ines"); err != nil {
		t.Fatal(err)
	}
	e, err := h.Trade.Enter(ctx, "write-down", a, trade.Terms{Amount: eur("100")}, money.Money{}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	all, err := h.Entries(ctx, shop.EntryFilter{ID: e.ID})
	if err != nil || len(all) != 1 || all[0].Seq != e.Seq || e.Seq == 0 {
		t.Errorf("entry %d comes back as %d: %v", all[0].Seq, e.Seq, err)
	}
}

package shop_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/money"
)

// house is a shop with ledger and sealed clients, on a real store, without a book.
type house struct {
	*rooms.Shop
	store *store.Store
	clock *clock
}

func newHouse(t testing.TB) *house {
	t.Helper()
	return newHouseIn(t, t.TempDir())
}

func newHouseIn(t testing.TB, dir string) *house {
	t.Helper()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "shop.db"), store.WithClientKey(make([]byte, store.ClientKeyBytes)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	c, ids := &clock{now: morning}, &counter{}
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(nil)), shop.Options{Now: c.Now, NewID: ids.id})
	if err != nil {
		t.Fatal(err)
	}
	h := &house{s, st, c}
	for _, x := range []shop.Client{
		{ID: "c_seller", Name: "Selma Lund", Identity: &shop.Identity{Paper: "passport", Number: "X1", By: "Ines"}},
		{ID: "c_buyer", Name: "Bruno Vale"}, {ID: "c_partner", Name: "Paula & Co", Kind: "dealer"}, {ID: "c_bench", Name: "The Bench Workshop", Kind: "workshop"},
	} {
		if _, err := h.People.Add(t.Context(), x); err != nil {
			t.Fatal(err)
		}
	}
	return h
}

func (h *house) offered(t testing.TB) shop.WatchID {
	t.Helper()
	w, err := h.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1", Place: "safe"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return w.ID
}

func eur(s string) money.Money { return money.MustParse(s, "EUR") }

func done(t testing.TB) func(shop.Movement, error) shop.Movement {
	return func(m shop.Movement, err error) shop.Movement {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
}

func (h *house) stands(t testing.TB, a ledger.Account) string {
	t.Helper()
	out := "0.00"
	err := h.Books(t.Context(), func(b *ledger.Books) error {
		all, err := b.Balances()
		for _, x := range all {
			if x.Account == a {
				out = x.Base.Amount()
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func refusedFor(t testing.TB, what string, err error, field string) {
	t.Helper()
	var inv *shop.Invalid
	if !errors.As(err, &inv) || !slices.ContainsFunc(inv.Problems, func(p evidence.Problem) bool { return p.Field == field }) {
		t.Errorf("%s: error %v; want one about %s", what, err, field)
	}
}

func TestLifeOfAWatch(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.offered(t)
	_, err := h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "Ines")
	refusedFor(t, "listed before it was bought", err, "state")
	_, err = h.Trade.Move(ctx, id, trade.Moving{To: shop.Bought}, "Ines")
	refusedFor(t, "bought without money", err, "state")
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500"), Document: "P-1"}}, "Ines"))
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.AtWorkshop, Holder: "c_bench", Place: "workshop", Due: edtf.MustParse("2026-03-20")}, "Ines"))
	done(t)(h.Trade.Repair(ctx, id, trade.Working{Terms: trade.Terms{Client: "c_bench", Amount: eur("200")}, What: "service", Removed: []shop.Kept{{Slot: evidence.Crown, What: "worn original crown"}}}, "Ines"))
	where, err := h.Trade.WhereIs(ctx, id)
	if err != nil || where.Holder != "c_bench" || where.Place != "workshop" || len(where.Bag) != 1 || where.Due.String() != "2026-03-20" {
		t.Errorf("where: %+v, %v", where, err)
	}
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed, Place: "window"}, "Ines"))
	done(t)(h.Trade.Reserve(ctx, id, trade.Reserving{Terms: trade.Terms{Client: "c_buyer", Amount: eur("300")}, Until: edtf.MustParse("2026-03-10")}, "Ines"))
	rate := decimal.MustParse("0.20")
	done(t)(h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("2000"), Document: "S-1"}, Route: "private client", TaxRate: &rate}, "Ines"))
	if got := h.stands(t, ledger.VATDue); got != "-83.33" { // gov.uk: 1,500 to 2,000 at one sixth of the margin
		t.Errorf("VAT due %s; want -83.33", got)
	}
	if got := h.stands(t, ledger.Bank); got != "300.00" {
		t.Errorf("bank %s; want 300.00", got)
	}
	rows, err := h.StockBook(ctx)
	if err != nil || len(rows) != 1 || rows[0].SellerName != "Selma Lund" || rows[0].BuyerName != "Bruno Vale" || rows[0].FileNumber != 1 {
		t.Errorf("stock book: %+v, %v", rows, err)
	}
	log, err := h.Log(ctx, id)
	if err != nil || len(log.Evidence) != 1 || log.Evidence[0].Kind() != evidence.KindWork {
		t.Errorf("evidence: %+v, %v", log.Evidence, err)
	}

	// Back step by step: each undone by a counter-step, nothing taken away.
	for _, want := range []shop.State{shop.Reserved, shop.Listed, shop.AtWorkshop, shop.AtWorkshop, shop.Bought, shop.Offered} {
		m := done(t)(h.Trade.Undo(ctx, id, "entered for another watch", "Ines"))
		if m.To != want {
			t.Errorf("undone to %s; want %s", m.To, want)
		}
	}
	_, err = h.Trade.Undo(ctx, id, "again", "Ines")
	refusedFor(t, "undo of the taking in", err, "step")
	w, err := h.Watch(ctx, id)
	if err != nil || w.State != shop.Offered || !w.Cost.IsZero() || w.Place != "safe" || w.Holder != "" || w.Client != "" {
		t.Errorf("all undone: %+v, %v", w, err)
	}
	for _, a := range []ledger.Account{ledger.Bank, ledger.Sales, ledger.VATDue, ledger.StockPurchase, ledger.Deposits} {
		if got := h.stands(t, a); got != "0.00" {
			t.Errorf("%s after all was undone: %s", a, got)
		}
	}
	moves, err := h.Trade.History(ctx, id)
	if err != nil || len(moves) != 13 {
		t.Errorf("%d movements, %v; want 13", len(moves), err)
	}
	if err := h.VerifyLedger(ctx); err != nil {
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
	id := h.offered(t)
	_, err := h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("12000"), Pay: ledger.Cash}}, "Ines")
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
	h.clock.set(morning.AddDate(0, 0, 16))
	c, err := h.People.Client(ctx, "c_buyer")
	if err != nil {
		t.Fatal(err)
	}
	c.Identity = &shop.Identity{Paper: "identity card", Number: "7", By: "Ines"}
	if _, err := h.People.Change(ctx, c); err != nil {
		t.Fatal(err)
	}
	if _, err := h.Intake.Record(ctx, id, "Ines", &evidence.Document{What: "letter", Text: "Statement of ownership, signed"},
		&evidence.Check{Register: "loss register", Date: edtf.MustParse("2026-03-10"), Result: "clear"}); err != nil {
		t.Fatal(err)
	}
	m := done(t)(h.Trade.Sell(ctx, id, sell, "Ines"))
	if len(m.Ignored) != 0 {
		t.Errorf("ignored %v", m.Ignored)
	}
	done(t)(h.Trade.Undo(ctx, id, "buyer fell through", "Ines"))

	// A match in a register blocks whatever else; an override is kept with its reason.
	if _, err := h.Intake.Record(ctx, id, "Ines", &evidence.Check{Register: "loss register", Date: edtf.MustParse("2026-03-16"), Result: "match"}); err != nil {
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
	a, b, c := h.offered(t), h.offered(t), h.offered(t)
	done(t)(h.Trade.ShareBuy(ctx, a, trade.Sharing{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000")}, Stakes: []ledger.Stake{{Party: "c_partner", Share: decimal.MustParse("0.5")}}}, "Ines"))
	done(t)(h.Trade.Move(ctx, a, trade.Moving{To: shop.OnMemo, Person: "c_partner", Due: edtf.MustParse("2026-04-01")}, "Ines"))
	done(t)(h.Trade.Sell(ctx, a, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("1600"), Pay: ledger.Receivable}, Route: "trade"}, "Ines"))
	done(t)(h.Trade.PartExchange(ctx, b, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("600")}}, a, "Ines"))
	if _, err := h.Trade.Settle(ctx, ledger.Receivable, trade.Terms{Client: "c_buyer"}, "Ines"); err != nil {
		t.Fatal(err)
	}
	e, err := h.Trade.Settle(ctx, ledger.Partners, trade.Terms{Client: "c_partner"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	if got := h.stands(t, ledger.Bank); got != "-250.00" { // −1000 + 1000 − 250 to the partner: (1600 − 100)/2 − 500
		t.Errorf("bank %s; want -250.00", got)
	}
	if _, err := h.Trade.CounterEntry(ctx, e.ID, "sent twice", "Ines"); err != nil {
		t.Fatal(err)
	}
	_, err = h.Trade.CounterEntry(ctx, e.ID, "sent twice", "Ines")
	refusedFor(t, "answered twice", err, "entry")

	done(t)(h.Trade.ConsignIn(ctx, c, trade.Consigning{Terms: trade.Terms{Client: "c_seller", Amount: eur("5000")}, Commission: decimal.MustParse("0.15")}, "Ines"))
	_, err = h.Trade.Move(ctx, c, trade.Moving{To: shop.Returned}, "Ines")
	refusedFor(t, "given back past the ledger", err, "state")
	done(t)(h.Trade.Sell(ctx, c, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("5000")}}, "Ines"))
	done(t)(h.Trade.Refund(ctx, c, trade.Terms{}, "Ines"))
	done(t)(h.Trade.Move(ctx, c, trade.Moving{To: shop.Consigned}, "Ines"))
	done(t)(h.Trade.GiveBack(ctx, c, trade.Terms{}, "Ines"))
	_, err = h.Trade.Move(ctx, c, trade.Moving{To: shop.Listed}, "Ines")
	refusedFor(t, "listed after it was given back", err, "state")
	if got := h.stands(t, ledger.GoodsOfOthers) + h.stands(t, ledger.Consignors); got != "0.000.00" {
		t.Errorf("left of the consignment: %s", got)
	}
}

func TestPromisesAndPrivateFirst(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000")}}, "Ines"))
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "Ines"))
	if _, err := h.People.PrivateFirst(ctx, id, edtf.MustParse("2026-03-05"), "Ines"); err != nil {
		t.Fatal(err)
	}
	w, err := h.Watch(ctx, id)
	if err != nil || w.Public(morning) || w.Public(morning.AddDate(0, 0, 3)) || !w.Public(morning.AddDate(0, 0, 4)) {
		t.Errorf("private until 5 March: %+v, %v", w.PrivateTo, err)
	}
	for _, v := range []shop.Showing{{Watch: id, Client: "c_buyer", Kind: shop.Shown}, {Watch: id, Client: "c_buyer", Kind: shop.Promised, Until: edtf.MustParse("2026-03-08")}} {
		if _, err := h.People.Show(ctx, v, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	first, ok, err := h.People.FirstToSee(ctx, id)
	if err != nil || !ok || first.Client != "c_buyer" {
		t.Errorf("first to see: %+v, %v", first, err)
	}
	_, err = h.People.Show(ctx, shop.Showing{Watch: id, Client: "c_partner", Kind: shop.Promised, Until: edtf.MustParse("2026-03-08")}, "Ines")
	refusedFor(t, "promised twice", err, "promise")
	sell := trade.Selling{Terms: trade.Terms{Client: "c_partner", Amount: eur("1500")}}
	_, err = h.Trade.Sell(ctx, id, sell, "Ines")
	refusedFor(t, "sold past a promise", err, "promise")
	h.clock.set(morning.AddDate(0, 0, 7))
	done(t)(h.Trade.Sell(ctx, id, sell, "Ines"))
}

// Whatever steps are tried, the state stays legal, the ledger balances and stock and
// state agree; undoing everything leaves nothing in the books.
func TestAnySteps(t *testing.T) {
	dir := t.TempDir()
	if quick, err := os.MkdirTemp("/dev/shm", "midcase"); err == nil { // in memory, where there is such a place: many small writes
		t.Cleanup(func() { os.RemoveAll(quick) })
		dir = quick
	}
	h := newHouseIn(t, dir)
	ctx := t.Context()
	rapid.Check(t, func(rt *rapid.T) {
		id := h.offered(t)
		amount := func() money.Money {
			return eur(fmt.Sprintf("%d.%02d", rapid.IntRange(1, 9999).Draw(rt, "euros"), rapid.IntRange(0, 99).Draw(rt, "cents")))
		}
		deal := func() trade.Terms {
			return trade.Terms{Client: rapid.SampledFrom([]string{"c_seller", "c_buyer"}).Draw(rt, "client"), Amount: amount()}
		}
		steps := []func() (shop.Movement, error){
			func() (shop.Movement, error) { return h.Trade.Buy(ctx, id, trade.Buying{Terms: deal()}, "Ines") },
			func() (shop.Movement, error) {
				return h.Trade.ConsignIn(ctx, id, trade.Consigning{Terms: deal(), Commission: decimal.MustParse("0.2")}, "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.ShareBuy(ctx, id, trade.Sharing{Terms: deal(), Stakes: []ledger.Stake{{Party: "c_partner", Share: decimal.MustParse("0.37")}}}, "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.Move(ctx, id, trade.Moving{To: rapid.SampledFrom(shop.States()).Draw(rt, "to"), Person: "c_buyer"}, "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.Repair(ctx, id, trade.Working{Terms: deal(), What: "service"}, "Ines")
			},
			func() (shop.Movement, error) { return h.Trade.Reserve(ctx, id, trade.Reserving{Terms: deal()}, "Ines") },
			func() (shop.Movement, error) {
				return h.Trade.Release(ctx, id, trade.Terms{}, rapid.Bool().Draw(rt, "keep"), "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: amount(), Override: "drawn"}}, "Ines")
			},
			func() (shop.Movement, error) { return h.Trade.Refund(ctx, id, trade.Terms{}, "Ines") },
			func() (shop.Movement, error) { return h.Trade.Refund(ctx, id, trade.Terms{Amount: amount()}, "Ines") },
			func() (shop.Movement, error) { return h.Trade.GiveBack(ctx, id, trade.Terms{}, "Ines") },
			func() (shop.Movement, error) { return h.Trade.WriteOff(ctx, id, trade.Terms{}, "Ines") },
			func() (shop.Movement, error) { return h.Trade.Undo(ctx, id, "drawn", "Ines") },
		}
		for range rapid.IntRange(3, 12).Draw(rt, "steps") {
			before, err := h.Watch(ctx, id)
			if err != nil {
				rt.Fatal(err)
			}
			m, err := steps[rapid.IntRange(0, len(steps)-1).Draw(rt, "step")]()
			after, err2 := h.Watch(ctx, id)
			if err2 != nil {
				rt.Fatal(err2)
			}
			if err != nil {
				var inv *shop.Invalid
				if !errors.As(err, &inv) || after.Version != before.Version {
					rt.Fatalf("refused with %v; version %d, before %d", err, after.Version, before.Version)
				}
				continue
			}
			if m.To != after.State || m.From != before.State {
				rt.Fatalf("movement %+v, state %s to %s", m, before.State, after.State)
			}
			entries, err := h.Entries(ctx, shop.EntryFilter{Watch: id})
			if err != nil {
				rt.Fatal(err)
			}
			holding, err := ledger.HoldingOf(string(id), entries)
			if err != nil {
				rt.Fatal(err)
			}
			if (holding.Sale != nil) != (after.State == shop.Sold) {
				rt.Fatalf("state %s, sale %v", after.State, holding.Sale != nil)
			}
			if len(holding.Stock) > 0 && (after.Owned == "" || after.Owned == shop.OfOthers || after.State == shop.Sold) {
				rt.Fatalf("state %s, owned %q, stock %v", after.State, after.Owned, holding.Stock)
			}
		}
		for {
			if _, err := h.Trade.Undo(ctx, id, "all back", "Ines"); err != nil {
				break
			}
		}
		w, err := h.Watch(ctx, id)
		if err != nil || w.State != shop.Offered || w.Owned != "" {
			rt.Fatalf("all undone: %+v, %v", w, err)
		}
		err = h.Books(ctx, func(b *ledger.Books) error {
			all, err := b.Balances()
			for _, x := range all {
				if x.Amount.Sign() != 0 || x.Base.Sign() != 0 {
					rt.Fatalf("left on %s after all was undone: %s", x.Account, x.Amount)
				}
			}
			return err
		})
		if err != nil {
			rt.Fatal(err)
		}
	})
}

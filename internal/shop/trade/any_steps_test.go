package trade_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// Whatever steps are tried, the state stays legal, the ledger balances and stock and
// state agree; undoing everything leaves nothing in the books.
func TestAnySteps(t *testing.T) {
	h := shoptest.InMemory(t).WithClients(t)
	ctx := t.Context()
	rapid.Check(t, func(rt *rapid.T) {
		id := h.Offered(t)
		amount := func() money.Money {
			return eur(fmt.Sprintf("%d.%02d", rapid.IntRange(1, 9999).Draw(rt, "euros"),
				rapid.IntRange(0, 99).Draw(rt, "cents")))
		}
		deal := func() trade.Terms {
			return trade.Terms{Client: rapid.SampledFrom([]string{"c_seller", "c_buyer"}).Draw(rt, "client"),
				Amount: amount()}
		}
		steps := []func() (shop.Movement, error){
			func() (shop.Movement, error) { return h.Trade.Buy(ctx, id, trade.Buying{Terms: deal()}, "Ines") },
			func() (shop.Movement, error) {
				return h.Trade.ConsignIn(ctx, id, trade.Consigning{Terms: deal(), Commission: decimal.MustParse("0.2")},
					"Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.ShareBuy(ctx, id, trade.Sharing{Terms: deal(),
					Stakes: []ledger.Stake{{Party: "c_partner", Share: decimal.MustParse("0.37")}}}, "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.Move(ctx, id, trade.Moving{To: rapid.SampledFrom(shop.States()).Draw(rt, "to"),
					Person: "c_buyer"}, "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.Repair(ctx, id, trade.Working{Terms: deal(), What: "service"}, "Ines")
			},
			func() (shop.Movement, error) { return h.Trade.Reserve(ctx, id, trade.Reserving{Terms: deal()}, "Ines") },
			func() (shop.Movement, error) {
				return h.Trade.Release(ctx, id, trade.Terms{}, rapid.Bool().Draw(rt, "keep"), "Ines")
			},
			func() (shop.Movement, error) {
				return h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: amount(),
					Override: "drawn"}}, "Ines")
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
			if len(holding.Stock) > 0 && (after.Owned == "" || after.Owned == shop.OfOthers ||
				after.State == shop.Sold) {
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
		err = h.Accounts.Books(ctx, func(b *ledger.Books) error {
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

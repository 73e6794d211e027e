package people_test

import (
	"testing"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

func TestPromisesAndPrivateFirst(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000")}}, "Ines"))
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed}, "Ines"))
	if _, err := h.People.PrivateFirst(ctx, id, edtf.MustParse("2026-03-05"), "Ines"); err != nil {
		t.Fatal(err)
	}
	w, err := h.Watch(ctx, id)
	if err != nil || w.Public(shoptest.Morning) || w.Public(shoptest.Morning.AddDate(0, 0, 3)) ||
		!w.Public(shoptest.Morning.AddDate(0, 0, 4)) {
		t.Errorf("private until 5 March: %+v, %v", w.PrivateTo, err)
	}
	for _, v := range []shop.Showing{{Watch: id, Client: "c_buyer", Kind: shop.Shown},
		{Watch: id, Client: "c_buyer", Kind: shop.Promised, Until: edtf.MustParse("2026-03-08")}} {
		if _, err := h.People.Show(ctx, v, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	first, ok, err := h.People.FirstToSee(ctx, id)
	if err != nil || !ok || first.Client != "c_buyer" {
		t.Errorf("first to see: %+v, %v", first, err)
	}
	_, err = h.People.Show(ctx, shop.Showing{Watch: id, Client: "c_partner", Kind: shop.Promised,
		Until: edtf.MustParse("2026-03-08")}, "Ines")
	refusedFor(t, "promised twice", err, "promise")
	sell := trade.Selling{Terms: trade.Terms{Client: "c_partner", Amount: eur("1500")}}
	_, err = h.Trade.Sell(ctx, id, sell, "Ines")
	refusedFor(t, "sold past a promise", err, "promise")
	h.Clock.Set(shoptest.Morning.AddDate(0, 0, 7))
	done(t)(h.Trade.Sell(ctx, id, sell, "Ines"))
}

package shop_test

import (
	"slices"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// refusal fails where an error does not refuse a field.
func refusal(t *testing.T, err error, field string) {
	t.Helper()
	shoptest.Refused(t, err, field)
}

// A new shop says its country, currency and name; the country gives the currency and the form of figures, no tax is
// presumed, and once something is booked the currency stays.
func TestFoundingAShop(t *testing.T) {
	h, ctx := newHouse(t), t.Context()
	if _, found, err := h.Founding(ctx); err != nil || found {
		t.Fatalf("a new shop is founded already: %t, %v", found, err)
	}
	if empty, err := h.Empty(ctx); err != nil || !empty {
		t.Errorf("a new shop is empty: %t, %v", empty, err)
	}
	refusal(t, h.Found(ctx, shop.Founding{Country: "Atlantis", Name: "Fine Old Things"}), "country")
	refusal(t, h.Found(ctx, shop.Founding{Country: "US", Currency: "euros", Name: "Fine Old Things"}), "currency")
	refusal(t, h.Found(ctx, shop.Founding{Country: "US", Name: "  "}), "name")
	if err := h.Found(ctx, shop.Founding{Country: "us", Name: " Fine Old Things "}); err != nil {
		t.Fatal(err)
	}
	f, found, err := h.Founding(ctx)
	if err != nil || !found || f != (shop.Founding{Country: "US", Currency: "USD", Name: "Fine Old Things"}) {
		t.Errorf("founded as %+v, %t, %v", f, found, err)
	}
	set, err := h.Settings(ctx)
	if err != nil || set.Currency != "USD" || set.Locale != "en-US" || set.Terms.Tax.Scheme != "none" {
		t.Errorf("settings %s, %s, tax %q, %v; want dollars, figures as there and no tax", set.Currency, set.Locale,
			set.Terms.Tax.Scheme, err)
	}
	if head, err := h.Letterhead(ctx); err != nil || head.Name != "Fine Old Things" || head.Country != "US" {
		t.Errorf("letterhead %+v, %v", head, err)
	}
	id := h.offered(t)
	if empty, err := h.Empty(ctx); err != nil || empty {
		t.Errorf("with a watch it is empty: %t, %v", empty, err)
	}
	if err := h.Found(ctx, shop.Founding{Country: "CH", Name: "Fine Old Things"}); err != nil || h.Currency() != "CHF" {
		t.Errorf("before anything is booked the currency may change: %s, %v", h.Currency(), err)
	}
	if _, err := h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller",
		Amount: money.MustParse("1500", "CHF")}}, "Ines"); err != nil {
		t.Fatal(err)
	}
	refusal(t, h.Found(ctx, shop.Founding{Country: "US", Currency: "USD", Name: "Fine Old Things"}), "currency")
	if err := h.Found(ctx, shop.Founding{Country: "CH", Name: "Finer Old Things"}); err != nil {
		t.Errorf("another name: %v", err)
	}
}

func TestCountriesHaveCurrencies(t *testing.T) {
	all := shop.Countries()
	for _, want := range []shop.Country{{Code: "DE", Name: "Germany", Currency: "EUR"}, {Code: "JP", Name: "Japan", Currency: "JPY"},
		{Code: "GB", Name: "United Kingdom", Currency: "GBP"}, {Code: "CH", Name: "Switzerland", Currency: "CHF"}} {
		if !slices.Contains(all, want) { // codes and currencies of ISO 3166 and ISO 4217, from memory
			t.Errorf("%+v is missing", want)
		}
	}
	if !slices.IsSortedFunc(all, func(a, b shop.Country) int { return len(a.Code) - len(b.Code) }) || len(all) < 200 {
		t.Errorf("%d countries; want all, each by two letters", len(all))
	}
}

// What the shop calls itself is refused where a paper could not be made with it.
func TestLetterheadsThatAreRefused(t *testing.T) {
	h, ctx := newHouse(t), t.Context()
	good, err := h.Letterhead(ctx)
	if err != nil {
		t.Fatal(err)
	}
	good.Name, good.CheckedAt, good.Country = "Fine Old Things", "https://shop.example/", "ch"
	if err := h.SetLetterhead(ctx, good); err != nil {
		t.Fatal(err)
	}
	if kept, err := h.Letterhead(ctx); err != nil || kept.CheckedAt != "https://shop.example" || kept.Country != "CH" {
		t.Errorf("kept as %+v, %v", kept, err)
	}
	for field, spoil := range map[string]func(*shop.Letterhead){
		"name":         func(l *shop.Letterhead) { l.Name = " " },
		"margin_words": func(l *shop.Letterhead) { l.MarginWords = "" },
		"memo_risk":    func(l *shop.Letterhead) { l.MemoRisk = " " },
		"country":      func(l *shop.Letterhead) { l.Country = "ZZ" },
		"margin_goods": func(l *shop.Letterhead) { l.MarginGoods = "cheese" },
		"checked_at":   func(l *shop.Letterhead) { l.CheckedAt = "shop.example" },
	} {
		bad := good
		spoil(&bad)
		refusal(t, h.SetLetterhead(ctx, bad), field)
	}
}

// Whoever may not see what watches cost sees no price paid, asked of the shop or charged for work, in whichever item it
// stands, and the record itself keeps them.
func TestWhatIsNotForAllIsNotShown(t *testing.T) {
	price := money.MustParse("1234.00", "EUR")
	items := []evidence.Item{
		{ID: "ev_1", Data: &evidence.Claim{About: "price", Text: "wants 1234", Price: price}},
		{ID: "ev_2", Data: &evidence.Claim{About: "maker", Text: "never opened"}},
		{ID: "ev_3", Data: &evidence.Work{What: "service", Cost: price}},
		{ID: "ev_4", Data: &evidence.Need{What: "crystal", Cost: price}},
	}
	sales := rights.With(t.Context(), rights.Sales)
	file := evidence.File{Items: items, Withdrawn: []evidence.Withdrawn{{Item: items[0]}}}
	seen := shop.SeenFile(sales, file)
	if c := seen.Items[0].Data.(*evidence.Claim); !c.Price.IsZero() || c.Text == "wants 1234" {
		t.Errorf("a claim of a price: %+v", c)
	}
	if c := seen.Items[1].Data.(*evidence.Claim); c.Text != "never opened" {
		t.Errorf("a claim of something else: %+v", c)
	}
	if w, n := seen.Items[2].Data.(*evidence.Work), seen.Items[3].Data.(*evidence.Need); !w.Cost.IsZero() || !n.Cost.IsZero() {
		t.Errorf("work %+v, need %+v", w, n)
	}
	if c := seen.Withdrawn[0].Item.Data.(*evidence.Claim); !c.Price.IsZero() {
		t.Errorf("withdrawn, and shown: %+v", c)
	}
	if c := file.Items[0].Data.(*evidence.Claim); c.Price != price || file.Withdrawn[0].Item.Data != items[0].Data {
		t.Error("the record itself was changed")
	}
	w := shop.Watch{Cost: price, Asked: price, Asking: price, Client: "c_buyer", Holder: "c_partner"}
	if s := shop.SeenWatch(sales, w); !s.Cost.IsZero() || !s.Asked.IsZero() || s.Asking != price || s.Client != "c_buyer" {
		t.Errorf("sales see %+v; want clients and the price asked", s)
	}
	if s := shop.SeenWatch(rights.With(t.Context(), rights.Viewer), w); s.Client != "" || s.Holder != "" {
		t.Errorf("a viewer sees %+v", s)
	}
	bought := shop.Movement{From: shop.Offered, To: shop.Bought, Price: price, Before: shop.Snapshot{Cost: price}}
	sold := shop.Movement{From: shop.Listed, To: shop.Sold, Price: price, Before: shop.Snapshot{Cost: price}}
	if s := shop.SeenMovement(sales, bought); !s.Price.IsZero() || !s.Before.Cost.IsZero() {
		t.Errorf("a purchase as sales see it: %+v", s)
	}
	if s := shop.SeenMovement(sales, sold); s.Price != price || !s.Before.Cost.IsZero() {
		t.Errorf("a sale as sales see it: %+v", s)
	}
	if s := shop.SeenMovement(rights.With(t.Context(), rights.Owner), bought); s.Price != price {
		t.Errorf("a purchase as the owner sees it: %+v", s)
	}
}

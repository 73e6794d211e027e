package desk_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

// searched is a small stock: a black dial of 1968 or so with papers, a polished one for sale, one of a reference that no
// book knows, and one that a client holds.
func searched(t *testing.T) *shoptest.Bench {
	t.Helper()
	ctx := t.Context()
	b := shoptest.New(t).WithClients(t).WithSales(t)
	add := func(a intake.Arrival, data ...evidence.Data) shop.WatchID {
		id := b.TakeIn(t, a).ID
		b.Record(t, id, data...)
		return id
	}
	add(intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "310077", Place: "safe"},
		&evidence.Fitted{Slot: evidence.Dial, Variant: "unknown", Description: "black, gilt print"},
		&evidence.Document{What: "papers", Date: edtf.MustParse("1968")})
	polished := add(intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "298801", Place: "window"},
		&evidence.Finding{Slot: evidence.Case, Term: "polished", Severity: 3})
	add(intake.Arrival{Maker: "Nobody", Reference: "X-9", Note: "from the brown suitcase"}, &evidence.Claim{About: "maker",
		Text: "a jobbing house"})
	held := add(intake.Arrival{Maker: "Corvane", Reference: "KR-2"}, &evidence.Fitted{Slot: evidence.Dial,
		Variant: "unknown", Description: "silver"})
	for _, id := range []shop.WatchID{polished, held} {
		if _, err := b.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller",
			Amount: shoptest.EUR("2000")}}, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.Trade.Move(ctx, polished, trade.Moving{To: shop.Listed, Asking: shoptest.EUR("4200")}, "Ines"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Trade.Move(ctx, held, trade.Moving{To: shop.OnMemo, Person: "c_partner",
		Due: edtf.MustParse("2026-04-01")}, "Ines"); err != nil {
		t.Fatal(err)
	}
	return b
}

func numbers(rows []desk.Brief) string {
	var out []string
	for _, b := range rows {
		out = append(out, fmt.Sprint(b.Watch.Number))
	}
	slices.Sort(out)
	return strings.Join(out, " ")
}

// Whichever way the stock is searched, over the list or from nothing, the same watches are found.
func TestTheStockIsSearchedAndFiltered(t *testing.T) {
	b, ctx := searched(t), t.Context()
	for _, c := range []struct {
		text   string
		filter desk.Filter
		want   string
	}{
		{"", desk.Filter{}, "1 2 3 4"},
		{"black dial", desk.Filter{}, "1"},
		{"silver dial", desk.Filter{}, "4"},
		{"polished", desk.Filter{}, "2"},
		{"no papers", desk.Filter{}, "2 3 4"},
		{"kr1", desk.Filter{}, "1 2"},
		{"suitcase", desk.Filter{}, "3"},
		{"suitcse", desk.Filter{}, "3"},
		{"0077", desk.Filter{}, "1"},
		{"on memo", desk.Filter{}, "4"},
		{"Paula", desk.Filter{}, "4"},
		{"nothing of the kind", desk.Filter{}, ""},
		{"", desk.Filter{State: shop.Listed}, "2"},
		{"", desk.Filter{Maker: "Corvane", Reference: "KR-1", Place: "safe"}, "1"},
		{"", desk.Filter{PriceFrom: 4000, PriceTo: 4300, State: shop.Listed}, "2"},
		{"", desk.Filter{PriceTo: 4000, State: shop.Listed}, ""},
		{"", desk.Filter{MadeFrom: 1900, MadeTo: 1910}, ""},
		{"", desk.Filter{MadeFrom: 1950, Reference: "KR-1"}, "1 2"},
		{"", desk.Filter{MadeTo: 1900}, ""},
		{"", desk.Filter{GradeFrom: 9.9}, ""},
		{"polished", desk.Filter{GradeTo: 9.8}, ""}, // one finding makes no grade
		{"", desk.Filter{Judged: "original", Part: evidence.Bezel, Reference: "X-9"}, ""},
	} {
		found, _, err := b.Desk.Find(ctx, c.text, c.filter, func(int, int) {})
		if err != nil || numbers(found.Rows) != c.want {
			t.Errorf("%q, %+v finds from nothing %s; want %s (%v)", c.text, c.filter, numbers(found.Rows), c.want, err)
		}
		all, err := b.Desk.Briefs(ctx, shop.Filter{})
		if err != nil {
			t.Fatal(err)
		}
		listed, err := b.Desk.Search(ctx, all, c.text)
		listed.Rows = slices.DeleteFunc(slices.Clone(listed.Rows), func(b desk.Brief) bool { return !c.filter.Passes(&b) })
		if err != nil || numbers(listed.Rows) != c.want {
			t.Errorf("%q, %+v finds in the list %s; want %s (%v)", c.text, c.filter, numbers(listed.Rows), c.want, err)
		}
	}
	viewer := rights.With(ctx, rights.Viewer)
	if found, _, err := b.Desk.Find(viewer, "Paula", desk.Filter{}, func(int, int) {}); err != nil || len(found.Rows) > 0 {
		t.Errorf("who may not see clients finds %s by a client's name (%v)", numbers(found.Rows), err)
	}
}

// A search is kept under a name, one's own beside the shop's, and forgotten with an empty query.
func TestSavedSearches(t *testing.T) {
	b := shoptest.New(t)
	ctx := context.Background()
	f := desk.Filter{State: shop.Listed, MadeFrom: 1960, MadeTo: 1969, PriceTo: 5000.5, Judged: "original",
		Part: evidence.Dial}
	if err := b.Desk.SaveView(ctx, desk.View{Name: " sixties ", Text: "black dial", Filter: f}); err != nil {
		t.Fatal(err)
	}
	v, err := b.Desk.SavedView(ctx, "Sixties")
	if err != nil || v.Text != "black dial" || v.Filter != f {
		t.Errorf("%+v, %v; want it back as it was saved", v, err)
	}
	if _, err := b.Desk.SavedView(ctx, "seventies"); err == nil || !strings.Contains(err.Error(), "sixties") {
		t.Errorf("a name that is not there: %v; want those that are", err)
	}
	shoptest.Refused(t, b.Desk.SaveView(ctx, desk.View{Name: strings.Repeat("x", 61)}), "name")
	if err := b.Desk.SaveView(ctx, desk.View{Name: "sixties", Query: ""}); err != nil {
		t.Fatal(err)
	}
	if all, err := b.Desk.Views(ctx); err != nil || len(all) != 0 {
		t.Errorf("%+v, %v; want it forgotten", all, err)
	}
}

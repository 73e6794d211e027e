package storetest

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
)

// imported is when the sales of a test were imported.
var imported = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

func testAddSales(t *testing.T, s Stores) {
	ctx := t.Context()
	condition, originality := 7.25, 0.1
	full := market.Sale{ID: "s_full", Line: 12, Date: "2019-05", Maker: "Émeraude", Reference: "R-1",
		Price:  money.MustParse("12500.00", "EUR"),
		Family: "Diver", Metal: "gold18", Dial: "black", Year: 1968, Condition: &condition, Completeness: "full", Originality: &originality,
		Country: "CH", Venue: "auction", Basis: "hammer", Serial: "A 1", Source: "a catalogue", Note: "with \"quotes\"\nand lines"}
	sales := []market.Sale{full}
	for i := range 600 { // more than one batch
		sales = append(sales, newSale(fmt.Sprintf("s_%d", i), "2020", "10"))
	}
	equal(t, "imported before", must(s.SalesImported(ctx))(t).IsZero(), true)
	equal(t, "added", must(s.AddSales(ctx, sales, imported))(t), 601)
	equal(t, "added again", must(s.AddSales(ctx, sales, imported.Add(time.Hour)))(t), 0)
	equal(t, "imported, where nothing was new", must(s.SalesImported(ctx))(t).Equal(imported), true)
	other := full
	other.Maker = "somebody else"
	more := []market.Sale{other, newSale("s_new", "2021", "11"), newSale("s_new", "2022", "12")}
	equal(t, "one new, twice in a call", must(s.AddSales(ctx, more, imported.Add(time.Hour)))(t), 1)
	equal(t, "imported once more", must(s.SalesImported(ctx))(t).Equal(imported.Add(time.Hour)), true)
	equal(t, "none", must(s.AddSales(ctx, nil, imported))(t), 0)
	equal(t, "count", must(s.SaleCount(ctx))(t), 602)

	got := must(s.Sale(ctx, "s_full"))(t)
	equal(t, "condition", *got.Condition, condition)
	equal(t, "originality", *got.Originality, originality)
	got.Condition, got.Originality = full.Condition, full.Originality
	same(t, "sale", got, full)
	_, err := s.Sale(ctx, "s_none")
	wantErr(t, "no such sale", err, shop.ErrNotFound)
	ids := []string{"s_none", "s_full"}
	for i := range 600 { // more than one query
		ids = append(ids, fmt.Sprintf("s_%d", i))
	}
	there := must(s.SalesThere(ctx, ids))(t)
	equal(t, "there", len(there), 601)
	equal(t, "there, of one that is not", there["s_none"], false)

	half := []market.Sale{newSale("s_good", "2020", "1"), newSale("", "2020", "1")}
	if _, err := s.AddSales(ctx, half, imported.Add(2*time.Hour)); err == nil {
		t.Error("a sale without an id was taken")
	}
	equal(t, "imported, after a refused call", must(s.SalesImported(ctx))(t).Equal(imported.Add(time.Hour)), true)
	_, err = s.Sale(ctx, "s_good")
	wantErr(t, "the good one of a refused call", err, shop.ErrNotFound)
}

// testSalesInOrder holds the order to that of the bytes, whatever the language of
// the database server: otherwise two shops would fit two different prices.
func testSalesInOrder(t *testing.T, s Stores) {
	dates := []string{"2020", "2020-01", "2020-01-31", "2020-10", "2019-12-31", ""}
	ids := []string{"a", "B", "b", "A", "é", "e", "z", "ß", "ss", "st", "Ä", "ä", "a\u0308", "_", "-", "~", "1", "10",
		"2", "時", "😀", "\uFFFD", "a b", "a-b"}
	var sales []market.Sale
	var want []string
	for _, date := range dates {
		for _, id := range ids {
			sales = append(sales, newSale(date+"/"+id, date, "1"))
			want = append(want, date+"\x00"+date+"/"+id)
		}
	}
	must(s.AddSales(t.Context(), sales, imported))(t)
	slices.Sort(want)
	var got []string
	for _, sale := range allSales(t, s) {
		got = append(got, sale.Date+"\x00"+sale.ID)
	}
	if !slices.Equal(got, want) {
		t.Errorf("order:\n got %q\nwant %q", got, want)
	}
}

func testSalesWhileChanging(t *testing.T, s Stores) {
	ctx := t.Context()
	for i := range 40 {
		must(s.AddSales(ctx, []market.Sale{newSale(fmt.Sprintf("s_%02d", i), "2020", "1")}, imported))(t)
	}
	walked := 0
	for sale, err := range s.Sales(ctx) {
		ok(t, err)
		must(s.AddSales(ctx, []market.Sale{newSale("t_"+sale.ID, "2021", "1")}, imported))(t)
		must(s.Sale(ctx, "t_"+sale.ID))(t)
		walked++
	}
	equal(t, "walked", walked, 40)
	equal(t, "count", must(s.SaleCount(ctx))(t), 80)
	for range s.Sales(ctx) {
		break // must give its connection back: more rounds than connections
	}
	for range 50 {
		for range s.Sales(ctx) {
			break
		}
	}
	ok(t, s.SetSetting(ctx, "after", "all"))
}

func testPricesExact(t *testing.T, s Stores) {
	prices := []string{"0.1", "0.10", "1234.5", "1234.50", "1234.567", "0", "-5", "9007199254740993",
		"1234567890123456.789", "100"}
	var sales []market.Sale
	for i, price := range prices {
		sales = append(sales, newSale(fmt.Sprintf("s_%d", i), "2020", price))
	}
	sales = append(sales, market.Sale{ID: "s_none", Date: "2020"})
	sales = append(sales, market.Sale{ID: "s_old", Date: "2020", Price: money.MustParse("250000", "ITL")})
	must(s.AddSales(t.Context(), sales, imported))(t)
	for i, sale := range allSales(t, s)[:len(prices)] {
		if got := sale.Price.Decimal().String(); got != prices[i] || sale.Price.Currency() != "EUR" {
			t.Errorf("price %s came back as %s %s", prices[i], got, sale.Price.Currency())
		}
	}
	if got := must(s.Sale(t.Context(), "s_none"))(t); !got.Price.IsZero() {
		t.Errorf("no price came back as %v", got.Price)
	}
	same(t, "price in a former currency", must(s.Sale(t.Context(), "s_old"))(t).Price, sales[len(sales)-1].Price)
}

// testNewestSales: from the newest on, and never without a sale that holds the words.
func testNewestSales(t *testing.T, s Stores) {
	add := func(id, date, maker, note string) {
		sale := newSale(id, date, "1")
		sale.Maker, sale.Note = maker, note
		must(s.AddSales(t.Context(), []market.Sale{sale}, imported))(t)
	}
	add("a", "2020-01-01", "Corvane", `with "papers"`)
	add("b", "2021-01-01", "CORVANE", "fr\u00e8re <of> the other & co")
	add("c", "2022-01-01", "Ostrel", "100_%")
	ids := func(words ...string) string {
		t.Helper()
		var out string
		for sale, err := range s.SalesAfter(t.Context(), shop.SalePlace{}, words) {
			ok(t, err)
			out += sale.ID
		}
		return out
	}
	same(t, "all", ids(), "cba")
	same(t, "a word in any case", ids("corvane"), "ba")
	same(t, "two words", ids("corvane", "papers"), "a")
	same(t, "no such word", ids("lindqvarn"), "")
	for _, hard := range []string{"FR\u00c8RE", "<of>", "&", `"papers"`, "100_%", "%"} {
		same(t, hard+" narrows nothing", ids(hard), "cba")
	}
	for sale := range s.SalesAfter(t.Context(), shop.SalePlace{}, nil) {
		same(t, "the newest", sale.ID, "c")
		break
	}
	same(t, "after breaking off", ids("ostrel"), "c")
	add("b2", "2021-01-01", "Corvane", "of the same day")
	after := func(date, id string, words ...string) (out string) {
		t.Helper()
		for sale, err := range s.SalesAfter(t.Context(), shop.SalePlace{Date: date, ID: id}, words) {
			ok(t, err)
			out += sale.ID
		}
		return out
	}
	same(t, "after the newest", after("2022-01-01", "c"), "b2ba")
	same(t, "after one of two of a day", after("2021-01-01", "b2"), "ba")
	same(t, "after it, with a word", after("2021-01-01", "b2", "papers"), "a")
	same(t, "after one that is gone", after("2021-06-01", "x"), "b2ba")
	same(t, "after the last", after("2020-01-01", "a"), "")
}

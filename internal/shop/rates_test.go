package shop_test

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
)

// Rates are typed or come by file, in units of either currency, and the later file counts where both have one.
func TestRatesAreTypedAndReadFromFiles(t *testing.T) {
	h, ctx := newHouse(t), t.Context()
	worth := func(day string) string {
		t.Helper()
		r, ok := h.RateOn(ctx, "USD", day)
		if !ok {
			return "none"
		}
		return strconv.FormatFloat(r, 'g', 6, 64)
	}
	if rates, err := h.Rates(ctx); err != nil || rates != nil || worth("2026-02-02") != "none" {
		t.Fatalf("a new shop has rates: %v, %v", rates, err)
	}
	for field, err := range map[string]error{
		"day":      h.SetRate(ctx, "2026-03-03", "USD", 0.9), // tomorrow
		"currency": h.SetRate(ctx, "2026-02-02", "EUR", 1),   // the shop's own
		"rate":     h.SetRate(ctx, "2026-02-02", "USD", 0),
	} {
		refusal(t, err, field)
	}
	refusal(t, h.SetRate(ctx, "2 February", "USD", 0.9), "day")
	refusal(t, h.SetRate(ctx, "2026-02-02", "dollars", 0.9), "currency")
	if err := h.SetRate(ctx, "2026-02-02", "USD", 0.9); err != nil || worth("2026-02-02") != "0.9" {
		t.Fatalf("typed, and one dollar is worth %s (%v)", worth("2026-02-02"), err)
	}
	n, err := h.ImportRates(ctx, strings.NewReader("Date,USD,JPY\n2026-02-02,1.25,160\n2026-02-03,1.6,\n"))
	if err != nil || n != 3 || worth("2026-02-02") != "0.8" || worth("2026-02-03") != "0.625" {
		t.Errorf("%d read; one dollar is worth %s and %s (%v)", n, worth("2026-02-02"), worth("2026-02-03"), err)
	}
	_, err = h.ImportRates(ctx, strings.NewReader("Date,USD\n2026-02-02,dear\n"))
	refusal(t, err, "file")
	if worth("2026-02-02") != "0.8" {
		t.Errorf("a file that was refused left %s", worth("2026-02-02"))
	}
}

// A rate that was turned round or has its point misplaced is asked about, by the shop's table or, without one, by the
// order of magnitude.
func TestRatesThatAreAskedAbout(t *testing.T) {
	h, ctx := newHouse(t), t.Context()
	doubt := func(c money.Currency, rate float64) bool {
		return h.RateDoubt(ctx, "buy", c, rate, "2026-02-02") != nil
	}
	for _, c := range []struct {
		of   money.Currency
		rate float64
		want bool
	}{{"USD", 0.9, false}, {"JPY", 160, true}, {"JPY", 0.00625, false}, {"GBP", 11.6, true}, {"EUR", 5, false}, {"XAF", 655,
		false}, {"USD", 0, false}} {
		if got := doubt(c.of, c.rate); got != c.want {
			t.Errorf("1 %s = %g EUR is asked about: %t; want %t", c.of, c.rate, got, c.want)
		}
	}
	if err := h.SetRate(ctx, "2026-02-01", "USD", 0.8); err != nil {
		t.Fatal(err)
	}
	if doubt("USD", 0.84) || !doubt("USD", 0.9) {
		t.Error("beside a table of 0.80, 0.84 is taken and 0.90 is asked about")
	}
	refusal(t, h.RateDoubt(ctx, "buy", "USD", 0.9, "2026-02-02"), "rate")
}

// The sales file that is written is read again as the same sales, also where a cell would be computed by a spreadsheet.
func TestSalesFilesComeBack(t *testing.T) {
	h, ctx := newHouse(t), t.Context()
	grade := 7.5
	all := []market.Sale{
		{ID: "sale_1", Date: "2025-01-02", Maker: "Corvane", Reference: "KR-1", Metal: "steel", Dial: "black", Year: 1968,
			Condition: &grade, Completeness: "full", Venue: "auction", Price: money.MustParse("4200", "EUR"), Serial: "310077",
			Source: "sale room, lot 12", Note: "=SUM(A1:A2)"},
		{ID: "sale_2", Date: "2025-03", Maker: "Corvane", Reference: "KR-2", Price: money.MustParse("3100.50", "CHF"),
			Note: "\"quoted\", with a comma"},
	}
	if _, err := h.Stores().Sales.AddSales(ctx, all, morning); err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := h.ExportSales(ctx, &file); err != nil {
		t.Fatal(err)
	}
	other := newHouse(t)
	if r, err := other.ImportSales(ctx, bytes.NewReader(file.Bytes()), "sales.csv"); err != nil || r.Added != 2 {
		t.Fatalf("%+v, %v\n%s", r, err, file.String())
	}
	var again bytes.Buffer
	if err := other.ExportSales(ctx, &again); err != nil || again.String() != file.String() {
		t.Errorf("%v: it comes back as\n%s; was\n%s", err, again.String(), file.String())
	}
	found, total, err := other.FindSales(ctx, "sale room", 5)
	if err != nil || total != 1 || found[0].Note != "=SUM(A1:A2)" || *found[0].Condition != 7.5 {
		t.Errorf("%d of %d found, %+v, %v", len(found), total, found, err)
	}
	if found, total, err := other.FindSales(ctx, "", 1); err != nil || total != 2 || len(found) != 1 ||
		found[0].Date != "2025-03" {
		t.Errorf("%d of %d, %+v, %v; want the latest", len(found), total, found, err)
	}
	found, more, err := other.SalesAfter(ctx, "corvane", shop.SalePlace{}, 1)
	if err != nil || !more || len(found) != 1 {
		t.Errorf("%+v, more %t, %v", found, more, err)
	}
}

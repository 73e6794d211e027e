package people_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/people"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

func TestFitWant(t *testing.T) {
	grade, originality := 7.0, 0.9
	f := people.Facts{Maker: "Corvane", Reference: "KR-1", Family: "plenaire", FamilyName: "Plenaire", Metal: "steel",
		Dial: "black gilt", Set: "papers",
		Years: map[int]float64{1967: 0.25, 1968: 0.75}, Condition: &grade, ConditionSD: 0.5, Originality: &originality}
	for _, c := range []struct {
		name string
		want shop.Want
		low  float64
		high float64
	}{
		{"the reference", shop.Want{Maker: "corvane", Reference: "KR-1"}, 1, 1},
		{"the family by name", shop.Want{Family: "Plenaire"}, 1, 1},
		{"another metal", shop.Want{Maker: "Corvane", Metal: "gold18"}, 0, 0},
		{"nothing in particular", shop.Want{Note: "anything"}, 0, 0},
		{"dial", shop.Want{Reference: "KR-1", Dial: "GILT"}, 1, 1},
		{"another dial", shop.Want{Reference: "KR-1", Dial: "silver"}, 0, 0},
		{"condition at the floor", shop.Want{Reference: "KR-1", ConditionFloor: 7}, 0.5, 0.5},
		// normal table: Φ(2) = 0.9772
		{"condition two deviations above", shop.Want{Reference: "KR-1", ConditionFloor: 6}, 0.9771, 0.9773},
		{"condition far below", shop.Want{Reference: "KR-1", ConditionFloor: 9}, 0, 0},
		{"years", shop.Want{Reference: "KR-1", YearTo: 1967}, 0.25, 0.25},
		{"other years", shop.Want{Reference: "KR-1", YearFrom: 1970}, 0, 0},
		{"full set wanted", shop.Want{Reference: "KR-1", Set: "full"}, 0.2, 0.2},
		{"expired", shop.Want{Reference: "KR-1", Until: edtf.MustParse("2026-03-01")}, 0, 0},
		{"last day", shop.Want{Reference: "KR-1", Until: edtf.MustParse("2026-03-02")}, 1, 1},
	} {
		fit, reasons, ok := people.FitWant(c.want, f, shoptest.Morning)
		if !ok {
			fit = 0
		}
		if fit < c.low || fit > c.high || ok && len(reasons) == 0 {
			t.Errorf("%s: fit %.4f, %v; want %g to %g", c.name, fit, reasons, c.low, c.high)
		}
	}
	fit, _, _ := people.FitWant(shop.Want{Reference: "KR-1", ConditionFloor: 6}, people.Facts{Reference: "KR-1"},
		shoptest.Morning)
	if fit != 0.5 {
		t.Errorf("condition not known: %g; want 0.5", fit)
	}
}

func TestMatchBothWays(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	w, err := h.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Asking: eur("5000")}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	want := func(budget string, first bool) []shop.Want {
		return []shop.Want{{Maker: "Corvane", Reference: "KR-1", Budget: eur(budget), CallFirst: first}}
	}
	for _, c := range []shop.Client{
		{ID: "c_rich", Name: "Rich", Wants: want("6000", false)}, {ID: "c_poor", Name: "Poor",
			Wants: want("4000", false)}, {ID: "c_first", Name: "First", Wants: want("4500", true)},
		{ID: "c_no", Name: "No", Wants: want("9000", false), Consents: []shop.Consent{{Purpose: "offers", Given: true,
			At: shoptest.Morning}, {Purpose: "offers", At: shoptest.Morning.Add(time.Hour)}}},
		{ID: "c_other", Name: "Other", Wants: []shop.Want{{Maker: "Lindqvarn"}}},
	} {
		if _, err := h.People.Add(ctx, c); err != nil {
			t.Fatal(err)
		}
	}
	order := func() string {
		t.Helper()
		all, err := h.People.MatchWatch(ctx, w.ID)
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, m := range all {
			if m.Chance < 0 || m.Chance > 1 || len(m.Reasons) < 3 {
				t.Errorf("%+v", m)
			}
			out = append(out, m.Client)
		}
		return strings.Join(out, " ")
	}
	if got := order(); got != "c_first c_rich c_poor c_no" {
		t.Errorf("order %q", got)
	}
	if _, err := h.People.Show(ctx, shop.Showing{Watch: w.ID, Client: "c_rich", Kind: shop.Declined,
		Price: eur("5000")}, "Ines"); err != nil {
		t.Fatal(err)
	}
	all, err := h.People.MatchWatch(ctx, w.ID)
	if err != nil || !strings.Contains(fmt.Sprint(all[2].Reasons), "bought 0 of 1 shown before") ||
		!strings.Contains(fmt.Sprint(all[2].Reasons), "this watch: declined") {
		t.Errorf("after the refusal: %+v, %v", all, err)
	}
	// Φ(1.2816 + ln(4000/5000)/0.12) is 0.2817 (normal table): fit 1, one in four of what is shown.
	for _, m := range all {
		if m.Client == "c_poor" && (m.Chance < 0.0703 || m.Chance > 0.0705) {
			t.Errorf("chance %.4f; want 0.0704", m.Chance)
		}
	}

	c, found, err := h.People.AddWant(ctx, "c_other", shop.Want{Maker: "Corvane",
		Budget: money.MustParse("5000", "CHF")})
	if err != nil || len(c.Wants) != 2 || len(found) != 1 || found[0].Watch != w.ID || found[0].Want != 1 {
		t.Errorf("want added: %+v, %+v, %v", c.Wants, found, err)
	}
	if _, _, err := h.People.AddWant(ctx, "c_other", shop.Want{OriginalityFloor: 7}); err == nil {
		t.Error("originality of 7 was taken")
	}
	if got := order(); !strings.Contains(got, "c_other") {
		t.Errorf("the new want is not seen: %q", got)
	}
}

func TestExportAndErase(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	id := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000"),
		Pay: "liabilities:payable"}}, "Ines"))
	file, err := h.People.Export(ctx, "c_seller")
	if err != nil || file.Client.Name != "Selma Lund" || len(file.Entries) != 1 || len(file.Movements) != 1 ||
		len(file.Accesses) == 0 {
		t.Fatalf("%+v, %v", file, err)
	}
	_, err = h.People.Erase(ctx, "c_seller", "")
	refusedFor(t, "money is open", err, "liabilities:payable")
	if _, err := h.Trade.Settle(ctx, "liabilities:payable", trade.Terms{Client: "c_seller"}, "Ines"); err != nil {
		t.Fatal(err)
	}
	_, err = h.People.Erase(ctx, "c_seller", "")
	refusedFor(t, "the record must be kept", err, "record")
	h.Clock.Set(shoptest.Morning.AddDate(6, 0, 1))
	r, err := h.People.Erase(ctx, "c_seller", "")
	if err != nil || r.Entries != 2 || len(r.Cautions) == 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	c, err := h.People.Client(ctx, "c_seller")
	if err != nil || c.Name != "" || c.Identity != nil || c.Erased.IsZero() {
		t.Errorf("after the erasure: %+v, %v", c, err)
	}
	rows, err := h.Accounts.StockBook(ctx)
	if err != nil || rows[0].Seller != "c_seller" || rows[0].SellerName != "" || rows[0].Price.Amount() != "1000.00" {
		t.Errorf("stock book: %+v, %v", rows, err)
	}
	var journal strings.Builder
	if err := h.Accounts.WriteJournal(ctx, &journal); err != nil || strings.Contains(journal.String(), "Selma") ||
		!strings.Contains(journal.String(), "1000.00 EUR") {
		t.Errorf("journal: %v\n%s", err, journal.String())
	}
	_, err = h.People.Erase(ctx, "c_seller", "")
	refusedFor(t, "erased twice", err, "client")
	if _, err := h.People.Change(ctx, c); err == nil {
		t.Error("an erased client was changed")
	}
	all, err := h.People.Accesses(ctx, "c_seller")
	if err != nil || all[len(all)-1].By != "Ines" {
		t.Errorf("accesses: %+v, %v", all, err)
	}
	erased := false
	for _, a := range all {
		erased = erased || a.What == "erased"
	}
	if !erased {
		t.Errorf("the erasure is not in the log: %+v", all)
	}
}

// BenchmarkMatch5000Clients matches one watch with 5,000 clients of two wants each, in a
// shop of 20,000 watches.
func BenchmarkMatch5000Clients(b *testing.B) {
	h := newHouse(b)
	ctx := b.Context()
	w, err := h.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Asking: eur("5000")}, "Ines")
	if err != nil {
		b.Fatal(err)
	}
	for i := range 5000 {
		c := shop.Client{Name: fmt.Sprintf("Client %d", i), Note: strings.Repeat("met at a fair; ", 10),
			Wants: []shop.Want{
				{Maker: "Corvane", Reference: fmt.Sprintf("KR-%d", i%20), ConditionFloor: 6,
					Budget: eur("5200")}, {Maker: "Lindqvarn", Family: "Djupare"}}}
		if _, err := h.People.Add(ctx, c); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		all, err := h.People.MatchWatch(ctx, w.ID)
		if err != nil || len(all) != 250 {
			b.Fatal(len(all), err)
		}
	}
}

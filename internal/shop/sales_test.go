package shop_test

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"midcase/internal/shop"
)

// failing is a connection that breaks.
type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the line went dead") }

// salesFile is a small market: n sales of one reference, a quarter apart, rising.
func salesFile(n int) string {
	var s strings.Builder
	s.WriteString("date,maker,reference,price,currency,venue,basis\n")
	for i := range n {
		day := time.Date(2018, 1, 5, 0, 0, 0, 0, time.UTC).AddDate(0, i, 0)
		fmt.Fprintf(&s, "%s,Corvane,KR-1,%d,EUR,dealer,sold\n", day.Format(time.DateOnly), 5000+20*i+137*(i%5))
	}
	return s.String()
}

func (b *bench) importSales(t testing.TB, file string) shop.ImportReport {
	t.Helper()
	r, err := b.ImportSales(t.Context(), strings.NewReader(file), "sales.csv")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestImportSales(t *testing.T) {
	b := newBench(t)
	file := salesFile(10) + "2020-01-01,Corvane,KR-1,0,EUR,dealer,sold\n2020-01-01,Corvane,KR-1,5,EUR\n"
	r := b.importSales(t, file)
	if r.Read != 12 || r.Added != 10 || r.Known != 0 || len(r.Rejected) != 2 || r.Rejected[0].Line != 12 ||
		r.Rejected[1].Line != 13 {
		t.Errorf("%+v", r)
	}
	if r := b.importSales(t, file); r.Added != 0 || r.Known != 10 {
		t.Errorf("the second time: %+v", r)
	}
	if _, err := b.ImportSales(t.Context(), strings.NewReader("no,sales\n1,2\n"), "list.csv"); err == nil ||
		!strings.Contains(err.Error(), "list.csv") {
		t.Errorf("no sales file: %v", err)
	}
	if _, err := b.ImportSales(t.Context(), io.MultiReader(strings.NewReader(salesFile(40)), failing{}),
		"sales.csv"); err == nil {
		t.Error("a file that cannot be read to its end was taken")
	}
	if n, err := b.SaleCount(t.Context()); err != nil || n != 10 {
		t.Errorf("%d sales, %v", n, err)
	}
}

// A fit stands for a day and a number of sales: asked again it is the same one, with
// a new sale it is another, and as of an earlier day it knows only earlier sales.
func TestMarketIsFittedWhenNeeded(t *testing.T) {
	b := newBench(t)
	market := func(asOf time.Time) any {
		t.Helper()
		m, err := b.Market(t.Context(), asOf)
		if err != nil {
			t.Fatal(err)
		}
		if m == nil {
			return nil
		}
		return m
	}
	if market(morning) != nil {
		t.Error("a market without sales")
	}
	b.importSales(t, salesFile(40))
	first := market(morning)
	if market(morning.Add(3*time.Hour)) != first {
		t.Error("fitted twice on one day")
	}
	if market(morning.AddDate(0, 0, -40)) == first {
		t.Error("one fit for two days")
	}
	b.importSales(t, salesFile(40)+"2021-06-06,Corvane,KR-2,7000,EUR,dealer,sold\n")
	if market(morning) == first {
		t.Error("a new sale did not count")
	}
	early, err := b.Market(t.Context(), time.Date(2019, 12, 31, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	if e := early.Explain(); e.Sales != 24 || e.To != "2019-Q4" {
		t.Errorf("as of the end of 2019 it counts %d sales up to %s; want the 24 until 2019-Q4", e.Sales, e.To)
	}
	second := market(morning)
	set := shop.Settings{Basis: "trade", Currency: "EUR"}
	if err := b.SetSettings(t.Context(), set); err != nil {
		t.Fatal(err)
	}
	if market(morning) != second {
		t.Error("fitted anew for a basis, which no fit follows from")
	}
	set.RatesCSV = "date,USD\n2026-01-02,1.08\n"
	if err := b.SetSettings(t.Context(), set); err != nil {
		t.Fatal(err)
	}
	if market(morning) == second {
		t.Error("new rates left the old fit in use")
	}
}

func TestFindSales(t *testing.T) {
	b := newBench(t)
	b.importSales(t, salesFile(30)+"2026-02-20,Corvane,KR-1,9100,EUR,dealer,sold\n2026-02-21,Ostrel,OS-10,2100,EUR,dealer,sold\n")
	find := func(text string, limit int) (refs []string, total int) {
		t.Helper()
		found, total, err := b.FindSales(t.Context(), text, limit)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range found {
			refs = append(refs, s.Maker+" "+s.Reference)
		}
		return refs, total
	}
	if refs, total := find("", 2); total != 32 || len(refs) != 2 || refs[0] != "Ostrel OS-10" ||
		refs[1] != "Corvane KR-1" {
		t.Errorf("the newest two of %d: %q", total, refs)
	}
	if refs, total := find(" OSTREL OS-10 ", 5); total != 1 || len(refs) != 1 {
		t.Errorf("maker and reference together: %q of %d", refs, total)
	}
	if refs, total := find("corvane", 5); total != 31 || len(refs) != 5 {
		t.Errorf("more than are shown: %d of %d", len(refs), total)
	}
	if refs, total := find("maker", 5); total != 0 || refs != nil {
		t.Errorf("a word of the records' own form: %q of %d", refs, total)
	}
}

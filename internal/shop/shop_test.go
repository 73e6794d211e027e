package shop_test

import (
	"context"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/storetest"
	"midcase/money"
	"midcase/opinion"
)

func TestSettings(t *testing.T) {
	b := newBench(t)
	s, err := b.Settings(t.Context())
	if err != nil || s.Basis != "retail" || s.Currency != "EUR" || s.Payout != 1 || s.Terms != opinion.CommonTerms() {
		t.Errorf("common settings: %+v, %v", s, err)
	}
	s.Basis, s.Currency = "trade", "CHF"
	s.Spots = []opinion.SpotPrice{{Element: "gold", PerTroyOunce: money.MustParse("2500", "CHF"), Date: "2026-03-01"}}
	if err := b.SetSettings(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-8-18"})
	o, err := b.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	if o.Value.Kind != "trade" || o.Value.Currency != "CHF" || o.Metal.MeltFloor == nil ||
		string(o.Metal.MeltFloor.Currency()) != "CHF" {
		t.Errorf("the opinion is not on the shop's terms: %s %s, %v", o.Value.Kind, o.Value.Currency, o.Metal.MeltFloor)
	}
	// What is given for one opinion takes the place of the shop's own.
	o, _, err = b.OpinionOn(t.Context(), w.ID, morning, opinion.Settings{Basis: "insurance", Currency: "EUR"})
	if err != nil || o.Value.Kind != "insurance" || o.Value.Currency != "EUR" {
		t.Errorf("given settings: %s %s, %v", o.Value.Kind, o.Value.Currency, err)
	}
	if err := b.store.SetSetting(t.Context(), "settings", "{"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Settings(t.Context()); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("damaged settings: %v", err)
	}
}

// Many hands at once: every item goes in once, every reader sees whole files, and the
// log holds. Run with -race to mean anything.
func TestTogether(t *testing.T) {
	b := newBench(t)
	b.importSales(t, salesFile(30))
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "414459"})
	const hands, each = 4, 6
	var wg sync.WaitGroup
	fail := make(chan error, 4*hands*each)
	do := func(f func(ctx context.Context, i int) error) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range each {
				if err := f(context.WithoutCancel(t.Context()), i); err != nil {
					fail <- err
					return
				}
			}
		}()
	}
	for h := range hands {
		do(func(ctx context.Context, i int) error {
			_, err := b.Intake.Record(ctx, w.ID, fmt.Sprint("hand ", h),
				&evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1 + i%3})
			return err
		})
	}
	do(func(ctx context.Context, i int) error {
		_, err := b.Opinion(ctx, w.ID, morning.AddDate(0, 0, i%2))
		return err
	})
	do(func(ctx context.Context, i int) error { _, err := b.Desk.Briefs(ctx, shop.Filter{}); return err })
	do(func(ctx context.Context, i int) error {
		_, err := b.ImportSales(ctx, strings.NewReader(salesFile(30+i)), "sales.csv")
		return err
	})
	do(func(ctx context.Context, i int) error {
		_, err := b.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-2"}, "Ines")
		return err
	})
	wg.Wait()
	close(fail)
	for err := range fail {
		t.Error(err)
	}
	if n := b.logLength(t, w.ID); n != 1+hands*each {
		t.Errorf("%d items, want %d", n, 1+hands*each)
	}
	if n, err := b.SaleCount(t.Context()); err != nil || n != 30+each-1 {
		t.Errorf("%d sales, %v", n, err)
	}
	all, err := b.Watches(t.Context(), shop.Filter{})
	if err != nil || len(all) != 1+each {
		t.Fatalf("%d watches, %v", len(all), err)
	}
	for i, x := range all {
		if x.Number != i+1 {
			t.Errorf("file number %d at place %d", x.Number, i+1)
		}
	}
	if err := b.store.Verify(t.Context()); err != nil {
		t.Error(err)
	}
}

func TestNewNeedsAllItIsMadeOf(t *testing.T) {
	b := newBench(t)
	whole := shop.On(b.store, &storetest.Memory{}, bookdir.Fixed(nil))
	opt := shop.Options{Now: time.Now, NewID: func(string) string { return "id" }}
	if _, err := rooms.Open(t.Context(), whole, opt); err != nil {
		t.Fatal(err)
	}
	if _, err := rooms.Open(t.Context(), whole, shop.Options{}); err == nil {
		t.Error("a shop without a clock was opened")
	}
	for i := range reflect.TypeFor[shop.Stores]().NumField() {
		some := whole
		reflect.ValueOf(&some).Elem().Field(i).SetZero()
		name := reflect.TypeFor[shop.Stores]().Field(i).Name
		if _, err := rooms.Open(t.Context(), some, opt); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("without the store %s: error %v; want it named", name, err)
		}
	}
}

package shop_test

import (
	"context"
	"errors"
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

func TestTakeIn(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, intake.Arrival{Maker: " corvane ", Reference: "KR-1", Serial: " 414459 ", Asked: money.MustParse("6500", "EUR")})
	if w.Number != 1 || w.Version != 1 || w.State != shop.Offered || w.Maker != "Corvane" || w.Serial != "414459" || w.Title != "Corvane KR-1 Plenaire, moon in days" || !w.Created.Equal(morning) {
		t.Errorf("%+v", w)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil || len(log.Evidence) != 2 {
		t.Fatalf("%d items, %v; want the serial number and the claim of the price", len(log.Evidence), err)
	}
	mark, isMark := log.Evidence[0].Data.(*evidence.Mark)
	claim, isClaim := log.Evidence[1].Data.(*evidence.Claim)
	if !isMark || mark.What != evidence.MarkSerial || mark.Text != "414459" || !isClaim || claim.Price.Amount() != "6500.00" || log.Evidence[0].By != "Ines" {
		t.Errorf("%+v, %+v", log.Evidence[0], log.Evidence[1])
	}
	if found, err := b.Find(t.Context(), "#1"); err != nil || found.ID != w.ID {
		t.Errorf("#1: %v, %v", found.ID, err)
	}
	if found, err := b.Find(t.Context(), "414459"); err != nil || found.ID != w.ID {
		t.Errorf("by serial number: %v, %v", found.ID, err)
	}
	if _, err := b.Find(t.Context(), "77"); !errors.Is(err, shop.ErrNotFound) || strings.Count(err.Error(), "77") != 1 {
		t.Errorf("no such watch: %v", err)
	}
}

func TestTakeInRefuses(t *testing.T) {
	b := newBench(t)
	for field, in := range map[string]intake.Arrival{"maker": {Reference: "KR-1"}, "reference": {Maker: "Corvane", Reference: "  "}} {
		_, err := b.Intake.TakeIn(t.Context(), in, "Ines")
		wantInvalid(t, err, field)
	}
	_, err := b.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "1"}, " ")
	wantInvalid(t, err, "by")
	if all, err := b.Watches(t.Context(), shop.Filter{}); err != nil || len(all) != 0 {
		t.Errorf("%d watches after refusals, %v", len(all), err)
	}
}

// Record keeps all or none.
func TestRecordIsWhole(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	good := func() evidence.Data { return &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2} }
	for name, c := range map[string]struct {
		bad   evidence.Data
		field string
	}{
		"term not in the list":      {&evidence.Finding{Slot: evidence.Dial, Term: "sploding", Severity: 2}, "term"},
		"term not of this part":     {&evidence.Finding{Slot: evidence.Dial, Term: "stretch", Severity: 2}, "term"},
		"severity beyond 4":         {&evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 5}, "severity"},
		"no such part":              {&evidence.Fitted{Slot: "elbow", Variant: "x"}, "slot"},
		"negative weight":           {&evidence.Weighing{What: "bracelet", In: "air", G: -5}, "g"},
		"withdrawal of nothing":     {&evidence.Withdrawal{Of: "ev_nope", Reason: "x"}, "of"},
		"withdrawal without reason": {&evidence.Withdrawal{Of: "ev_nope"}, "reason"},
	} {
		_, err := b.Intake.Record(t.Context(), w.ID, "Ines", good(), c.bad, good())
		wantInvalid(t, err, c.field)
		if n := b.logLength(t, w.ID); n != 0 {
			t.Fatalf("%s: %d items were kept of a refused set", name, n)
		}
	}
	if _, err := b.Intake.Record(t.Context(), "w_none", "Ines", good()); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	}
	items := b.record(t, w.ID, good(), good())
	if len(items) != 2 || items[0].ID == items[1].ID || !items[0].At.Equal(morning) || b.logLength(t, w.ID) != 2 {
		t.Errorf("%+v", items)
	}
}

func TestWithdraw(t *testing.T) {
	b := newBench(t)
	w, other := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}), b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-2"})
	item := b.record(t, w.ID, &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2})[0]
	// An item of another watch is none of this one.
	_, err := b.Intake.Withdraw(t.Context(), other.ID, item.ID, "mistake", "Ines")
	wantInvalid(t, err, "of")
	if _, err := b.Intake.Withdraw(t.Context(), w.ID, item.ID, "a speck on the crystal", "Ines"); err != nil {
		t.Fatal(err)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	file := evidence.Fold(log, morning.Add(time.Hour))
	if len(log.Evidence) != 2 || len(file.Items) != 0 || len(file.Withdrawn) != 1 {
		t.Errorf("%d items, %d in force, %d withdrawn", len(log.Evidence), len(file.Items), len(file.Withdrawn))
	}
}

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
	if o.Value.Kind != "trade" || o.Value.Currency != "CHF" || o.Metal.MeltFloor == nil || string(o.Metal.MeltFloor.Currency()) != "CHF" {
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

func TestClients(t *testing.T) {
	b := newBench(t)
	_, err := b.People.Add(t.Context(), shop.Client{Name: " "})
	wantInvalid(t, err, "name")
	c, err := b.People.Add(t.Context(), shop.Client{Name: "Tomas Arkwell"})
	if err != nil || c.ID == "" {
		t.Fatalf("%+v, %v", c, err)
	}
	if all, err := b.People.All(t.Context()); err != nil || len(all) != 1 {
		t.Errorf("%d clients, %v", len(all), err)
	}
}

func TestAdopt(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	item := func(id string, at time.Time, g float64) evidence.Item {
		return evidence.Item{ID: evidence.ID(id), At: at, By: "Tomas", Data: &evidence.Weighing{What: "bracelet", In: "air", G: g}}
	}
	var invalid *shop.Invalid
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_a", morning, 50), item("ev_b", morning, -1)); !errors.As(err, &invalid) || b.logLength(t, w.ID) != 0 {
		t.Errorf("a bad item among good ones: %v, %d kept", err, b.logLength(t, w.ID))
	}
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_a", morning.AddDate(0, 0, 9), 50)); !errors.As(err, &invalid) {
		t.Errorf("an item of the future: %v", err)
	}
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_a", morning, 50)); err != nil {
		t.Fatal(err)
	}
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_b", morning, 50), item("ev_a", morning, 50)); !errors.Is(err, shop.ErrExists) || b.logLength(t, w.ID) != 1 {
		t.Errorf("an id for the second time: %v, %d kept", err, b.logLength(t, w.ID))
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
			_, err := b.Intake.Record(ctx, w.ID, fmt.Sprint("hand ", h), &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1 + i%3})
			return err
		})
	}
	do(func(ctx context.Context, i int) error {
		_, err := b.Opinion(ctx, w.ID, morning.AddDate(0, 0, i%2))
		return err
	})
	do(func(ctx context.Context, i int) error { _, err := b.Briefs(ctx, shop.Filter{}); return err })
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

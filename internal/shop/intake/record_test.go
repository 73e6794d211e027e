package intake_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/money"
)

func TestTakeIn(t *testing.T) {
	b := shoptest.New(t)
	w := b.TakeIn(t, intake.Arrival{Maker: " corvane ", Reference: "KR-1", Serial: " 414459 ",
		Asked: money.MustParse("6500", "EUR")})
	if w.Number != 1 || w.Version != 1 || w.State != shop.Offered || w.Maker != "Corvane" || w.Serial != "414459" ||
		w.Title != "Corvane KR-1 Plenaire, moon in days" || !w.Created.Equal(shoptest.Morning) {
		t.Errorf("%+v", w)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil || len(log.Evidence) != 2 {
		t.Fatalf("%d items, %v; want the serial number and the claim of the price", len(log.Evidence), err)
	}
	mark, isMark := log.Evidence[0].Data.(*evidence.Mark)
	claim, isClaim := log.Evidence[1].Data.(*evidence.Claim)
	if !isMark || mark.What != evidence.MarkSerial || mark.Text != "414459" || !isClaim ||
		claim.Price.Amount() != "6500.00" || log.Evidence[0].By != "Ines" {
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
	b := shoptest.New(t)
	for field, in := range map[string]intake.Arrival{"maker": {Reference: "KR-1"},
		"reference": {Maker: "Corvane", Reference: "  "}} {
		_, err := b.Intake.TakeIn(t.Context(), in, "Ines")
		shoptest.Refused(t, err, field)
	}
	_, err := b.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "1"}, " ")
	shoptest.Refused(t, err, "by")
	if all, err := b.Watches(t.Context(), shop.Filter{}); err != nil || len(all) != 0 {
		t.Errorf("%d watches after refusals, %v", len(all), err)
	}
}

// Record keeps all or none.
func TestRecordIsWhole(t *testing.T) {
	b := shoptest.New(t)
	w := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	good := func() evidence.Data { return &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2} }
	for name, c := range map[string]struct {
		bad   evidence.Data
		field string
	}{
		"term not in the list":  {&evidence.Finding{Slot: evidence.Dial, Term: "sploding", Severity: 2}, "term"},
		"term not of this part": {&evidence.Finding{Slot: evidence.Dial, Term: "stretch", Severity: 2}, "term"},
		"severity beyond 4": {&evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 5},
			"severity"},
		"no such part":              {&evidence.Fitted{Slot: "elbow", Variant: "x"}, "slot"},
		"negative weight":           {&evidence.Weighing{What: "bracelet", In: "air", G: -5}, "g"},
		"withdrawal of nothing":     {&evidence.Withdrawal{Of: "ev_nope", Reason: "x"}, "of"},
		"withdrawal without reason": {&evidence.Withdrawal{Of: "ev_nope"}, "reason"},
	} {
		_, err := b.Intake.Record(t.Context(), w.ID, "Ines", good(), c.bad, good())
		shoptest.Refused(t, err, c.field)
		if n := b.LogLength(t, w.ID); n != 0 {
			t.Fatalf("%s: %d items were kept of a refused set", name, n)
		}
	}
	if _, err := b.Intake.Record(t.Context(), "w_none", "Ines", good()); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	}
	items := b.Record(t, w.ID, good(), good())
	if len(items) != 2 || items[0].ID == items[1].ID || !items[0].At.Equal(shoptest.Morning) ||
		b.LogLength(t, w.ID) != 2 {
		t.Errorf("%+v", items)
	}
}

func TestWithdraw(t *testing.T) {
	b := shoptest.New(t)
	w, other := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}), b.TakeIn(t,
		intake.Arrival{Maker: "Corvane", Reference: "KR-2"})
	item := b.Record(t, w.ID, &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2})[0]
	// An item of another watch is none of this one.
	_, err := b.Intake.Withdraw(t.Context(), other.ID, item.ID, "mistake", "Ines")
	shoptest.Refused(t, err, "of")
	if _, err := b.Intake.Withdraw(t.Context(), w.ID, item.ID, "a speck on the crystal", "Ines"); err != nil {
		t.Fatal(err)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	file := evidence.Fold(log, shoptest.Morning.Add(time.Hour))
	if len(log.Evidence) != 2 || len(file.Items) != 0 || len(file.Withdrawn) != 1 {
		t.Errorf("%d items, %d in force, %d withdrawn", len(log.Evidence), len(file.Items), len(file.Withdrawn))
	}
}

func TestAdopt(t *testing.T) {
	b := shoptest.New(t)
	w := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	item := func(id string, at time.Time, g float64) evidence.Item {
		return evidence.Item{ID: evidence.ID(id), At: at, By: "Tomas",
			Data: &evidence.Weighing{What: "bracelet", In: "air", G: g}}
	}
	var invalid *shop.Invalid
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_a", shoptest.Morning, 50),
		item("ev_b", shoptest.Morning, -1)); !errors.As(err, &invalid) || b.LogLength(t, w.ID) != 0 {
		t.Errorf("a bad item among good ones: %v, %d kept", err, b.LogLength(t, w.ID))
	}
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_a", shoptest.Morning.AddDate(0, 0, 9), 50)); !errors.As(err,
		&invalid) {
		t.Errorf("an item of the future: %v", err)
	}
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_a", shoptest.Morning, 50)); err != nil {
		t.Fatal(err)
	}
	if err := b.Intake.Adopt(t.Context(), w.ID, item("ev_b", shoptest.Morning, 50),
		item("ev_a", shoptest.Morning, 50)); !errors.Is(err, shop.ErrExists) || b.LogLength(t, w.ID) != 1 {
		t.Errorf("an id for the second time: %v, %d kept", err, b.LogLength(t, w.ID))
	}
}

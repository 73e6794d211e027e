package shop_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/intake"
	"midcase/opinion"
)

// Three examples of a reference, compared in pairs, are ranked; the watch that is
// better than both stands first.
func TestComparisonsRank(t *testing.T) {
	b := newBench(t)
	var w [3]shop.Watch
	for i := range w {
		w[i] = b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	}
	b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-2"}) // another reference, of no concern
	for range 4 {
		b.record(t, w[0].ID, &evidence.Comparison{Slot: evidence.Case, Other: string(w[1].ID), Result: "better"},
			&evidence.Comparison{Slot: evidence.Case, Other: string(w[2].ID), Result: "better"})
		b.record(t, w[1].ID, &evidence.Comparison{Slot: evidence.Case, Other: string(w[2].ID), Result: "better"})
	}
	o, err := b.Opinion(t.Context(), w[0].ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	r := o.Condition.Rank
	if r == nil || r.Better != 2 || r.Of != 2 || r.P <= 0.5 {
		t.Errorf("rank %+v; want better than both others", r)
	}
	if o, err = b.Opinion(t.Context(), w[1].ID, morning); err != nil || o.Condition.Rank == nil ||
		o.Condition.Rank.Better != 1 {
		t.Errorf("the second: %+v, %v", o.Condition.Rank, err)
	}
	// As of the day before nothing had been compared.
	if o, err = b.Opinion(t.Context(), w[0].ID, morning.AddDate(0, 0, -1)); err != nil || o.Condition.Rank != nil {
		t.Errorf("as of the day before: %+v, %v", o.Condition.Rank, err)
	}
}

func TestBriefsFollowTheEvidence(t *testing.T) {
	b := newBench(t)
	b.importSales(t, salesFile(40))
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "414459"})
	brief := func() desk.Brief {
		t.Helper()
		all, err := b.Desk.Briefs(t.Context(), shop.Filter{})
		if err != nil || len(all) != 1 {
			t.Fatalf("%d briefs, %v", len(all), err)
		}
		return all[0]
	}
	before := brief()
	if before.Problem != "" || before.Made == "" || before.Median == nil || before.Low >= before.High ||
		len(before.Troubles) != 0 {
		t.Errorf("%+v", before)
	}
	b.record(t, w.ID, &evidence.Fitted{Slot: evidence.Movement, Variant: "C-46"})
	if after := brief(); len(after.Troubles) == 0 {
		t.Errorf("a calibre that the reference never had is no trouble: %+v", after)
	}
	low := before.Low
	b.importSales(t, salesFile(40)+strings.ReplaceAll(salesFile(40), ",EUR,dealer,", ",EUR,private,"))
	if after := brief(); after.Low == low {
		t.Error("new sales did not change the brief")
	}
	changed := brief().Watch
	changed.Place = "safe 2"
	if _, err := b.Trade.Change(t.Context(), changed); err != nil {
		t.Fatal(err)
	}
	if after := brief(); after.Watch.Place != "safe 2" {
		t.Errorf("the brief shows the old record: %+v", after.Watch)
	}
	if _, err := b.Trade.Change(t.Context(), changed); !errors.Is(err, shop.ErrConflict) {
		t.Errorf("a stale record was written: %v", err)
	}
}

func TestOpinionsAreKept(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "414459"})
	o, err := b.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Keep(t.Context(), w.ID, o, 1); err != nil {
		t.Fatal(err)
	}
	b.clock.set(morning.AddDate(0, 0, 3))
	b.record(t, w.ID, &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"})
	later, err := b.Opinion(t.Context(), w.ID, b.Now())
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Keep(t.Context(), w.ID, later, 2); err != nil {
		t.Fatal(err)
	}
	kept, err := b.Opinions(t.Context(), w.ID)
	if err != nil || len(kept) != 2 || kept[0].AsOf != "2026-03-05" || kept[1].AsOf != "2026-03-02" {
		t.Fatalf("%+v, %v", kept, err)
	}
	var was opinion.Opinion
	if err := json.Unmarshal(kept[1].JSON, &was); err != nil || was.Dating.Median != o.Dating.Median {
		t.Errorf("kept as %v, %v; formed as %v", was.Dating.Median, err, o.Dating.Median)
	}
	// The opinion as of the first day is what it was, whatever was learnt since.
	again, err := b.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	x, _ := json.Marshal(o)
	y, _ := json.Marshal(again)
	if !bytes.Equal(x, y) {
		t.Error("the opinion as of the first day has changed")
	}
}

func TestReportsBeforeSalesCameIn(t *testing.T) {
	b := newBench(t)
	b.importSales(t, salesFile(30))
	w := b.takeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "414459"})
	b.clock.set(morning.AddDate(0, 0, 1))
	o, err := b.Opinion(t.Context(), w.ID, b.Now())
	if err != nil {
		t.Fatal(err)
	}
	items, err := b.Log(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Keep(t.Context(), w.ID, o, len(items.Evidence)); err != nil {
		t.Fatal(err)
	}
	brief := func() desk.Brief {
		t.Helper()
		all, _, err := b.Desk.Overview(t.Context())
		if err != nil || len(all) != 1 {
			t.Fatalf("%d briefs, %v", len(all), err)
		}
		return all[0]
	}
	if got := brief(); !got.Reported || got.Sales || got.Outdated {
		t.Fatalf("just reported: %+v", got)
	}
	b.clock.set(morning.AddDate(0, 0, 2))
	b.importSales(t, salesFile(30))
	if got := brief(); got.Sales {
		t.Error("an import that added nothing makes a report old")
	}
	b.importSales(t, salesFile(31))
	if got := brief(); !got.Sales || got.Outdated {
		t.Errorf("after new sales: %+v", got)
	}
}

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
)

// A correction that is taken back gives the file its old names again, and brought back the new ones; what the file was
// called on each day stays readable.
func TestACorrectionIsTakenBack(t *testing.T) {
	b := shoptest.New(t)
	id := b.Offered(t)
	day := func(n int) time.Time { return shoptest.Morning.AddDate(0, 0, n) }
	named := func(want string) {
		t.Helper()
		w, err := b.Watch(t.Context(), id)
		if err != nil || w.Reference != want || !strings.HasPrefix(w.Title, "Corvane "+want+" ") {
			t.Fatalf("the file is %s, %q, %v; want %s", w.Reference, w.Title, err, want)
		}
	}
	b.Clock.Set(day(1))
	if _, err := b.Intake.Correct(t.Context(), id, intake.Correcting{Reference: "KR-2", Reason: "read again"},
		"Ines"); err != nil {
		t.Fatal(err)
	}
	named("KR-2")
	log, err := b.Log(t.Context(), id)
	if err != nil || len(log.Evidence) != 1 {
		t.Fatalf("%d items, %v", len(log.Evidence), err)
	}
	b.Clock.Set(day(2))
	gone, err := b.Intake.Withdraw(t.Context(), id, log.Evidence[0].ID, "it was the other one", "Ines")
	if err != nil {
		t.Fatal(err)
	}
	named("KR-1")
	b.Clock.Set(day(3))
	if _, err := b.Intake.Withdraw(t.Context(), id, gone.ID, "no, it was right", "Ines"); err != nil {
		t.Fatal(err)
	}
	named("KR-2")
	if log, err = b.Log(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	for n, want := range []string{"KR-1", "KR-2", "KR-1", "KR-2"} {
		if f := evidence.Fold(log, day(n)); f.Reference != want {
			t.Errorf("on day %d the file was %s; want %s", n, f.Reference, want)
		}
	}
}

// A correction made over an older version leaves neither the names nor an item behind.
func TestACorrectionIsWhole(t *testing.T) {
	b := shoptest.New(t)
	id := b.Offered(t)
	is, err := b.Intake.Correct(t.Context(), id, intake.Correcting{Reference: "KR-2", Reason: "read again", Version: 1}, "Ines")
	if err != nil || is.Version != 2 {
		t.Fatalf("version %d, %v", is.Version, err)
	}
	_, err = b.Intake.Correct(t.Context(), id, intake.Correcting{Reference: "KR-8", Reason: "again", Version: 1}, "Ines")
	if !errors.Is(err, shop.ErrConflict) {
		t.Errorf("over an older version: %v", err)
	}
	if _, err := b.Intake.Record(t.Context(), id, "Ines", &evidence.Correction{Maker: "Corvane", Reference: "KR-8",
		WasMaker: "Corvane", WasReference: "KR-1", Reason: "by hand"}); err == nil {
		t.Error("a correction was recorded by itself")
	}
	log, err := b.Log(t.Context(), id)
	if err != nil || len(log.Evidence) != 1 || log.Reference != "KR-2" {
		t.Errorf("%d items on %s, %v; want the one correction", len(log.Evidence), log.Reference, err)
	}
}

// What is odd about a watch that comes in is asked before a file is opened, and kept with its reason.
func TestTakeInAsksAboutWhatIsOdd(t *testing.T) {
	b := shoptest.New(t)
	for _, in := range []intake.Arrival{
		{Maker: "Corvane", Reference: "KR-1", Serial: "999999999"},
		{Maker: "Corvane", Reference: "KR-1", Evidence: []evidence.Item{{ID: "ev_1", At: shoptest.Morning, By: "Ines",
			Data: &evidence.Claim{About: "metal", Text: "platinum", Told: evidence.Told{Metal: "platinum"}}}}},
	} {
		var odd *intake.Doubtful
		if _, err := b.Intake.TakeInHeld(t.Context(), in, "", "Ines"); !errors.As(err, &odd) || len(odd.Doubts) != 1 {
			t.Fatalf("%+v: %v; want a doubt", in, err)
		}
	}
	if all, err := b.Watches(t.Context(), shop.Filter{}); err != nil || len(all) != 0 {
		t.Fatalf("%d files, %v; want none before somebody said why", len(all), err)
	}
	w, err := b.Intake.TakeInHeld(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "999999999"},
		"read twice", "Ines")
	if err != nil {
		t.Fatal(err)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil || len(log.Evidence) != 1 || log.Evidence[0].Note != "kept all the same: read twice" {
		t.Errorf("%+v, %v; want the reason beside the number", log.Evidence, err)
	}
	var odd *intake.Doubtful
	_, err = b.Intake.TakeInHeld(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-2", Serial: "999 999 999"}, "",
		"Ines")
	if !errors.As(err, &odd) || !strings.Contains(err.Error(), "File 1, ") {
		t.Errorf("a number that another file has: %v", err)
	}
	if _, err := b.Intake.TakeInHeld(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "310077"},
		"", "Ines"); err != nil {
		t.Errorf("nothing is odd about it: %v", err)
	}
}

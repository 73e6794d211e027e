package telling_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
	"midcase/telling"
)

// with is a watch of the invented world with more evidence.
func with(t *testing.T, more ...evidence.Data) telling.Subject {
	t.Helper()
	w := world().Watches[4].Evidence
	w.Evidence = append([]evidence.Item{}, w.Evidence...)
	for i, d := range more {
		w.Evidence = append(w.Evidence, evidence.Item{ID: evidence.ID(fmt.Sprintf("more%d", i)),
			At: time.Date(2026, 11, 20, 9, i, 0, 0, time.UTC), By: "somebody", Data: d})
	}
	return subjectOf(t, w)
}

func textOf(t *testing.T, s telling.Subject, form telling.Form) telling.Told {
	t.Helper()
	plan, err := telling.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	got, err := plan.Tell(writerIn(t, "en"), form, 0)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// Work is told by the gravest thing that was done, not by the word typed first, and an
// estimate hides nothing that was done.
func TestWorkIsToldByWhatItDid(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"service with polishing of the case": "Polishing on record",
		"polish, estimate was 200":           "Polishing on record",
		"repair, as offered":                 "Repair on record",
	} {
		got := textOf(t, with(t, &evidence.Work{What: typed}), telling.Page)
		if !strings.Contains(got.Text, want) {
			t.Errorf("%q is not told as %q:\n%s", typed, want, got.Text)
		}
	}
	got := textOf(t, with(t, &evidence.Work{What: "estimate for a repair"}), telling.Page)
	if strings.Contains(got.Text, "Repair on record") {
		t.Error("an estimate is told as work that was done")
	}
}

// What was tried and fails, and what work is needed, is disclosed in every form; a later
// trial of the same thing replaces the earlier.
func TestTrialsAndNeeds(t *testing.T) {
	t.Parallel()
	day, _ := edtf.Parse("2026-11-01")
	broken := &evidence.Trial{What: evidence.TrialFunction, Of: "alarm", Result: "fails"}
	leaks := &evidence.Trial{What: evidence.TrialPressure, Result: "fails", Value: 3, Unit: "bar", Date: day}
	held := &evidence.Trial{What: evidence.TrialPressure, Result: "ok", Value: 3, Unit: "bar", Date: day}
	need := &evidence.Need{What: "service", Slot: evidence.Movement, Cost: money.MustParse("731.17", "EUR")}
	told(t, with(t, broken, leaks, need), func(got telling.Told) {
		for i := range 3 {
			found := false
			for _, d := range got.Disclosed {
				found = found || d.Finding == evidence.ID(fmt.Sprintf("more%d", i))
			}
			if !found {
				t.Errorf("%s %s: item %d is not disclosed", got.For, got.Language, i)
			}
		}
		if strings.Contains(got.Text, "731") {
			t.Errorf("%s %s tells what the work may cost", got.For, got.Language)
		}
	})
	got := textOf(t, with(t, broken, leaks, need), telling.Page)
	for _, want := range []string{"Tried and not working: “alarm”.", "3.0 bar (November 2026): it leaked",
		"Work still needed: service (movement)."} {
		if !strings.Contains(got.Text, want) {
			t.Errorf("%q is not told:\n%s", want, got.Text)
		}
	}
	got = textOf(t, with(t, broken, leaks, held, &evidence.Trial{What: evidence.TrialFunction, Of: "Alarm",
		Result: "ok"}), telling.Page)
	if strings.Contains(got.Text, "not working") || strings.Contains(got.Text, "leaked") ||
		!strings.Contains(got.Text, "it held that day") || strings.Contains(got.Text, "was not tested") {
		t.Errorf("the latest trial does not count:\n%s", got.Text)
	}
}

// Whoever reads any longer form is warned of the lume; a short post still has its facts.
func TestCautionsAndFactsInEveryForm(t *testing.T) {
	t.Parallel()
	s := with(t)
	for _, form := range telling.Forms() {
		if got := textOf(t, s, form); form != telling.Post && !strings.Contains(got.Text, "radioactive") {
			t.Errorf("%s does not warn of the lume:\n%s", form, got.Text)
		}
	}
	plan, err := telling.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	got, err := plan.Tell(writerIn(t, "en"), telling.Post, telling.ShortPost)
	if err != nil || len(got.Facts) == 0 || len(got.Facts[0].Text) == 0 {
		t.Fatalf("%v, %+v", err, got.Facts)
	}
	for _, f := range got.Facts {
		if !strings.Contains(got.Text, f.Text) {
			t.Errorf("fact %q is not in the text", f.Text)
		}
	}
}

// Where a mark contradicts the book's metal, none is claimed.
func TestNoMetalIsClaimedAgainstAMark(t *testing.T) {
	t.Parallel()
	silver := &evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.Case, Text: "925"}
	got := textOf(t, with(t, silver), telling.Page)
	if strings.Contains(got.Title, "gold") || strings.Contains(got.Text, "in 18 karat gold") {
		t.Errorf("gold is claimed beside a silver mark:\n%s\n%s", got.Title, got.Text)
	}
}

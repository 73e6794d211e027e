package intake_test

import (
	"errors"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/notes"
)

// What is odd is not recorded before somebody says why, and then the reason stands beside it and beside nothing else.
func TestOddEntriesWaitForAReason(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	id := b.Offered(t)
	slip := &evidence.Dimension{What: "mid_case_diameter", MM: 3.59}
	plain := &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1}
	doubts, err := b.Intake.Doubts(ctx, id, plain, slip)
	if err != nil || len(doubts) != 2 || len(doubts[0]) != 0 || len(doubts[1]) == 0 {
		t.Fatalf("%+v, %v; want a doubt about the size alone", doubts, err)
	}
	var odd *intake.Doubtful
	if _, err := b.Intake.RecordHeld(ctx, id, "Ines", " ", plain, slip); !errors.As(err, &odd) || odd.What != "add dimension" {
		t.Fatalf("%v; want it to wait", err)
	}
	if n := b.LogLength(t, id); n != 0 {
		t.Fatalf("%d items were recorded", n)
	}
	if !strings.Contains(odd.Error(), "3.59") {
		t.Errorf("%v; want what was found", odd)
	}
	items, err := b.Intake.RecordHeld(ctx, id, "Ines", "a very small one", plain, slip)
	if err != nil || len(items) != 2 || items[0].Note != "" || items[1].Note != "kept all the same: a very small one" {
		t.Errorf("%+v, %v", items, err)
	}
	_, err = b.Intake.RecordHeld(ctx, id, "Ines", "", &evidence.Finding{Slot: evidence.Dial, Term: "no such term"})
	shoptest.Refused(t, err, "term")
}

// A word that the shop uses in its own way is kept with who said so, in place of an older meaning, and forgotten again.
func TestTheShopsOwnWords(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	learn := func(say, term string) error {
		return b.Intake.LearnWord(ctx, notes.Own{Say: say, Term: term}, "Ines")
	}
	shoptest.Refused(t, learn("12", "spotting"), "say")
	shoptest.Refused(t, learn("freckled", "no such term"), "say")
	for say, term := range map[string]string{"Freckled  Skin": "spotting", "zigzagged": "scratches"} {
		if err := learn(say, term); err != nil {
			t.Fatal(err)
		}
	}
	if err := learn("freckled skin", "faded"); err != nil {
		t.Fatal(err)
	}
	all, err := b.Intake.OwnWords(ctx)
	if err != nil || len(all) != 2 || all[0].Say != "freckled skin" || all[0].Term != "faded" || all[0].By != "Ines" ||
		all[0].Day != "2026-03-02" {
		t.Fatalf("%+v, %v", all, err)
	}
	if err := b.Intake.ForgetWord(ctx, "zigzagged"); err != nil {
		t.Fatal(err)
	}
	if err := b.Intake.ForgetWord(ctx, "zigzagged"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("forgotten twice: %v", err)
	}
	if own, err := b.Intake.Own(ctx); err != nil || len(own) != 1 {
		t.Errorf("%+v, %v", own, err)
	}
}

package opinion_test

import (
	"testing"
	"time"

	"midcase/evidence"
	"midcase/opinion"
)

func looksOf(t *testing.T, w evidence.Watch, m opinion.Market) []opinion.Look {
	t.Helper()
	asOf := time.Date(2026, 10, 1, 0, 0, 0, 0, time.UTC)
	looks, err := opinion.NextLooks(evidence.Fold(w, asOf), theBook(t), m, opinion.Settings{}, asOf)
	if err != nil {
		t.Fatal(err)
	}
	return looks
}

func has(looks []opinion.Look, kind string, slot evidence.Slot) bool {
	for _, l := range looks {
		if string(l.What.Kind) == kind && (slot == "" || l.Slot == slot) {
			return true
		}
	}
	return false
}

// What was looked at and is missing is not looked at again; and every kind of observation
// is proposed until it was made.
func TestNextLooksProposeWhatIsOpen(t *testing.T) {
	bare := looksOf(t, watchOf("KR-1", serial("414459")), nil)
	for _, kind := range []string{"look.size", "look.polish", "look.papers", "look.register", "look.timing",
		"look.pressure"} {
		if !has(bare, kind, "") {
			t.Errorf("%s is not proposed", kind)
		}
	}
	if !has(bare, "look.slot", evidence.Crown) {
		t.Error("the crown is not proposed")
	}
	seen := looksOf(t, watchOf("KR-1", serial("414459"), &evidence.Fitted{Slot: evidence.Crown, Absent: true},
		&evidence.Dimension{What: "mid_case_diameter", MM: 34.4}, &evidence.Check{Register: "loss register", Result: "clear"},
		&evidence.Finding{Slot: evidence.Case, Term: "unpolished"}, &evidence.Document{What: "papers"}), nil)
	for _, kind := range []string{"look.size", "look.polish", "look.papers", "look.register"} {
		if has(seen, kind, "") {
			t.Errorf("%s is proposed again", kind)
		}
	}
	if has(seen, "look.slot", evidence.Crown) {
		t.Error("look at the crown, which is missing")
	}
}

// The dial moves the price most, by the weights of originality, and comes before the crown; a
// case nobody judged helps the price.
func TestNextLooksGoByMoney(t *testing.T) {
	looks := looksOf(t, watchOf("KR-1", serial("414459")), theMarket(t))
	at := map[evidence.Slot]int{}
	for i, l := range looks {
		if string(l.What.Kind) == "look.slot" {
			at[l.Slot] = i + 1
		}
		if string(l.What.Kind) == "look.polish" && l.Money <= 0 {
			t.Errorf("the polish of the case moves nothing: %+v", l)
		}
		if l.Money < 0 || i > 0 && l.Worth > looks[i-1].Worth {
			t.Errorf("%d: %+v", i, l)
		}
	}
	if at[evidence.Dial] == 0 || at[evidence.Crown] == 0 || at[evidence.Dial] > at[evidence.Crown] {
		t.Errorf("dial in place %d, crown in place %d", at[evidence.Dial], at[evidence.Crown])
	}
}

// A metal that is only told is proved first, and raises nothing before.
func TestAMetalToldIsProvedFirst(t *testing.T) {
	m := theMarket(t)
	claim := &evidence.Claim{About: "metal", Text: "gold", From: "at the counter", Told: evidence.Told{Metal: "gold18"}}
	looks := looksOf(t, watchOf("KR-1", serial("414459"), claim), m)
	if len(looks) == 0 || string(looks[0].What.Kind) != "look.metal" || looks[0].Money <= 0 {
		t.Errorf("first: %+v", looks[:min(1, len(looks))])
	}
	plain := opinionOn(t, watchOf("KR-1", serial("414459")), m)
	told := opinionOn(t, watchOf("KR-1", serial("414459"), claim), m)
	if *told.Value.Median > *plain.Value.Median {
		t.Errorf("value %v with gold told, %v without", *told.Value.Median, *plain.Value.Median)
	}
}

func theMarket(t testing.TB) opinion.Market {
	t.Helper()
	m, err := worldFit()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

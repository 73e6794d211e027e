package watch

import (
	"slices"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
)

func TestChanges(t *testing.T) {
	grade := 8.2
	before := opinion.Opinion{Parts: []opinion.Part{{Slot: evidence.Hands, Verdict: opinion.CannotTell},
		{Slot: evidence.Dial, Verdict: opinion.Fits}}}
	now := opinion.Opinion{
		Dating: opinion.Dating{Known: true, Interval90: [2]edtf.Month{edtf.MonthOf(1967, 3),
			edtf.MonthOf(1967, 11)}},
		Parts: []opinion.Part{{Slot: evidence.Hands, Verdict: opinion.Fits},
			{Slot: evidence.Dial, Verdict: opinion.Fits}, {Slot: evidence.Clasp, Verdict: opinion.ProbablyReplaced}},
		Condition: opinion.Condition{Overall: &grade},
	}
	got := Changes(t.Context(), before, now)
	want := []string{"made Mar 1967 – Nov 1967, was not known", "hands: fits, was cannot tell", "clasp: probably replaced",
		"grade 8.2, was –"}
	if !slices.Equal(got, want) {
		t.Errorf("found %q; want %q", got, want)
	}
	if same := Changes(t.Context(), now, now); len(same) != 0 {
		t.Errorf("an opinion differs from itself: %q", same)
	}
}

package storetest

import (
	"errors"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
)

// testExamples holds that examples stay as they were added, in their order, and that one is withdrawn once at most.
func testExamples(t *testing.T, s Stores) {
	ctx := t.Context()
	e := shop.SeenExample{ID: "x_1", At: day, By: "Ada", Maker: "Corvane", Reference: "KR-1", Serial: "214 459",
		Parts: map[evidence.Slot]string{evidence.Dial: "matt"}, Place: "fair", Sure: 0.9}
	kept := must(s.AddExamples(ctx, []shop.SeenExample{e, {ID: "x_2", At: day}}))(t)
	if len(kept) != 2 || kept[0].Seq+1 != kept[1].Seq || kept[0].Parts[evidence.Dial] != "matt" {
		t.Fatalf("kept %+v", kept)
	}
	must(s.AddExamples(ctx, []shop.SeenExample{{ID: "x_3", At: day, Withdraws: "x_2", Why: "a fake"}}))(t)
	for name, c := range map[string]struct {
		add  shop.SeenExample
		want error
	}{
		"an id twice":            {shop.SeenExample{ID: "x_1"}, shop.ErrExists},
		"one that is not there":  {shop.SeenExample{ID: "x_8", Withdraws: "x_7", Why: "wrong"}, shop.ErrNotFound},
		"a withdrawal withdrawn": {shop.SeenExample{ID: "x_8", Withdraws: "x_3", Why: "wrong"}, shop.ErrNotFound},
		"one withdrawn before":   {shop.SeenExample{ID: "x_8", Withdraws: "x_2", Why: "wrong"}, shop.ErrExists},
	} {
		if _, err := s.AddExamples(ctx, []shop.SeenExample{{ID: "x_9"}, c.add}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v; want %v", name, err, c.want)
		}
	}
	all := must(s.Examples(ctx))(t)
	if len(all) != 3 || all[0].Serial != e.Serial || all[2].Withdraws != "x_2" {
		t.Errorf("examples %+v; want the two and the withdrawal, nothing of what was refused", all)
	}
	if left := shop.StandingExamples(all); len(left) != 1 || left[0].ID != "x_1" {
		t.Errorf("standing: %+v", left)
	}
}

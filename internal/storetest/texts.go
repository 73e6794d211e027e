package storetest

import (
	"errors"
	"testing"

	"midcase/internal/shop"
)

// testTexts holds that each version of a text stays, that versions follow one another, and that texts of
// other forms and watches are apart.
func testTexts(t *testing.T, s Stores) {
	ctx := t.Context()
	w := must(s.CreateWatch(ctx, newWatch("w_1")))(t)
	of := shop.TextOf{Form: "page", Language: "en"}
	one := shop.OwnText{Watch: w.ID, Of: of, N: 1, At: day, By: "Ada", Base: "It is.", Text: "It is.\n\nOurs."}
	before := must(s.Revision(ctx))(t)
	kept := must(s.KeepText(ctx, one))(t)
	if kept.Text != one.Text || must(s.Revision(ctx))(t).Texts != before.Texts+1 {
		t.Fatalf("kept %+v", kept)
	}
	two := shop.OwnText{Watch: w.ID, Of: of, N: 2, At: day, By: "Bea"}
	must(s.KeepText(ctx, two))(t)
	must(s.KeepText(ctx, shop.OwnText{Watch: w.ID, Of: shop.TextOf{Form: "post", Language: "en", Length: 280}, N: 1,
		At: day, Text: "Short."}))(t)
	for name, c := range map[string]struct {
		keep shop.OwnText
		want error
	}{
		"a version twice":   {two, shop.ErrConflict},
		"one left out":      {shop.OwnText{Watch: w.ID, Of: of, N: 4}, shop.ErrConflict},
		"one of no version": {shop.OwnText{Watch: w.ID, Of: of}, shop.ErrConflict},
		"of no watch":       {shop.OwnText{Watch: "w_9", Of: of, N: 1}, shop.ErrNotFound},
	} {
		if _, err := s.KeepText(ctx, c.keep); !errors.Is(err, c.want) {
			t.Errorf("%s: %v; want %v", name, err, c.want)
		}
	}
	all := must(s.Texts(ctx, w.ID, of))(t)
	if len(all) != 2 || all[0].N != 2 || all[1].Text != one.Text {
		t.Errorf("texts %+v; want both, the latest first", all)
	}
	if all := must(s.Texts(ctx, w.ID, shop.TextOf{}))(t); len(all) != 3 {
		t.Errorf("%d texts of the watch; want 3", len(all))
	}
}

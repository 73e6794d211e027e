package storetest

import (
	"context"
	"errors"
	"testing"

	"midcase/internal/shop"
	"midcase/money"
)

// testPapers holds that numbers go without a gap, that papers stay as they were kept,
// and that what a paper says of a client goes when the client is erased.
func testPapers(t *testing.T, s Stores) {
	ctx := context.Background()
	must(s.CreateWatch(ctx, newWatch("w_1")))(t)
	must(s.CreateWatch(ctx, newWatch("w_2")))(t)
	c := must(s.CreateClient(ctx, shop.Client{ID: "c_1", Name: "B. Buyer", Created: day, Changed: day}))(t)
	equal(t, "last of none", must(s.LastPaper(ctx, "invoice-2026"))(t), 0)
	p := shop.Paper{ID: "pa_1", Kind: shop.PaperInvoice, Series: "invoice-2026", InSeries: 1, Number: "2026-0001",
		Watch: "w_1", Title: "a watch", Day: "2026-03-01", At: day, By: "the shop", Client: "c_1",
		Total: money.MustParse("8200.00", "EUR"), Files: []shop.PaperFile{{Ending: "pdf", SHA256: "ab", Size: 2}}}
	kept := must(s.KeepPaper(ctx, p, `{"buyer":"B. Buyer"}`))(t)
	for name, bad := range map[string]shop.Paper{
		"number twice": {ID: "pa_2", Series: "invoice-2026", InSeries: 1, Watch: "w_1"},
		"a gap":        {ID: "pa_2", Series: "invoice-2026", InSeries: 3, Watch: "w_1"},
		"no first":     {ID: "pa_2", Series: "R-2026", InSeries: 2, Watch: "w_1"},
	} {
		if _, err := s.KeepPaper(ctx, bad, ""); !errors.Is(err, shop.ErrConflict) {
			t.Errorf("%s: %v; want a conflict", name, err)
		}
	}
	if _, err := s.KeepPaper(ctx, shop.Paper{ID: "pa_1", Series: "R-2026", InSeries: 1, Watch: "w_1"},
		""); !errors.Is(err, shop.ErrExists) {
		t.Errorf("an id twice: %v", err)
	}
	if _, err := s.KeepPaper(ctx, shop.Paper{ID: "pa_2", Series: "R-2026", InSeries: 1, Watch: "w_9"},
		""); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("an unknown watch: %v", err)
	}
	must(s.KeepPaper(ctx, shop.Paper{ID: "pa_2", Kind: shop.PaperReport, Series: "R-2026", InSeries: 1,
		Number: "R-2026-0001", Watch: "w_2", At: day}, ""))(t)
	equal(t, "last", must(s.LastPaper(ctx, "invoice-2026"))(t), 1)
	all := must(s.Papers(ctx, shop.PaperFilter{}))(t)
	if len(all) != 2 || all[0].ID != "pa_2" || all[1].Seq != kept.Seq {
		t.Errorf("papers %+v; want the latest first", all)
	}
	equal(t, "of one watch", len(must(s.Papers(ctx, shop.PaperFilter{Watch: "w_1"}))(t)), 1)
	equal(t, "at most one", len(must(s.Papers(ctx, shop.PaperFilter{Limit: 1}))(t)), 1)
	got, says, err := s.Paper(ctx, "pa_1")
	if err != nil || says != `{"buyer":"B. Buyer"}` || got.Total != p.Total || len(got.Files) != 1 {
		t.Errorf("read %+v, %q, %v", got, says, err)
	}
	if _, _, err := s.Paper(ctx, "pa_9"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("a paper that is not there: %v", err)
	}
	erased := shop.Client{ID: c.ID, Name: "erased", Created: c.Created, Changed: day, Version: c.Version, Erased: day}
	if _, err := s.EraseClient(ctx, erased); err != nil {
		return // a store without a key keeps clients in plain text and erases none
	}
	if got, says, err := s.Paper(ctx, "pa_1"); err != nil || says != "" || got.Number != "2026-0001" {
		t.Errorf("after erasing the client: %+v, %q, %v; want the paper without what it says", got, says, err)
	}
}

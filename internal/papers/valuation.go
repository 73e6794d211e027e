package papers

import (
	"context"
	"time"

	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/opinion"
	"midcase/say"
)

// ValuationOn gathers a valuation of a watch: as it is known today, worth what the market of the effective day gave.
// It refuses one that lacks what it is for, and one without a value: a figure that nobody may rely on for anything
// is not numbered.
func ValuationOn(ctx context.Context, s *rooms.Shop, id shop.WatchID, a document.Assignment) (document.Report, error) {
	const what = "make a valuation"
	a = a.Usual(s.Now())
	if problems := a.Check(s.Now()); len(problems) > 0 {
		return document.Report{}, &shop.Invalid{What: what, Problems: problems}
	}
	var err error
	if a.Interest, err = interestIn(ctx, s, id); err != nil {
		return document.Report{}, err
	}
	r, _, err := reportOn(ctx, s, id, s.Now(), opinion.Settings{Basis: a.Basis, ValueDay: a.Effective})
	if err != nil {
		return document.Report{}, err
	}
	if v := r.Opinion.Value; !v.Known {
		return document.Report{}, wrong(what, "value", "no "+string(a.Basis)+" value of "+
			a.Effective.Format(time.DateOnly)+": "+v.CannotTell.String(),
			"sales recorded from before that day, or another kind of value")
	}
	use, _ := document.UseOf(a.Purpose)
	r.Assigned, r.Purpose, r.IntendedUser = &a, use.Name.String(), a.Users
	return r, nil
}

// interestIn is what the shop has to do with a watch, for the certification of its value.
func interestIn(ctx context.Context, s *rooms.Shop, id shop.WatchID) (say.Statement, error) {
	entries, err := s.Entries(ctx, shop.EntryFilter{Watch: id})
	if err != nil {
		return say.Statement{}, err
	}
	h, err := ledger.HoldingOf(string(id), entries)
	if err != nil {
		return say.Statement{}, err
	}
	switch {
	case h.Sale != nil:
		return say.That("valuation.interest-sold"), nil
	case h.Consign != nil:
		return say.That("valuation.interest-consigned"), nil
	case len(h.Stakes) > 0:
		return say.That("valuation.interest-share"), nil
	case h.Owned():
		return say.That("valuation.interest-owned"), nil
	}
	return say.That("valuation.interest-none"), nil
}

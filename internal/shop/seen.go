package shop

import (
	"context"
	"slices"

	"midcase/internal/shop/rights"
	"midcase/money"
	"midcase/opinion"
)

// SeenWatch is a watch as whoever asks may see it: without what it cost and whose it is where that is not
// for them. It is for showing, never for writing back.
func SeenWatch(ctx context.Context, w Watch) Watch {
	if !rights.May(ctx, rights.Cost) {
		w.Cost, w.Asked = money.Money{}, money.Money{}
	}
	if !SeesNames(ctx) {
		w.Client, w.Holder = "", ""
	}
	return w
}

// SeenOpinion is an opinion as whoever asks may see it: what to pay follows from what was paid.
func SeenOpinion(ctx context.Context, o opinion.Opinion) opinion.Opinion {
	if !rights.May(ctx, rights.Cost) {
		o.Deal = opinion.Deal{}
		o.Summary.Clauses = slices.DeleteFunc(slices.Clone(o.Summary.Clauses),
			func(c opinion.Clause) bool { return c.Section == "deal" })
	}
	return o
}

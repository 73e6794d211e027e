package shop

import (
	"context"
	"slices"

	"midcase/evidence"
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
	if rights.May(ctx, rights.Cost) {
		return o
	}
	o.Deal = opinion.Deal{}
	o.Summary.Clauses = slices.DeleteFunc(slices.Clone(o.Summary.Clauses),
		func(c opinion.Clause) bool { return c.Section == "deal" })
	o.Summary.Sentence = o.Summary.Without()
	return o
}

// SeenItems are items of evidence as whoever asks may see them: without the price that a seller asked of the
// shop and what work cost.
func SeenItems(ctx context.Context, items []evidence.Item) []evidence.Item {
	if rights.May(ctx, rights.Cost) {
		return items
	}
	out := slices.Clone(items)
	for i := range out {
		out[i].Data = seenData(out[i].Data)
	}
	return out
}

// notForAll stands for the words of an item that names a price which is not for whoever asks.
const notForAll = "not shown to your role"

func seenData(d evidence.Data) evidence.Data {
	switch d := d.(type) {
	case *evidence.Claim:
		if !d.Price.IsZero() {
			c := *d
			c.Price, c.Text = money.Money{}, notForAll
			return &c
		}
	case *evidence.Work:
		if !d.Cost.IsZero() {
			c := *d
			c.Cost = money.Money{}
			return &c
		}
	case *evidence.Need:
		if !d.Cost.IsZero() {
			c := *d
			c.Cost = money.Money{}
			return &c
		}
	}
	return d
}

// SeenFile is a file of evidence as whoever asks may see it.
func SeenFile(ctx context.Context, f evidence.File) evidence.File {
	f.Items = SeenItems(ctx, f.Items)
	if !rights.May(ctx, rights.Cost) {
		f.Withdrawn = slices.Clone(f.Withdrawn)
		for i := range f.Withdrawn {
			f.Withdrawn[i].Item.Data = seenData(f.Withdrawn[i].Item.Data)
		}
	}
	return f
}

// SeenMovement is a step as whoever asks may see it: what passed at a sale or a reservation is for those who
// sell, what was paid is not.
func SeenMovement(ctx context.Context, m Movement) Movement {
	if rights.May(ctx, rights.Cost) {
		return m
	}
	m.Before.Cost = money.Money{}
	if m.To != Sold && m.To != Reserved && m.To != Listed && m.From != Sold && m.From != Reserved {
		m.Price = money.Money{}
	}
	return m
}

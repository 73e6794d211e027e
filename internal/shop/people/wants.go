package people

import (
	"context"
	"fmt"
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/refbook"
)

// wantProblems tells what is wrong with a want, field by field.
func wantProblems(w shop.Want) (p evidence.Problems) {
	if w.ConditionFloor != 0 && !(w.ConditionFloor >= 1 && w.ConditionFloor <= 10) {
		p = append(p, evidence.Problem{Field: "condition_floor", Found: fmt.Sprint(w.ConditionFloor),
			Want: "a grade from 1 to 10"})
	}
	if !(w.OriginalityFloor >= 0 && w.OriginalityFloor <= 1) {
		p = append(p, evidence.Problem{Field: "originality_floor", Found: fmt.Sprint(w.OriginalityFloor),
			Want: "a share from 0 to 1"})
	}
	if w.Set != "" && !slices.Contains(sets, w.Set) {
		p = append(p, evidence.Problem{Field: "set", Found: fmt.Sprintf("%q", w.Set), Want: "watch, papers or full"})
	}
	if w.YearFrom != 0 && w.YearTo != 0 && w.YearFrom > w.YearTo {
		p = append(p, evidence.Problem{Field: "year_to", Found: fmt.Sprint(w.YearTo),
			Want: fmt.Sprintf("%d or later", w.YearFrom)})
	}
	if !w.Budget.IsZero() && w.Budget.Sign() <= 0 {
		p = append(p, evidence.Problem{Field: "budget", Found: w.Budget.String(), Want: "an amount above zero"})
	}
	return p
}

// spelled asks about a name that the book does not have and that is close to one that it has,
// unless the want says that it is meant so.
func (r *Room) spelled(ctx context.Context, what string, w shop.Want) error {
	book := r.shop.Book(ctx)
	if w.AsTyped || book == nil {
		return nil
	}
	var makers, families, metals []string
	for _, m := range book.Makers {
		makers = append(makers, m.Name, m.ID)
		if w.Maker != "" && !sameName(w.Maker, m.ID) && !sameName(w.Maker, m.Name) {
			continue
		}
		for _, f := range m.Families {
			families = append(families, f.Name, f.ID)
		}
		for _, x := range m.Metals {
			metals = append(metals, x.ID, x.Name)
		}
	}
	for _, x := range []struct {
		field, typed string
		names        []string
	}{{"maker", w.Maker, makers}, {"family", w.Family, families}, {"metal", w.Metal, metals}} {
		if near := refbook.Nearest(x.typed, x.names); x.typed != "" && near != "" {
			return shop.Refuse(what, x.field, fmt.Sprintf("%q", x.typed),
				fmt.Sprintf("%q; if you mean what you typed, mark the want “as typed” (--as-typed)", near))
		}
	}
	for field, list := range map[string]string{"must": w.Must, "must_not": w.MustNot} {
		for _, t := range listed(list) {
			if _, ok := condition.Lookup(t); !ok {
				return shop.Refuse(what, field, fmt.Sprintf("%q", t),
					"terms of findings, such as unpolished or relumed, with commas between them")
			}
		}
	}
	return nil
}

// AddWant adds what a client looks for, and returns what in stock meets it.
func (r *Room) AddWant(ctx context.Context, client string, w shop.Want) (shop.Client, []Match, error) {
	c, err := r.stores.Clients.Client(ctx, client)
	if err != nil {
		return shop.Client{}, nil, fmt.Errorf("add want: %w", err)
	}
	if err := r.spelled(ctx, "add want", w); err != nil {
		return shop.Client{}, nil, err
	}
	if w.Added.IsZero() {
		w.Added = shop.DateOf(r.shop.Now())
	}
	c.Wants = append(slices.Clone(c.Wants), w)
	if c, err = r.Change(ctx, c); err != nil {
		return shop.Client{}, nil, err
	}
	found, err := r.matchWants(ctx, c, len(c.Wants)-1)
	return c, found, err
}

// ChangeWant puts another want in the place of the nth, from 0, of a client read at a
// version.
func (r *Room) ChangeWant(ctx context.Context, client string, version, n int, w shop.Want) (shop.Client, error) {
	c, err := r.wanting(ctx, "change want", client, n)
	if err != nil {
		return shop.Client{}, err
	}
	if err := r.spelled(ctx, "change want", w); err != nil {
		return shop.Client{}, err
	}
	w.Added = c.Wants[n].Added
	c.Wants[n], c.Version = w, version
	return r.Change(ctx, c)
}

// EndWant ends the nth want, from 0: it stays on record and counts no more.
func (r *Room) EndWant(ctx context.Context, client string, version, n int) (shop.Client, error) {
	c, err := r.wanting(ctx, "end want", client, n)
	if err != nil {
		return shop.Client{}, err
	}
	if !c.Wants[n].Ended(r.shop.Now()) {
		c.Wants[n].Until = shop.DateOf(r.shop.Now().AddDate(0, 0, -1))
	}
	c.Version = version
	return r.Change(ctx, c)
}

// wanting reads a client who has an nth want; the wants are a copy.
func (r *Room) wanting(ctx context.Context, what, client string, n int) (shop.Client, error) {
	c, err := r.stores.Clients.Client(ctx, client)
	if err != nil {
		return shop.Client{}, fmt.Errorf("%s: %w", what, err)
	}
	if n < 0 || n >= len(c.Wants) {
		return shop.Client{}, shop.Refuse(what, "want", fmt.Sprint(n+1),
			fmt.Sprintf("the number of one of the client's %d wants", len(c.Wants)))
	}
	c.Wants = slices.Clone(c.Wants)
	return c, nil
}

package shop

import (
	"context"
	"fmt"
	"slices"

	"midcase/evidence"
)

// wantProblems tells what is wrong with a want, field by field.
func wantProblems(w Want) (p evidence.Problems) {
	if w.ConditionFloor != 0 && !(w.ConditionFloor >= 1 && w.ConditionFloor <= 10) {
		p = append(p, evidence.Problem{Field: "condition_floor", Found: fmt.Sprint(w.ConditionFloor), Want: "a grade from 1 to 10"})
	}
	if !(w.OriginalityFloor >= 0 && w.OriginalityFloor <= 1) {
		p = append(p, evidence.Problem{Field: "originality_floor", Found: fmt.Sprint(w.OriginalityFloor), Want: "a share from 0 to 1"})
	}
	if w.Set != "" && !slices.Contains(sets, w.Set) {
		p = append(p, evidence.Problem{Field: "set", Found: fmt.Sprintf("%q", w.Set), Want: "watch, papers or full"})
	}
	if w.YearFrom != 0 && w.YearTo != 0 && w.YearFrom > w.YearTo {
		p = append(p, evidence.Problem{Field: "year_to", Found: fmt.Sprint(w.YearTo), Want: fmt.Sprintf("%d or later", w.YearFrom)})
	}
	if !w.Budget.IsZero() && w.Budget.Sign() <= 0 {
		p = append(p, evidence.Problem{Field: "budget", Found: w.Budget.String(), Want: "an amount above zero"})
	}
	return p
}

// AddWant adds what a client looks for, and returns what in stock meets it.
func (s *Shop) AddWant(ctx context.Context, client string, w Want) (Client, []Match, error) {
	c, err := s.stores.Clients.Client(ctx, client)
	if err != nil {
		return Client{}, nil, fmt.Errorf("add want: %w", err)
	}
	if w.Added.IsZero() {
		w.Added = dateOf(s.opt.Now())
	}
	c.Wants = append(slices.Clone(c.Wants), w)
	if c, err = s.ChangeClient(ctx, c); err != nil {
		return Client{}, nil, err
	}
	found, err := s.matchWants(ctx, c, len(c.Wants)-1)
	return c, found, err
}

// ChangeWant puts another want in the place of the nth, from 0, of a client read at a
// version.
func (s *Shop) ChangeWant(ctx context.Context, client string, version, n int, w Want) (Client, error) {
	c, err := s.wanting(ctx, "change want", client, n)
	if err != nil {
		return Client{}, err
	}
	w.Added = c.Wants[n].Added
	c.Wants[n], c.Version = w, version
	return s.ChangeClient(ctx, c)
}

// EndWant ends the nth want, from 0: it stays on record and counts no more.
func (s *Shop) EndWant(ctx context.Context, client string, version, n int) (Client, error) {
	c, err := s.wanting(ctx, "end want", client, n)
	if err != nil {
		return Client{}, err
	}
	if !c.Wants[n].Ended(s.opt.Now()) {
		c.Wants[n].Until = dateOf(s.opt.Now().AddDate(0, 0, -1))
	}
	c.Version = version
	return s.ChangeClient(ctx, c)
}

// wanting reads a client who has an nth want; the wants are a copy.
func (s *Shop) wanting(ctx context.Context, what, client string, n int) (Client, error) {
	c, err := s.stores.Clients.Client(ctx, client)
	if err != nil {
		return Client{}, fmt.Errorf("%s: %w", what, err)
	}
	if n < 0 || n >= len(c.Wants) {
		return Client{}, invalid(what, "want", fmt.Sprint(n+1), fmt.Sprintf("the number of one of the client's %d wants", len(c.Wants)))
	}
	c.Wants = slices.Clone(c.Wants)
	return c, nil
}

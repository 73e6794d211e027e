package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"midcase/evidence"
)

// AddClient adds a person or firm. A client that comes with an id keeps it.
func (s *Shop) AddClient(ctx context.Context, c Client) (Client, error) {
	if err := checkClient("add client", c); err != nil {
		return Client{}, err
	}
	if c.ID == "" {
		c.ID = s.opt.NewID("c")
	}
	c.Created = s.opt.Now()
	c.Changed = c.Created
	kept, err := s.stores.Clients.CreateClient(ctx, c)
	if err != nil {
		return Client{}, err
	}
	return kept, s.logAccess(ctx, kept.ID, "added")
}

// Clients lists all clients; that they were listed is logged.
func (s *Shop) Clients(ctx context.Context) ([]Client, error) {
	all, err := s.stores.Clients.Clients(ctx)
	if err != nil {
		return nil, err
	}
	return all, s.logAccess(ctx, "", "listed")
}

// checkClient tells what is wrong with a client's record, field by field.
func checkClient(what string, c Client) error {
	var p evidence.Problems
	add := func(field, found, want string) {
		p = append(p, evidence.Problem{Field: field, Found: found, Want: want})
	}
	if strings.TrimSpace(c.Name) == "" {
		add("name", "nothing", "the client's name")
	}
	if c.Kind != "" && !slices.Contains(ClientKinds(), c.Kind) {
		add("kind", fmt.Sprintf("%q", c.Kind), "one of "+strings.Join(ClientKinds(), ", "))
	}
	for i, x := range c.Channels {
		if !slices.Contains(ChannelKinds(), x.Kind) || strings.TrimSpace(x.Value) == "" {
			add(fmt.Sprintf("channels[%d]", i), fmt.Sprintf("%q %q", x.Kind, x.Value), "one of "+strings.Join(ChannelKinds(), ", ")+" with its value")
		}
	}
	for i, x := range c.Consents {
		if !slices.Contains(ConsentPurposes(), x.Purpose) {
			add(fmt.Sprintf("consents[%d]", i), fmt.Sprintf("%q", x.Purpose), "one of "+strings.Join(ConsentPurposes(), ", "))
		}
	}
	for i, w := range c.Wants {
		for _, x := range w.problems() {
			x.Field = fmt.Sprintf("wants[%d].%s", i, x.Field)
			p = append(p, x)
		}
	}
	if len(p) > 0 {
		return &Invalid{what, p}
	}
	return nil
}

// problems tells what is wrong with a want, field by field.
func (w Want) problems() (p evidence.Problems) {
	if w.ConditionFloor < 0 || w.ConditionFloor > 10 {
		p = append(p, evidence.Problem{Field: "condition_floor", Found: fmt.Sprint(w.ConditionFloor), Want: "a grade from 1 to 10"})
	}
	if w.OriginalityFloor < 0 || w.OriginalityFloor > 1 {
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

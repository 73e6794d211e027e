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
	all, err := s.clientList(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(all), s.logAccess(ctx, "", "listed")
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
		if x.Channel != "" && !slices.Contains(ChannelKinds(), x.Channel) {
			add(fmt.Sprintf("consents[%d].channel", i), fmt.Sprintf("%q", x.Channel), "one of "+strings.Join(ChannelKinds(), ", ")+", or none for all")
		}
	}
	for i, w := range c.Wants {
		for _, x := range wantProblems(w) {
			x.Field = fmt.Sprintf("wants[%d].%s", i, x.Field)
			p = append(p, x)
		}
	}
	if len(p) > 0 {
		return &Invalid{what, p}
	}
	return nil
}

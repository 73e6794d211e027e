package people

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/typed"
)

// AddClient adds a person or firm. A client that comes with an id keeps it.
func (r *Room) Add(ctx context.Context, c shop.Client) (shop.Client, error) {
	if err := checkClient("add client", c); err != nil {
		return shop.Client{}, err
	}
	if c.ID == "" {
		c.ID = r.shop.NewID("c")
	}
	c.Created = r.shop.Now()
	c.Changed = c.Created
	kept, err := r.stores.Clients.CreateClient(ctx, c)
	if err != nil {
		return shop.Client{}, err
	}
	return kept, r.access(ctx, kept.ID, "added")
}

// Clients lists all clients; that they were listed is logged.
func (r *Room) All(ctx context.Context) ([]shop.Client, error) {
	all, err := r.shop.ClientList(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(all), r.access(ctx, "", "listed")
}

// taxNumber is any number by which tax offices know a business: forms differ from country to country.
var taxNumber = regexp.MustCompile(`^[0-9A-Z][0-9A-Z.*+/-]{3,19}$`)

// checkClient tells what is wrong with a client's record, field by field.
func checkClient(what string, c shop.Client) error {
	var p evidence.Problems
	add := func(field, found, want string) {
		p = append(p, evidence.Problem{Field: field, Found: found, Want: want})
	}
	for _, f := range typed.Check(c) {
		add(f.Field, f.Found, f.Want)
	}
	if strings.TrimSpace(c.Name) == "" {
		add("name", "nothing", "the client's name")
	}
	if c.Kind != "" && !slices.Contains(shop.ClientKinds(), c.Kind) {
		add("kind", fmt.Sprintf("%q", c.Kind), "one of "+strings.Join(shop.ClientKinds(), ", "))
	}
	if n := c.TaxNumber; n != "" && !taxNumber.MatchString(n) {
		add("tax_number", fmt.Sprintf("%q", n), "4 to 20 letters and figures, such as DE123456789")
	}
	for i, x := range c.Channels {
		if !slices.Contains(shop.ChannelKinds(), x.Kind) || strings.TrimSpace(x.Value) == "" {
			add(fmt.Sprintf("channels[%d]", i), fmt.Sprintf("%q %q", x.Kind, x.Value),
				"one of "+strings.Join(shop.ChannelKinds(), ", ")+" with its value")
		}
	}
	for i, x := range c.Consents {
		if !slices.Contains(shop.ConsentPurposes(), x.Purpose) {
			add(fmt.Sprintf("consents[%d]", i), fmt.Sprintf("%q", x.Purpose),
				"one of "+strings.Join(shop.ConsentPurposes(), ", "))
		}
		if x.Channel != "" && !slices.Contains(shop.ChannelKinds(), x.Channel) {
			add(fmt.Sprintf("consents[%d].channel", i), fmt.Sprintf("%q", x.Channel),
				"one of "+strings.Join(shop.ChannelKinds(), ", ")+", or none for all")
		}
	}
	for i, w := range c.Wants {
		for _, x := range wantProblems(w) {
			x.Field = fmt.Sprintf("wants[%d].%s", i, x.Field)
			p = append(p, x)
		}
	}
	if len(p) > 0 {
		return &shop.Invalid{What: what, Problems: p}
	}
	return nil
}

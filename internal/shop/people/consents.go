package people

import (
	"context"
	"fmt"
	"midcase/internal/shop"
	"slices"
	"strings"
)

// RecordConsent adds what a client allowed or refused. What was said before stays on
// record.
func (r *Room) RecordConsent(ctx context.Context, client string, x shop.Consent) (shop.Client, error) {
	c, err := r.stores.Clients.Client(ctx, client)
	if err != nil {
		return shop.Client{}, fmt.Errorf("record consent: %w", err)
	}
	if x.At.IsZero() {
		x.At = r.shop.Now()
	}
	c.Consents = append(slices.Clone(c.Consents), x)
	return r.Change(ctx, c)
}

// AddChannel adds a way to reach a client. The first e-mail address and telephone
// number stand on the record itself. One that is preferred is the only one.
func (r *Room) AddChannel(ctx context.Context, client string, x shop.Channel) (shop.Client, error) {
	c, err := r.stores.Clients.Client(ctx, client)
	if err != nil {
		return shop.Client{}, fmt.Errorf("add channel: %w", err)
	}
	x.Value = strings.TrimSpace(x.Value)
	c.Channels = slices.Clone(c.Channels)
	if x.Preferred {
		for i := range c.Channels {
			c.Channels[i].Preferred = false
		}
	}
	switch {
	case x.Kind == "email" && c.Email == "" && !x.Preferred && x.Label == "":
		c.Email = x.Value
	case x.Kind == "phone" && c.Phone == "" && !x.Preferred && x.Label == "":
		c.Phone = x.Value
	default:
		c.Channels = append(c.Channels, x)
	}
	return r.Change(ctx, c)
}

// EndChannel takes a way to reach a client off the record; value is the address or
// number as it stands there.
func (r *Room) EndChannel(ctx context.Context, client, value string) (shop.Client, error) {
	c, err := r.stores.Clients.Client(ctx, client)
	if err != nil {
		return shop.Client{}, fmt.Errorf("end channel: %w", err)
	}
	same := func(v string) bool { return v != "" && strings.EqualFold(v, strings.TrimSpace(value)) }
	left := slices.DeleteFunc(slices.Clone(c.Channels), func(x shop.Channel) bool { return same(x.Value) })
	if len(left) == len(c.Channels) && !same(c.Email) && !same(c.Phone) {
		return shop.Client{}, shop.Refuse("end channel", "value", fmt.Sprintf("%q", value),
			"an address or number of this client")
	}
	c.Channels = left
	if same(c.Email) {
		c.Email = ""
	}
	if same(c.Phone) {
		c.Phone = ""
	}
	return r.Change(ctx, c)
}

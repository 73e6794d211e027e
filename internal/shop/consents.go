package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Consent is what a client allowed or refused, and how that is known.
type Consent struct {
	Purpose string    `json:"purpose"`           // offers, news, keep
	Channel string    `json:"channel,omitempty"` // the kind of channel that it is about; empty: every one
	Given   bool      `json:"given"`
	At      time.Time `json:"at"`
	How     string    `json:"how,omitempty"` // in writing, by word, on a form
}

// ConsentPurposes lists what is asked for: to be offered watches, to be sent news, to have
// data kept beyond what law asks for.
func ConsentPurposes() []string { return []string{"offers", "news", "keep"} }

// AllowsBy reports whether the client allowed a purpose by a kind of channel: the latest
// word on it, or on every channel, counts. asked is false where nothing is on record.
func (c Client) AllowsBy(purpose, channel string) (given, asked bool) {
	var last time.Time
	for _, x := range c.Consents {
		if x.Purpose == purpose && (x.Channel == "" || x.Channel == channel) && (!asked || !x.At.Before(last)) {
			given, asked, last = x.Given, true, x.At
		}
	}
	return given, asked
}

// Allows reports whether the client allowed a purpose by any channel; asked is false
// where nothing is on record.
func (c Client) Allows(purpose string) (given, asked bool) {
	for _, kind := range append([]string{""}, ChannelKinds()...) {
		g, a := c.AllowsBy(purpose, kind)
		given, asked = given || g, asked || a
	}
	return given, asked
}

// Reached lists the kinds of channel by which the client can be reached; every one
// where none is on record.
func (c Client) Reached() []string {
	var out []string
	for _, kind := range ChannelKinds() {
		if kind == "email" && c.Email != "" || kind == "phone" && c.Phone != "" || kind == "post" && c.Address.Street != "" ||
			slices.ContainsFunc(c.Channels, func(x Channel) bool { return x.Kind == kind }) {
			out = append(out, kind)
		}
	}
	if len(out) == 0 {
		return ChannelKinds()
	}
	return out
}

// MayOffer reports whether the client may be offered watches by at least one channel:
// one that was not refused.
func (c Client) MayOffer() bool {
	if len(c.Consents) == 0 {
		return true
	}
	return slices.ContainsFunc(c.Reached(), func(kind string) bool {
		given, asked := c.AllowsBy("offers", kind)
		return given || !asked
	})
}

// RecordConsent adds what a client allowed or refused. What was said before stays on
// record.
func (s *Shop) RecordConsent(ctx context.Context, client string, x Consent) (Client, error) {
	c, err := s.stores.Clients.Client(ctx, client)
	if err != nil {
		return Client{}, fmt.Errorf("record consent: %w", err)
	}
	if x.At.IsZero() {
		x.At = s.opt.Now()
	}
	c.Consents = append(slices.Clone(c.Consents), x)
	return s.ChangeClient(ctx, c)
}

// AddChannel adds a way to reach a client. The first e-mail address and telephone
// number stand on the record itself. One that is preferred is the only one.
func (s *Shop) AddChannel(ctx context.Context, client string, x Channel) (Client, error) {
	c, err := s.stores.Clients.Client(ctx, client)
	if err != nil {
		return Client{}, fmt.Errorf("add channel: %w", err)
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
	return s.ChangeClient(ctx, c)
}

// EndChannel takes a way to reach a client off the record; value is the address or
// number as it stands there.
func (s *Shop) EndChannel(ctx context.Context, client, value string) (Client, error) {
	c, err := s.stores.Clients.Client(ctx, client)
	if err != nil {
		return Client{}, fmt.Errorf("end channel: %w", err)
	}
	same := func(v string) bool { return v != "" && strings.EqualFold(v, strings.TrimSpace(value)) }
	left := slices.DeleteFunc(slices.Clone(c.Channels), func(x Channel) bool { return same(x.Value) })
	if len(left) == len(c.Channels) && !same(c.Email) && !same(c.Phone) {
		return Client{}, invalid("end channel", "value", fmt.Sprintf("%q", value), "an address or number of this client")
	}
	c.Channels = left
	if same(c.Email) {
		c.Email = ""
	}
	if same(c.Phone) {
		c.Phone = ""
	}
	return s.ChangeClient(ctx, c)
}

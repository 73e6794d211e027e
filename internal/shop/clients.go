package shop

import (
	"context"
	"strings"
)

// AddClient adds a person or firm. A client that comes with an id keeps it.
func (s *Shop) AddClient(ctx context.Context, c Client) (Client, error) {
	if strings.TrimSpace(c.Name) == "" {
		return Client{}, invalid("add client", "name", "nothing", "the client's name")
	}
	if c.ID == "" {
		c.ID = s.opt.NewID("c")
	}
	c.Created = s.opt.Now()
	c.Changed = c.Created
	return s.stores.Clients.CreateClient(ctx, c)
}

// Clients lists all clients.
func (s *Shop) Clients(ctx context.Context) ([]Client, error) { return s.stores.Clients.Clients(ctx) }

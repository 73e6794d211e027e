package rooms

import (
	"context"
	"fmt"

	"midcase/internal/proof"
	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/hooks"
	"midcase/internal/shop/imports"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/library"
	"midcase/internal/shop/people"
	"midcase/internal/shop/staff"
	"midcase/internal/shop/trade"
)

// Shop is a shop with all its rooms. It is safe for concurrent use.
type Shop struct {
	*shop.Shop
	Intake   *intake.Room
	Trade    *trade.Room
	People   *people.Room
	Accounts *accounts.Room
	Library  *library.Room
	Desk     *desk.Room
	Staff    *staff.Room
	Imports  *imports.Room
	Hooks    *hooks.Room

	Signs *proof.Key // signs papers; nil: they are not signed
	// Proves gives what proves that the first size items of the log hold a watch's evidence; nil: papers prove none.
	Proves func(ctx context.Context, id shop.WatchID, size int64) ([]proof.Record, error)
}

// Open opens a shop on its stores.
func Open(ctx context.Context, stores shop.Stores, opt shop.Options) (*Shop, error) {
	s, err := shop.New(ctx, stores, opt)
	if err != nil {
		return nil, err
	}
	p, a, t := people.New(s), accounts.New(s), trade.New(s)
	in := intake.New(s)
	return &Shop{Shop: s, Intake: in, Trade: t, People: p, Accounts: a,
		Library: library.New(s), Desk: desk.New(s, p, a), Staff: staff.New(s),
		Imports: imports.New(s, p, t, a, in), Hooks: hooks.New(s)}, nil
}

// Warm reads into memory what client pages, matching and the calendar begin with, so that
// the first page does not wait for it.
func (s *Shop) Warm(ctx context.Context) error {
	if err := s.People.Warm(ctx); err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	if _, _, err := s.Desk.Overview(ctx); err != nil { // opinions of the list begin to be formed
		return fmt.Errorf("warm: %w", err)
	}
	if _, err := s.TimeToSell(ctx); err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	return nil
}

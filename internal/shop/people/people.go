package people

import (
	"context"
	"midcase/internal/shop"
	"midcase/internal/shop/memo"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/trade"
)

// Room is what the shop knows of its clients. It is safe for concurrent use.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores
	trade  *trade.Room

	terms  *memo.Cache[struct{}, int64, terms]
	passed *memo.Cache[struct{}, int64, *passed]
	facts  *memo.Cache[shop.WatchID, factsMark, Facts]
}

const factsKept = 50_000 // watches

// New opens the room of a shop. All callers share one, since it holds in memory what it knows.
func New(s *shop.Shop) *Room {
	return &Room{
		shop: s, stores: s.Stores(), trade: trade.New(s),
		terms:  memo.New[struct{}, int64, terms](1),
		passed: memo.New[struct{}, int64, *passed](1),
		facts:  memo.New[shop.WatchID, factsMark, Facts](factsKept),
	}
}

// Warm reads into memory what client pages, matching and the calendar begin with.
func (r *Room) Warm(ctx context.Context) error {
	if _, err := r.shop.ClientList(ctx); err != nil {
		return err
	}
	if _, err := r.shop.StockList(ctx); err != nil {
		return err
	}
	_, err := r.weighing(ctx)
	return err
}

// access refuses client data to whom they are not for, and notes who looks at them or changes them.
func (r *Room) access(ctx context.Context, client, what string) error {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return err
	}
	return r.shop.LogAccess(ctx, client, what)
}

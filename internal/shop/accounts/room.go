package accounts

import (
	"sync/atomic"

	"midcase/internal/shop"
	"midcase/internal/shop/memo"
)

// Room reads the shop's books. It is safe for concurrent use.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores

	posted  atomic.Int64 // entries of the ledger read so far, for those who wait
	books   *memo.Cache[memo.One, booksMark, *foldedBooks]
	profits *memo.Cache[string, profitMark, profitRows]
}

const profitsKnown = 8

// New opens the room of a shop. All callers share one, since it holds in memory what it knows.
func New(s *shop.Shop) *Room {
	return &Room{
		shop: s, stores: s.Stores(),
		books:   memo.New[memo.One, booksMark, *foldedBooks](1),
		profits: memo.New[string, profitMark, profitRows](profitsKnown),
	}
}

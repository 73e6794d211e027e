package trade

import (
	"midcase/internal/shop"
	"midcase/internal/shop/memo"
)

// Room takes the steps of watches and books the money that goes with them. It is safe for
// concurrent use. It holds in memory only the money in other currencies, as far as it was read.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores
	purses *memo.Cache[string, int64, filledPurse]
}

// New opens the room of a shop.
func New(s *shop.Shop) *Room {
	return &Room{shop: s, stores: s.Stores(), purses: memo.New[string, int64, filledPurse](2)}
}

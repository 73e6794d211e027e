package trade

import "midcase/internal/shop"

// Room takes the steps of watches and books the money that goes with them. It is safe for
// concurrent use and holds nothing in memory.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores
}

// New opens the room of a shop.
func New(s *shop.Shop) *Room { return &Room{shop: s, stores: s.Stores()} }

package intake

import "midcase/internal/shop"

// Room records what is seen, measured and heard of watches. It is safe for concurrent use and
// holds nothing in memory.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores
	sorted sorted // of the shop's own pictures
}

// New opens the room of a shop.
func New(s *shop.Shop) *Room { return &Room{shop: s, stores: s.Stores()} }

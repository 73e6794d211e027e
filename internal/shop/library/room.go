package library

import "midcase/internal/shop"

// Room edits the reference book. It is safe for concurrent use and holds nothing in memory.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores
}

// New opens the room of a shop.
func New(s *shop.Shop) *Room { return &Room{shop: s, stores: s.Stores()} }

package desk

import (
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/people"
	"midcase/internal/shop/trade"
)

// Room is what the shop looks at. It is safe for concurrent use.
type Room struct {
	shop   *shop.Shop
	stores shop.Stores
	intake *intake.Room
	people *people.Room
	trade  *trade.Room
}

// New opens the room of a shop.
func New(s *shop.Shop, p *people.Room) *Room {
	return &Room{shop: s, stores: s.Stores(), intake: intake.New(s), people: p, trade: trade.New(s)}
}

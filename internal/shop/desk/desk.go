package desk

import (
	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/memo"
	"midcase/internal/shop/people"
	"midcase/internal/shop/trade"
)

// Room is what the shop looks at. It is safe for concurrent use.
type Room struct {
	shop     *shop.Shop
	stores   shop.Stores
	intake   *intake.Room
	people   *people.Room
	trade    *trade.Room
	accounts *accounts.Room

	briefs   *memo.Cache[shop.WatchID, formedFrom, Brief]
	reports  *memo.Cache[memo.One, reportsMark, map[shop.WatchID]lastReport]
	lists    *memo.Cache[memo.One, listMark, []Brief]
	holdings *memo.Cache[shop.WatchID, formedFrom, stockHolding]
	worths   *memo.Cache[string, worthMark, StockWorth]
	searched *memo.Cache[memo.One, int64, map[shop.WatchID]searchKey]
	named    *memo.Cache[memo.One, int64, map[string]string]
	lexicons *memo.Cache[memo.One, lexiconMark, *lexicon]
	met      *memo.Cache[memo.One, int64, map[metName]int] // sales by maker and reference
}

const (
	watchesKnown = 200_000 // more than a shop has
	worthsKnown  = 16
)

// New opens the room of a shop. All callers share one, since it holds in memory what it knows.
func New(s *shop.Shop, p *people.Room, a *accounts.Room) *Room {
	return &Room{
		shop: s, stores: s.Stores(), intake: intake.New(s), people: p, trade: trade.New(s), accounts: a,
		briefs:   memo.New[shop.WatchID, formedFrom, Brief](watchesKnown),
		reports:  memo.New[memo.One, reportsMark, map[shop.WatchID]lastReport](1),
		lists:    memo.New[memo.One, listMark, []Brief](1),
		holdings: memo.New[shop.WatchID, formedFrom, stockHolding](watchesKnown),
		worths:   memo.New[string, worthMark, StockWorth](worthsKnown),
		searched: memo.New[memo.One, int64, map[shop.WatchID]searchKey](1),
		named:    memo.New[memo.One, int64, map[string]string](1),
		lexicons: memo.New[memo.One, lexiconMark, *lexicon](1),
		met:      memo.New[memo.One, int64, map[metName]int](1),
	}
}

package shop

import (
	"crypto/sha256"

	"midcase/internal/shop/memo"
	"midcase/market"
)

// known is what the shop holds in memory, each with what it follows from. Everything in it can be
// computed again at any time.
type known struct {
	settings *memo.Cache[memo.One, int64, KeptSettings]
	rates    *memo.Cache[memo.One, [sha256.Size]byte, *market.Rates]
	sales    *memo.Cache[memo.One, int64, *market.Table]
	fits     *memo.Cache[fitKey, fitMark, Prices]
	times    *memo.Cache[memo.One, timesMark, shopTimes]
	stock    *memo.Cache[memo.One, StockMark, *Stock]
	compared *memo.Cache[[2]string, StockMark, comparedItems] // by maker and reference, in lower case
	briefs   *memo.Cache[WatchID, formedFrom, Brief]
	reports  *memo.Cache[memo.One, reportsMark, map[WatchID]lastReport]
	lists    *memo.Cache[memo.One, listMark, []Brief]
	holdings *memo.Cache[WatchID, formedFrom, stockHolding]
	worths   *memo.Cache[string, worthMark, StockWorth]
	searched *memo.Cache[memo.One, int64, map[WatchID]searchKey]
	named    *memo.Cache[memo.One, int64, map[string]string]
	books    *memo.Cache[memo.One, int64, *foldedBooks]
	profits  *memo.Cache[string, profitMark, profitRows]
}

// How many of each are held: more watches than a shop has, and the fits of a few days.
const (
	watchesKnown    = 200_000
	fitsKnown       = 4
	referencesKnown = 500
	worthsKnown     = 16
	profitsKnown    = 8
)

func newKnown() known {
	return known{
		settings: memo.New[memo.One, int64, KeptSettings](1),
		rates:    memo.New[memo.One, [sha256.Size]byte, *market.Rates](1),
		sales:    memo.New[memo.One, int64, *market.Table](1),
		fits:     memo.New[fitKey, fitMark, Prices](fitsKnown),
		times:    memo.New[memo.One, timesMark, shopTimes](1),
		stock:    memo.New[memo.One, StockMark, *Stock](1),
		compared: memo.New[[2]string, StockMark, comparedItems](referencesKnown),
		briefs:   memo.New[WatchID, formedFrom, Brief](watchesKnown),
		reports:  memo.New[memo.One, reportsMark, map[WatchID]lastReport](1),
		lists:    memo.New[memo.One, listMark, []Brief](1),
		holdings: memo.New[WatchID, formedFrom, stockHolding](watchesKnown),
		worths:   memo.New[string, worthMark, StockWorth](worthsKnown),
		searched: memo.New[memo.One, int64, map[WatchID]searchKey](1),
		named:    memo.New[memo.One, int64, map[string]string](1),
		books:    memo.New[memo.One, int64, *foldedBooks](1),
		profits:  memo.New[string, profitMark, profitRows](profitsKnown),
	}
}

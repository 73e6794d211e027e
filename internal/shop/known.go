package shop

import (
	"crypto/sha256"

	"midcase/internal/shop/memo"
	"midcase/market"
)

// known is what the shop holds in memory, each with what it follows from. Everything in it can be
// computed again at any time.
type known struct {
	settings *memo.Cache[only, int64, keptSettings]
	rates    *memo.Cache[only, [sha256.Size]byte, *market.Rates]
	sales    *memo.Cache[only, int64, *market.Table]
	fits     *memo.Cache[fitKey, fitMark, Prices]
	times    *memo.Cache[only, timesMark, shopTimes]
	stock    *memo.Cache[only, stockMark, *stockList]
	compared *memo.Cache[[2]string, stockMark, comparedItems] // by maker and reference, in lower case
	briefs   *memo.Cache[WatchID, formedFrom, Brief]
	reports  *memo.Cache[only, reportsMark, map[WatchID]lastReport]
	lists    *memo.Cache[only, listMark, []Brief]
	holdings *memo.Cache[WatchID, formedFrom, stockHolding]
	worths   *memo.Cache[string, worthMark, StockWorth]
	books    *memo.Cache[only, int64, *foldedBooks]
	profits  *memo.Cache[string, profitMark, profitRows]
}

// only is the key where there is only one value.
type only struct{}

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
		settings: memo.New[only, int64, keptSettings](1),
		rates:    memo.New[only, [sha256.Size]byte, *market.Rates](1),
		sales:    memo.New[only, int64, *market.Table](1),
		fits:     memo.New[fitKey, fitMark, Prices](fitsKnown),
		times:    memo.New[only, timesMark, shopTimes](1),
		stock:    memo.New[only, stockMark, *stockList](1),
		compared: memo.New[[2]string, stockMark, comparedItems](referencesKnown),
		briefs:   memo.New[WatchID, formedFrom, Brief](watchesKnown),
		reports:  memo.New[only, reportsMark, map[WatchID]lastReport](1),
		lists:    memo.New[only, listMark, []Brief](1),
		holdings: memo.New[WatchID, formedFrom, stockHolding](watchesKnown),
		worths:   memo.New[string, worthMark, StockWorth](worthsKnown),
		books:    memo.New[only, int64, *foldedBooks](1),
		profits:  memo.New[string, profitMark, profitRows](profitsKnown),
	}
}

package shop

import (
	"crypto/sha256"

	"midcase/deal"
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
	times    *memo.Cache[string, timesMark, *deal.TimeToSell] // by the day as of which
	stock    *memo.Cache[memo.One, StockMark, *Stock]
	compared *memo.Cache[[2]string, StockMark, comparedItems] // by maker and reference, in lower case
}

// How many of each are held: the fits of a few days.
const (
	fitsKnown       = 4
	referencesKnown = 500
)

func newKnown() known {
	return known{
		settings: memo.New[memo.One, int64, KeptSettings](1),
		rates:    memo.New[memo.One, [sha256.Size]byte, *market.Rates](1),
		sales:    memo.New[memo.One, int64, *market.Table](1),
		fits:     memo.New[fitKey, fitMark, Prices](fitsKnown),
		times:    memo.New[string, timesMark, *deal.TimeToSell](fitsKnown),
		stock:    memo.New[memo.One, StockMark, *Stock](1),
		compared: memo.New[[2]string, StockMark, comparedItems](referencesKnown),
	}
}

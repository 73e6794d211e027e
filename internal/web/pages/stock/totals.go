package stock

import (
	"math"

	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// Totals sum up the watches listed. Sold and returned ones, and those only offered, are
// counted and not added.
type Totals struct {
	Watches   int
	Held      int // watches that are added up
	Cost      string
	Median    string
	Together  string // the range where all err the same way: the sum of the ends
	Apart     string // the range where each errs by itself
	NotValued int    // of those held
}

// Sum adds costs exactly in the shop's currency; costs in others are left out of the
// sum and show in the rows.
//
// The range of a sum depends on how single errors go together, which is not known: a
// market that turns moves all, a part misjudged moves one. So there are two: where all
// err the same way the ends add up, and that is as wide as it gets; where each errs by
// itself the half-widths add up as squares do.
func Sum(rows []shop.Brief, currency money.Currency) Totals {
	t := Totals{Watches: len(rows)}
	var cost money.Money
	var median, low, high, below, above float64
	for _, b := range rows {
		if !held(b.Watch.State) {
			continue
		}
		t.Held++
		if b.Watch.Cost.Currency() == currency {
			if sum, err := cost.Add(b.Watch.Cost); err == nil {
				cost = sum
			}
		}
		if b.Median == nil {
			t.NotValued++
			continue
		}
		median += *b.Median
		low += b.Low
		high += b.High
		below += (*b.Median - b.Low) * (*b.Median - b.Low)
		above += (b.High - *b.Median) * (b.High - *b.Median)
	}
	if !cost.IsZero() {
		t.Cost = wording.Money(cost)
	}
	if median > 0 {
		t.Median = wording.Amount(median) + "\u00a0" + string(currency)
		t.Together = wording.Amount(low) + "–" + wording.Amount(high)
		t.Apart = wording.Amount(median-math.Sqrt(below)) + "–" + wording.Amount(median+math.Sqrt(above))
	}
	return t
}

// held reports whether a watch in a state is in the shop's hands or out of them for a
// while, on whosever account.
func held(s shop.State) bool {
	return s != shop.Sold && s != shop.Returned && s != shop.Offered
}

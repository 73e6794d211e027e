package stock

import (
	"context"
	"maps"
	"math"
	"slices"
	"strings"

	"midcase/internal/shop/desk"
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

// Sum adds costs exactly, each currency by itself, the shop's own first.
//
// The range of a sum depends on how single errors go together, which is not known: a
// market that turns moves all, a part misjudged moves one. So there are two: where all
// err the same way the ends add up, and that is as wide as it gets; where each errs by
// itself the half-widths add up as squares do.
func Sum(ctx context.Context, rows []desk.Brief, currency money.Currency) Totals {
	t := Totals{Watches: len(rows)}
	cost := map[money.Currency]money.Money{}
	var median, low, high, below, above float64
	for _, b := range rows {
		if !b.Watch.State.Held() {
			continue
		}
		t.Held++
		if c := b.Watch.Cost; !c.IsZero() {
			if sum, err := cost[c.Currency()].Add(c); err == nil {
				cost[c.Currency()] = sum
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
	t.Cost = inWords(ctx, cost, currency)
	if median > 0 {
		t.Median = wording.Amount(ctx, median) + "\u00a0" + string(currency)
		t.Together = wording.Amount(ctx, low) + "–" + wording.Amount(ctx, high)
		t.Apart = wording.Amount(ctx, median-math.Sqrt(below)) + "–" + wording.Amount(ctx, median+math.Sqrt(above))
	}
	return t
}

// inWords lists sums by currency, the shop's own first.
func inWords(ctx context.Context, sums map[money.Currency]money.Money, own money.Currency) string {
	order := slices.SortedFunc(maps.Keys(sums), func(a, b money.Currency) int {
		if (a == own) != (b == own) {
			if a == own {
				return -1
			}
			return 1
		}
		return strings.Compare(string(a), string(b))
	})
	var out []string
	for _, c := range order {
		out = append(out, wording.Money(ctx, sums[c]))
	}
	return strings.Join(out, " and ")
}

// wholeRange is what the watches of the list are together worth, by how their errors go together.
func wholeRange(t Totals) string {
	return "80 % range of the whole: " + t.Apart + " if errors are independent, " + t.Together + " if all err together."
}

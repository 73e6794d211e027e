package market

import (
	"fmt"
	"slices"
	"strings"

	"midcase/market/table"
	"midcase/money"
	"midcase/say"
)

// Unrated counts the sales in a currency that were left out because no rate converts them.
type Unrated struct {
	Currency money.Currency `json:"currency"`
	Sales    int            `json:"sales"`
}

// NothingToFit is the error of a fit that no sale is left for, with where the sales went.
type NothingToFit struct {
	Currency money.Currency // of the model
	Unrated  []Unrated      // the most sales first
	Later    int            // sales after the last day that counts
	First    string         // day of the first of those; empty where there are none
}

// Error says where the sales went.
func (e *NothingToFit) Error() string {
	var why []string
	for _, u := range e.Unrated {
		why = append(why, fmt.Sprintf("%d in %s without a rate to %s", u.Sales, u.Currency, e.Currency))
	}
	if e.Later > 0 {
		why = append(why, fmt.Sprintf("%d later, the first on %s", e.Later, e.First))
	}
	if len(why) == 0 {
		return "no sale to fit"
	}
	return "no sale to fit: " + strings.Join(why, "; ")
}

// leftOut tells why a fit of the table has no sale.
func leftOut(t *table.Table, opt Options, to money.Currency, bad []table.RowError) *NothingToFit {
	out := &NothingToFit{Currency: to, Unrated: unrated(bad)}
	last, first := lastDay(opt), int32(0)
	for _, day := range t.Day {
		if day <= last {
			continue
		}
		if out.Later == 0 || day < first {
			first = day
		}
		out.Later++
	}
	if out.Later > 0 {
		out.First = table.DateText(first, table.DayDate)
	}
	return out
}

// leftOutFor says which sales do not count for want of a rate.
func leftOutFor(without []Unrated) say.Statement {
	each := make([]say.Value, len(without))
	for i, u := range without {
		each[i] = say.That("value.sales-in", say.Count("sales", u.Sales), say.Name("currency", string(u.Currency)))
	}
	return say.That("market.left-out", say.All("each", each...))
}

// unrated counts the rows that were rejected for want of a rate, by currency.
func unrated(bad []table.RowError) []Unrated {
	n := map[money.Currency]int{}
	for _, b := range bad {
		if b.Field == "currency" {
			n[money.Currency(b.Found)]++
		}
	}
	var out []Unrated
	for c, sales := range n {
		out = append(out, Unrated{c, sales})
	}
	slices.SortFunc(out, func(a, b Unrated) int {
		if a.Sales != b.Sales {
			return b.Sales - a.Sales
		}
		return strings.Compare(string(a.Currency), string(b.Currency))
	})
	return out
}

package shop

import (
	"context"
	"fmt"

	"midcase/money"
)

// roughly is what one euro buys, to the order of magnitude. From memory; it only serves to notice a rate
// that was turned round or has its point misplaced, where the shop has no table of rates.
var roughly = map[money.Currency]float64{
	"EUR": 1, "USD": 1.1, "GBP": 0.86, "CHF": 0.95, "JPY": 160, "SEK": 11, "NOK": 11.5, "DKK": 7.5, "PLN": 4.3,
	"CZK": 25, "HUF": 390, "RON": 5, "AUD": 1.7, "NZD": 1.8, "CAD": 1.5, "HKD": 8.5, "SGD": 1.45, "CNY": 7.8,
	"TWD": 35, "KRW": 1500, "THB": 38, "INR": 95, "ZAR": 20, "BRL": 6, "MXN": 20, "ILS": 4, "AED": 4, "SAR": 4.1,
	"QAR": 4, "KWD": 0.33, "BHD": 0.41,
}

const (
	tableTolerance = 1.1 // a factor within which a rate is taken beside the shop's table
	roughTolerance = 4.0
)

// RateDoubt asks about a rate of exchange that is far from the shop's table on that day or, where it has
// none, from the order of magnitude. It is nil where the rate may be right.
func (s *Shop) RateDoubt(ctx context.Context, what string, c money.Currency, rate float64, day string) error {
	base := s.Currency()
	if c == "" || c == base || !(rate > 0) {
		return nil
	}
	if table, ok := s.RateOn(ctx, c, day); ok && table > 0 {
		if rate > table*tableTolerance || rate < table/tableTolerance {
			return Refuse(what, "rate", fmt.Sprintf("1 %s = %g %s", c, rate, base),
				fmt.Sprintf("about %.4g, as the table of rates says; where yours is right, enter it there for %s first", table,
					day))
		}
		return nil
	}
	one, ok := roughly[c]
	own, ok2 := roughly[base]
	if !ok || !ok2 {
		return nil
	}
	if about := own / one; rate > about*roughTolerance || rate < about/roughTolerance {
		return Refuse(what, "rate", fmt.Sprintf("1 %s = %g %s", c, rate, base),
			fmt.Sprintf("something like %.2g; where yours is right, enter it in the table of rates for %s first", about, day))
	}
	return nil
}

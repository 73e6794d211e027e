package people

import (
	"time"

	"midcase/internal/shop"
	"midcase/money"
)

// ScoreWant is how far a watch is what a want asks for, and how its price lies, in one
// currency; ok says whether the two together are enough for the client to be listed.
func ScoreWant(w shop.Want, f Facts, day time.Time) (fit, price float64, ok bool) {
	fit, _, ok = FitWant(w, f, day)
	same := func(m money.Money, to money.Currency) (float64, bool) { return m.Float(), m.Currency() == to }
	price, _ = priceChance(w, f, same)
	if !ok {
		return 0, price, false
	}
	return fit, price, worth(fit, price)
}

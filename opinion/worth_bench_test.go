package opinion_test

import (
	"testing"

	"midcase/evidence"
	"midcase/opinion"
)

// BenchmarkStockHolding values a rich watch as the whole stock counts it.
func BenchmarkStockHolding(b *testing.B) {
	m, err := worldFit()
	if err != nil {
		b.Fatal(err)
	}
	in := opinion.SellingInput{File: evidence.Fold(world().Watches[0].Evidence, demoDay), Book: theBook(b), Market: m,
		AsOf: demoDay}
	for b.Loop() {
		if _, _, err := opinion.StockHolding(in, nil); err != nil {
			b.Fatal(err)
		}
	}
}

package market_test

import (
	"strconv"
	"testing"

	"midcase/market"
)

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{3000, 30000, 100000} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			tab := table(b, invented(n, 1))
			for b.Loop() {
				if _, _, err := market.Fit(tab, market.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkValue(b *testing.B) {
	m := fitted(b, invented(30000, 1))
	for b.Loop() {
		if _, err := m.Value(subject, today, market.Retail); err != nil {
			b.Fatal(err)
		}
	}
}

package deal

import (
	"math"
	"testing"
)

func benchInput() Input {
	return Input{
		Sale: Sale{LogMedian: math.Log(10000), LogScale: 0.15, DoF: 5},
		Work: []Cost{{Name: "service", Low: 300, Mode: 400, High: 700},
			{Name: "crystal", Low: 50, High: 150, Shape: LogNormal, Chance: 0.5}},
		Fees: []Fee{{Name: "card fee", ShareOfSale: 0.02}}, CarryingRatePerYear: 0.08, TimeToSell: Weibull{1.2, 90},
		Tax: Tax{Scheme: MarginTaxed, Rate: 0.2}, WantedMargin: 0.1, Confidence: 0.8,
	}
}

func BenchmarkBuy(b *testing.B) {
	in := benchInput()
	for b.Loop() {
		if _, err := Buy(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHighestPrice(b *testing.B) {
	in := benchInput()
	d := in.draw()
	each := in.terms(d)
	for b.Loop() {
		var r Result
		r.highest(in, d, each)
	}
}

// BenchmarkExpected is what the worth of a stock needs of each watch.
func BenchmarkExpected(b *testing.B) {
	in := testLadder(b)
	for b.Loop() {
		if _, err := Expected(in); err != nil {
			b.Fatal(err)
		}
	}
}

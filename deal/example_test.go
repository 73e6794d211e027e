package deal_test

import (
	"fmt"
	"math"

	"midcase/deal"
)

func ExampleBuy() {
	asked := 7000.0
	r, err := deal.Buy(deal.Input{
		Currency:            "EUR",
		Sale:                deal.Sale{LogMedian: math.Log(10000), LogScale: 0.15, DoF: 5},
		Work:                []deal.Cost{{Name: "service", Low: 300, Mode: 400, High: 700}},
		Fees:                []deal.Fee{{Name: "card fee", ShareOfSale: 0.02}},
		CarryingRatePerYear: 0.08,
		TimeToSell:          deal.Weibull{Shape: 1.2, ScaleDays: 90},
		Tax:                 deal.Tax{Scheme: deal.MarginTaxed, Rate: 0.20},
		WantedMargin:        0.10,
		Confidence:          0.80,
		Asked:               &asked,
		Seed:                1,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("pay at most about %.0f\n", math.Round(r.HighestPrice/100)*100)
	fmt.Printf("at %.0f: expect about %.0f, chance of loss %.0f %%\n", r.At, math.Round(r.ExpectedProfit/100)*100, 100*r.ChanceOfLoss)
	fmt.Println(r.Sensitivity[0].Source)
	// Output:
	// pay at most about 6900
	// at 7000: expect about 1800, chance of loss 9 %
	// sale price
}

func ExampleTax_Due() {
	fmt.Printf("%.2f\n", deal.Tax{Scheme: deal.MarginTaxed, Rate: 0.20}.Due(1500, 2000))
	// Output: 83.33
}

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
	fmt.Printf("at %.0f: expect about %.0f, chance of loss %.0f %%\n", r.At, math.Round(r.ExpectedProfit/100)*100,
		100*r.ChanceOfLoss)
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

func ExampleCompareRoutes() {
	paid := 7000.0
	r, err := deal.CompareRoutes(deal.RoutesInput{
		Currency: "EUR", Paid: &paid, Tax: deal.Tax{Scheme: deal.MarginTaxed, Rate: 0.20}, CarryingRatePerYear: 0.08,
		WantedMargin: 0.10, Confidence: 0.80, Together: deal.CommonTogether, Seed: 1,
		Routes: []deal.Route{
			{Name: deal.OwnSite, Sale: deal.Sale{LogMedian: math.Log(10000), LogScale: 0.15},
				TimeToSell: deal.Weibull{Shape: 1.2, ScaleDays: 90},
				Fees:       []deal.Fee{{Name: "card", ShareOfSale: 0.02}, {Name: "carriage", Fixed: 80}}},
			{Name: deal.Auction, Sale: deal.Sale{LogMedian: math.Log(9000), LogScale: 0.25},
				TimeToSell: deal.Weibull{Shape: 5, ScaleDays: 130},
				Fees: []deal.Fee{{Name: "commission", Tiers: []deal.Tier{{Over: 0, Share: 0.10},
					{Over: 5000, Share: 0.06}}, TaxRate: 0.20}}},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, one := range r.Routes {
		fmt.Printf("%s: expect about %.0f, pay at most about %.0f\n", one.Name, math.Round(one.ExpectedProfit/100)*100,
			math.Round(one.HighestPrice/100)*100)
	}
	fmt.Printf("chance that %s is the best: %.1f\n", r.Best().Name, r.Best().ChanceBest)
	// Output:
	// own site: expect about 2200, pay at most about 7400
	// auction: expect about 800, pay at most about 5500
	// chance that own site is the best: 0.8
}

// Five watches: three sold, two still in stock.
func ExampleFitTimeToSell() {
	spells := []deal.Spell{{Days: 10, Sold: true}, {Days: 20, Sold: true}, {Days: 30, Sold: true}, {Days: 60},
		{Days: 90}}
	for _, history := range [][]deal.Spell{nil, spells} {
		t, err := deal.FitTimeToSell(history, deal.CommonPrior())
		if err != nil {
			fmt.Println(err)
			return
		}
		at := t.At(deal.Covariates{AskOverValue: 1})
		dear := t.At(deal.Covariates{AskOverValue: 1.2})
		fmt.Printf("%d spells: half sold by day %.0f, asked a fifth dearer by day %.0f\n", t.Spells, at.Quantile(0.5),
			dear.Quantile(0.5))
	}
	// Output:
	// 0 spells: half sold by day 79, asked a fifth dearer by day 163
	// 5 spells: half sold by day 61, asked a fifth dearer by day 127
}

func ExampleLadder() {
	t, err := deal.FitTimeToSell(nil, deal.CommonPrior())
	if err != nil {
		fmt.Println(err)
		return
	}
	paid := 7000.0
	r, err := deal.Ladder(deal.Input{
		Currency: "EUR", Sale: deal.Sale{LogMedian: math.Log(10000), LogScale: 0.15}, Asked: &paid,
		CarryingRatePerYear: 0.08, HurdleRatePerYear: deal.CommonHurdle, Confidence: 0.8, Seed: 1,
		Tax: deal.Tax{Scheme: deal.MarginTaxed, Rate: 0.20},
		Listing: &deal.Listing{Time: t, Haggling: deal.CommonHaggling(),
			Asks: []float64{9000, 10500, 12000, 14000}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, rung := range r.Rungs {
		fmt.Printf("ask %.0f: %.0f %% never sell, half sold in %.0f days, expect %.0f%s\n", rung.Ask,
			100*rung.ChanceUnsold, math.Round(rung.Days.Value/10)*10, math.Round(rung.ExpectedNet/100)*100,
			map[bool]string{true: " (best)"}[i == r.Best])
	}
	// Output:
	// ask 9000: 4 % never sell, half sold in 50 days, expect 1100
	// ask 10500: 9 % never sell, half sold in 90 days, expect 1800
	// ask 12000: 18 % never sell, half sold in 140 days, expect 2200 (best)
	// ask 14000: 32 % never sell, half sold in 230 days, expect 2200
}

func ExamplePortfolio() {
	var stock []deal.Holding
	for range 20 {
		stock = append(stock, deal.Holding{Reference: "KR-1", Metal: "steel", Paid: 4000, LogMedian: math.Log(5000),
			OwnLogSD: 0.2},
			deal.Holding{Reference: "KR-8", Metal: "yellow gold", Paid: 8000, LogMedian: math.Log(9000),
				OwnLogSD: 0.25})
	}
	r, err := deal.Portfolio(deal.PortfolioInput{Currency: "EUR", Holdings: stock, CommonLogSD: 0.10, MetalLogSD: 0.05,
		Falls: []deal.Fall{{Metal: "yellow gold", Premium: 0.8, By: 0.2}}, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("tied up %.0f, worth about %.0f ± %.0f; if each stood alone ± %.0f\n", r.TiedUp, r.Mean, r.SD, r.SDAlone)
	fmt.Println(r.Says[len(r.Says)-1])
	// Output:
	// tied up 240000, worth about 289538 ± 33065; if each stood alone ± 12822
	// If the premium of yellow gold falls by 20 %, the stock loses 16,600 EUR (5.7 %).
}

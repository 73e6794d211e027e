package market_test

import (
	"fmt"
	"strings"
	"time"

	"midcase/market"
)

// A handful of sales of two invented references: the value has a wide range and
// says why.
func Example() {
	file := `date,maker,family,reference,metal,price,currency,condition,venue,basis
2024-01-10,Aster,Meridian,A100,steel,4000,EUR,7,dealer,sold
2024-02-11,Aster,Meridian,A100,steel,4150,EUR,7.5,dealer,sold
2024-03-12,Aster,Meridian,A100,steel,41000,EUR,7,dealer,sold
2024-04-13,Aster,Meridian,A100,steel,3900,EUR,6.5,dealer,sold
2024-05-14,Aster,Meridian,A200,steel,6100,EUR,7,dealer,sold
2024-05-15,Aster,Meridian,A200,steel,£6k,GBP,7,dealer,sold
`
	table, rejected, err := market.ReadCSV(strings.NewReader(file), "sales.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range rejected {
		fmt.Println(e)
	}
	model, report, err := market.Fit(table, market.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(report.RowsUsed, "sales used")
	grade := 7.0
	v, err := model.Value(market.Subject{Maker: "Aster", Reference: "A100", Condition: &grade},
		time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC), market.Retail)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("about %.0f %s\n", v.Median/100, "hundred "+string(v.Currency))
	fmt.Println(v.Interval[90][0] < 4000, v.Interval[90][1] > 4500, len(v.Comparables))
	fmt.Println(v.Says[len(v.Says)-1])
	// Output:
	// sales.csv:7: price "£6k": want a plain decimal above zero, such as 1234.50: no sign of currency, no thousands separator, no decimal comma
	// 5 sales used
	// about 40 hundred EUR
	// true true 4
	// Only 4 sales of this reference: its family and maker count too.
}

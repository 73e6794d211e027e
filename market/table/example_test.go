package table_test

import (
	"fmt"
	"strings"

	"midcase/market/table"
)

func ExampleReadCSV() {
	file := `date,maker,reference,price,currency,metal
2019-05-02,Aster,A1,1200,EUR,steel
2019-13-02,Aster,A1,1250,EUR,steel
2020,Aster,A2,1900.50,EUR,gold18
2019-05-02,Aster,A1,1200,EUR,steel
`
	sales, rejected, err := table.ReadCSV(strings.NewReader(file), "sales.csv")
	fmt.Println(sales.Len(), err)
	for i := range sales.Len() {
		s := sales.At(i)
		fmt.Println(s.Date, s.Maker, s.Reference, s.Price, s.Metal)
	}
	for _, e := range rejected {
		fmt.Println(e.Line, e.Field, e.Duplicate())
	}
	// Output:
	// 2 <nil>
	// 2019-05-02 Aster A1 1200.00 EUR steel
	// 2020 Aster A2 1900.50 EUR gold18
	// 3 date false
	// 5  true
}

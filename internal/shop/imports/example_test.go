package imports_test

import (
	"fmt"

	"midcase/tables"
)

// What the columns of a file were taken for, and the questions that stay, are the first part of a preview.
func Example() {
	file := []byte("Date,Maker,Reference,Price\n2025-02-03,Corvane,KR-1,4300\n")
	got, err := tables.Read(file, tables.Sales, tables.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, q := range got.Questions {
		fmt.Println(q.ID, "–", q.About)
	}
	// Output: currency – 1 amount without a currency
}

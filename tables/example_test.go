package tables_test

import (
	"fmt"
	"time"

	"midcase/tables"
)

// What nobody can know is asked once, for all its lines.
func ExampleRead() {
	file := "Marke;Ref.;EK;Ankauf\nTarnholt;K-31;3.120 €;Okt. 2024\nTarnholt;K-31;2,8k;13.8.2025\n"
	r, err := tables.Read(
		[]byte(file),
		tables.Stock,
		tables.Options{Now: time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, row := range r.Rows {
		fmt.Println(row.Line, row.Fields["bought"], row.Fields["cost"])
	}
	fmt.Println(r.Questions[0].About, r.Questions[0].Lines)
	// Output:
	// 2 2024-10 3120 EUR
	// 3 2025-08-13 2800
	// 1 amount without a currency [3]
}

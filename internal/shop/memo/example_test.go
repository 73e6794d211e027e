package memo_test

import (
	"context"
	"fmt"

	"midcase/internal/shop/memo"
)

// The price model of a day follows from the number of sales: it is computed once for each.
func Example() {
	models := memo.New[string, int, string](4)
	fit := func(day string, sales int) string {
		m, _ := models.Get(context.Background(), day, sales, func(context.Context) (string, error) {
			fmt.Println("fitting", sales, "sales")
			return fmt.Sprintf("model of %s from %d sales", day, sales), nil
		})
		return m
	}
	fmt.Println(fit("2026-03-02", 12000))
	fmt.Println(fit("2026-03-02", 12000))
	fmt.Println(fit("2026-03-02", 12001))
	// Output:
	// fitting 12000 sales
	// model of 2026-03-02 from 12000 sales
	// model of 2026-03-02 from 12000 sales
	// fitting 12001 sales
	// model of 2026-03-02 from 12001 sales
}

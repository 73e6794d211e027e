package v1_test

import (
	"fmt"
	"slices"

	"midcase/internal/shop/rights"
	"midcase/internal/web/v1"
)

func ExampleNew() {
	a := v1.New(nil, v1.Options{Right: func(string) rights.Right { return rights.See }})
	fmt.Println(slices.Contains(a.Patterns(), "GET /api/v1/watches/{id}"))
	// Output: true
}

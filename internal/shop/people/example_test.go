package people_test

import (
	"fmt"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/people"
)

// A want that names the reference fits its watch; one that also names a dial that is not on record
// fits half as well.
func ExampleFitWant() {
	day := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	watch := people.Facts{Maker: "Corvane", Reference: "KR-1"}
	for _, w := range []shop.Want{{Reference: "KR-1"}, {Reference: "KR-1", Dial: "gilt"}, {Reference: "KR-2"}} {
		fit, _, ok := people.FitWant(w, watch, day)
		fmt.Println(fit, ok)
	}
	// Output:
	// 1 true
	// 0.5 true
	// 0 false
}

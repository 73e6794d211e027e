package telling_test

import (
	"fmt"

	"midcase/say"
	"midcase/telling"
)

// A watch that is not the shop's is refused before anything is said of it.
func ExampleMake() {
	_, err := telling.Make(telling.Subject{Offer: telling.Offer{Standing: telling.NotOurs}})
	fmt.Println(err)
	fmt.Println(say.Languages())
	// Output:
	// This watch is not the shop's to sell, so nothing is told of it. Buy it or take it on consignment first.
	// [en de fr it]
}

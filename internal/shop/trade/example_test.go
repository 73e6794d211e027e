package trade_test

import (
	"fmt"

	"midcase/internal/shop"
	"midcase/internal/shop/trade"
)

// An offered watch must come in before anything else can be done with it.
func ExampleNextStates() {
	fmt.Println(trade.NextStates(shop.Watch{State: shop.Offered}))
	// Output: [bought consigned part_share returned]
}

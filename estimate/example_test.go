package estimate_test

import (
	"encoding/json"
	"fmt"

	"midcase/estimate"
)

// A figure carries its interval; what cannot be told says why.
func ExampleFigure() {
	for _, f := range []estimate.Figure{
		estimate.Between(31.2, 30.4, 32.0, 0.9, "g"),
		estimate.CannotTell("the case has not been weighed"),
	} {
		b, _ := json.Marshal(f)
		fmt.Println(string(b))
	}
	fmt.Println(estimate.Percent(0.97), estimate.Percent(0.999))
	// Output:
	// {"value":31.2,"interval":[30.4,32],"level":0.9,"unit":"g"}
	// {"value":null,"cannot_tell":"the case has not been weighed"}
	// 97 % over 99 %
}

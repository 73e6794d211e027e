package gate_test

import (
	"fmt"

	"midcase/evidence"
	"midcase/gate"
	"midcase/refbook"
)

// A decimal point in the wrong place.
func ExampleDoubts() {
	ref := refbook.Reference{ID: "T-36", Dimensions: []refbook.Dimension{{What: "mid_case_diameter", MM: 36}}}
	k := gate.Known{Maker: &refbook.Maker{Name: "Torm"}, Reference: &ref}
	for _, d := range gate.Doubts(&evidence.Dimension{What: "mid_case_diameter", MM: 3.59}, k) {
		fmt.Println(d.Says)
	}
	// Output: 3.59 mm; the book has 36.0 mm for the mid-case diameter. Did you mean 35.9?
}

package staff_test

import (
	"fmt"

	"midcase/internal/shop/staff"
)

func ExampleKnown() {
	people := []staff.Person{{Name: "Ines Vale", Role: "sales"}}
	p, ok := staff.Known(people, "  ines VALE ")
	fmt.Println(p.Name, p.Role, ok)
	_, ok = staff.Known(people, "Ines")
	fmt.Println(ok)
	// Output:
	// Ines Vale sales true
	// false
}

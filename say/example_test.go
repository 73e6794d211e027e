package say_test

import (
	"fmt"

	"midcase/edtf"
	"midcase/say"
)

func Example() {
	s := say.Verbatim("Kept as it was typed.")
	fmt.Println(s)
	v, low, high, _ := say.Rounded(12313, 9545, 15885, 0)
	fmt.Println(v, low, high)
	fmt.Println(say.Span("made", edtf.MonthOf(1968, 5), edtf.MonthOf(1969, 11)).Value)
	// Output:
	// Kept as it was typed.
	// 12300 9500 15900
	// {1968-05 1969-11}
}

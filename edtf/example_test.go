package edtf_test

import (
	"fmt"

	"midcase/edtf"
)

// A vague date keeps its text and knows the days that it may mean.
func ExampleParse() {
	d, err := edtf.Parse("196X~")
	if err != nil {
		fmt.Println(err)
		return
	}
	first, _ := d.FirstMonth()
	last, _ := d.LastMonth()
	fmt.Println(d, first, last, d.Vague())
	_, err = edtf.Parse("1965/1962")
	fmt.Println(err)
	// Output:
	// 196X~ 1960-01 1969-12 true
	// date "1965/1962": ends before it begins
}

// Months count and subtract as plain integers.
func ExampleMonth() {
	a, b := edtf.MonthOf(1968, 11), edtf.MonthOf(1969, 2)
	fmt.Println(int(b-a), a+2)
	// Output: 3 1969-01
}

package hand_test

import (
	"fmt"

	"midcase/hand"
)

// What the program would tell changed after the text was edited: its change is taken, our
// sentence stays.
func ExampleMerge() {
	was := "Made between 1964 and 1967.\n\nPrice: 9,850 EUR."
	now := "Made between 1964 and 1967.\n\nPrice: 9,400 EUR."
	ours := "Made between 1964 and 1967. It can be seen in our rooms.\n\nPrice: 9,850 EUR."
	m := hand.Merge(was, now, ours, nil)
	fmt.Println(m.Text)
	fmt.Println(m.Changes[0].Was, "→", m.Changes[0].Now)
	// Output:
	// Made between 1964 and 1967. It can be seen in our rooms.
	//
	// Price: 9,400 EUR.
	// Price: 9,850 EUR. → Price: 9,400 EUR.
}

package examples_test

import (
	"fmt"
	"strings"

	"midcase/examples"
)

// Three bezels seen on watches of one reference, whose book has the second one two years late.
func Example() {
	table := "serial,made,bezel\n"
	for i := range 30 {
		version := "wide"
		if i >= 15 {
			version = "narrow"
		}
		table += fmt.Sprintf(",%d-%02d,%s\n", 1962+i/6, 1+2*(i%6), version)
	}
	seen, _, err := examples.Read(strings.NewReader(table), "seen.csv", "Lindgard", "L-9")
	if err != nil {
		panic(err)
	}
	for _, l := range examples.LearnAll(book(), seen, "") {
		s := l.Slots[0]
		fmt.Println(s.Says)
		fmt.Println(s.Proposals[0].Made, s.Proposals[1].Made)
	}
	// Output:
	// The bezel: 30 examples speak for 2 changes of the book.
	// 1962-01/1964-06~ 1964-07~/1967-12
}

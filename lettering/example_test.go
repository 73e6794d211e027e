package lettering_test

import (
	"fmt"

	"midcase/evidence"
	"midcase/gate"
	"midcase/lettering"
)

// A number read beside one on record.
func ExamplePropose() {
	file := evidence.File{Items: []evidence.Item{{Data: &evidence.Mark{What: evidence.MarkSerial, Text: "26413"}}}}
	line := []lettering.Word{{Text: "264I8", Sure: 0.91}}
	for _, p := range lettering.Propose([][]lettering.Word{line}, evidence.CaseBack, gate.Known{File: file}) {
		fmt.Println(p.Mark.What, p.Mark.Text)
		fmt.Println(p.Says[0])
	}
	// Output:
	// serial 26418
	// The file says 26413: figure 5 differs. Look again at both.
}

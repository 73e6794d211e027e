package condition_test

import (
	"fmt"

	"midcase/condition"
)

func ExampleGrade() {
	r, err := condition.Grade(condition.Input{
		Findings: []condition.Finding{
			{ID: "ev1", Slot: "case", Term: "unpolished"},
			{ID: "ev2", Slot: "case", Term: "scratches", Severity: 1},
			{ID: "ev3", Slot: "dial", Term: "refinished", Severity: 2},
		},
		Measures: []condition.Measure{{ID: "ev4", Kind: "stretch_droop", Value: 12, FreeLengthMM: 100}},
		Fitted:   []string{"hands"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range r.Slots {
		fmt.Printf("%-8s %.1f  %s\n", s.Slot, s.Grade, s.Reasons[0].Says)
	}
	fmt.Printf("overall %.1f (%.1f to %.1f), %s, held down by %s\n", r.Overall, r.Low, r.High,
		condition.GradeWords(r.Overall), r.HeldBy)
	// Output:
	// case     8.7  scratches: hairlines, seen only at an angle
	// dial     4.0  refinished: well done
	// hands    7.5  not examined
	// bracelet 7.5  bracelet droop: 12.0 mm over 100 mm
	// overall 5.4 (3.2 to 6.0), worn, held down by dial
}

func ExampleRank() {
	r, err := condition.Rank([]string{"A", "B", "C"}, []condition.Comparison{
		{A: "A", B: "B", Result: 1, Weight: 3}, {A: "B", B: "C", Result: 1, Weight: 3}, {A: "A", B: "C", Result: 0.5},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range r.Standings {
		fmt.Printf("%s %.2f ± %.2f\n", s.Example, s.Ability+1e-9, s.SE) // without the sign of a zero
	}
	p, _ := r.PBetter("A", "C")
	fmt.Printf("%.2f\n", p)
	// Output:
	// A 0.99 ± 1.11
	// B 0.00 ± 1.02
	// C -0.99 ± 1.11
	// 0.94
}

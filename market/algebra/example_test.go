package algebra_test

import (
	"fmt"

	"midcase/market/algebra"
)

// Two makers under one market: the first has four sales about 10, the second one sale
// of 20, which is drawn further to the mean of the market.
func ExampleSystem_Solve() {
	s := &algebra.System{
		Parent: []int32{-1, 0, 0},
		Level:  []uint8{algebra.LevelRoot, algebra.LevelMaker, algebra.LevelMaker},
		Weight: []float64{0, 4, 1},
		Cross:  make([]algebra.Sparse, 3),
	}
	s.Link[algebra.LevelRoot], s.Link[algebra.LevelMaker] = 1e-9, 1
	fmt.Println(s.Factor())
	theta, _ := s.Solve([]float64{0, 4 * 10, 1 * 20}, nil)
	fmt.Printf("%.2f\n", theta)
	// Output:
	// true
	// [13.85 10.77 16.92]
}

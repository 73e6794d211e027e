package metal_test

import (
	"fmt"

	"midcase/metal"
	"midcase/money"
)

func ExampleFineWeight() {
	fine, err := metal.FineWeight([]metal.Part{{Name: "case", G: 30, UG: 0.01, Permille: 750}})
	if err != nil {
		fmt.Println(err)
		return
	}
	floor, err := metal.MeltFloor(fine.G, fine.UG, money.MustParse("2000", "EUR"), 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f g fine, melt floor %s\n", fine.G, floor.Amount)
	// Output: 22.5 g fine, melt floor 1446.78 EUR
}

func ExampleDensity() {
	d, err := metal.Density(20.000, 0.005, 18.700, 0.005, 25)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := metal.CompareMark(d.GPerCM3, d.U, metal.Gold, 585, "yellow")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f g/cm³ %s\n", d.GPerCM3, c.Says)
	// Output: 15.32 g/cm³ contradicts a mark of yellow gold 585 for a solid part without bubbles; it would suit 18 karat yellow gold, 18 karat white gold or 18 karat rose gold
}

func ExampleReadHallmark() {
	m, _ := metal.ReadHallmark("18K 0,750")
	fmt.Println(m.Permille, m.Element())
	plated, _ := metal.ReadHallmark("1/20 14K G.F.")
	fmt.Println(plated.Says[1])
	// Output: 750 gold
	// The precious metal is only a layer and counts nothing towards the fine weight.
}

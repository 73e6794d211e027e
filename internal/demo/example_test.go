package demo_test

import (
	"fmt"

	"midcase/internal/demo"
)

func ExampleNewWorld() {
	w := demo.NewWorld(1)
	fmt.Println(len(w.Watches), "watches,", len(w.Sales), "sales,", len(w.Clients), "clients")
	x := w.Watches[1]
	fmt.Println(x.File, w.Truth[x.File].Problems)
	for _, quarter := range []string{"2019-Q4", "2023-Q1"} {
		q, _ := demo.ParseQuarter(quarter)
		fmt.Printf("gold over steel, %s: %.0f %%\n", q, 100*w.TruePremium(q))
	}
	// Output:
	// 60 watches, 12000 sales, 25 clients
	// 02-corvane-kr-1.json [wrong_period_hands]
	// gold over steel, 2019-Q4: 25 %
	// gold over steel, 2023-Q1: 72 %
}

package bank_test

import (
	"fmt"
	"time"

	"midcase/internal/bank"
	"midcase/money"
)

func ExampleMatch() {
	all, err := bank.Read([]byte("Date,Description,Amount\n2026-11-02,Invoice 2026-0001,8200.00\n"),
		bank.Options{Currency: "EUR", Now: time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := bank.Match(all[0].Lines,
		[]bank.Open{{ID: "1", Name: "B. Buyer", Numbers: []string{"2026-0001"}, Since: "2026-10-20",
			Amount: money.MustParse("8200", "EUR")}})
	fmt.Println(p[0].Parts[0].Open.Name, p[0].Sure, p[0].Why)
	// Output: B. Buyer 0.99 [number amount]
}

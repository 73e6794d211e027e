package money_test

import (
	"fmt"

	"midcase/money"
)

// Amounts add exactly, and only within one currency.
func ExampleMoney_Add() {
	price, fee := money.MustParse("4200.10", "EUR"), money.MustParse("0.20", "EUR")
	total, err := price.Add(fee)
	fmt.Println(total, err)
	_, err = price.Add(money.MustParse("10", "JPY"))
	fmt.Println(err)
	// Output:
	// 4200.30 EUR <nil>
	// 4200.10 EUR + 10 JPY: amounts are in different currencies
}

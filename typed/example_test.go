package typed_test

import (
	"fmt"

	"midcase/typed"
)

func ExampleCheck() {
	client := struct {
		Name string `json:"name"`
		Note string `json:"note" typed:"text"`
	}{"Selma\x00Lund", "Calls on Mondays.\nPrefers steel."}
	for _, f := range typed.Check(client) {
		fmt.Printf("%s: found %s; want %s\n", f.Field, f.Found, f.Want)
	}
	// Output:
	// name: found the control character U+0000 after "Selma"; want text without control characters
}

func ExampleCell() {
	fmt.Println(typed.Cell("=HYPERLINK(1)"), typed.Cell("-12.50"), typed.Cell("KR-1"))
	// Output:
	// '=HYPERLINK(1) -12.50 KR-1
}

func ExampleRefusal() {
	fmt.Println("price:", typed.Refusal("-5.00 EUR", "an amount above zero"))
	fmt.Println("day:", typed.Refusal("nothing", "a day such as 2026-03-01"))
	fmt.Println("kind:", typed.Refusal(`"soup"`, "one of mark or finding"))
	fmt.Println("kind:", typed.Refusal(`""`, "one of mark or finding"))
	// Output:
	// price: -5.00 EUR will not do; give an amount above zero
	// day: give a day such as 2026-03-01
	// kind: “soup” will not do; give one of mark or finding
	// kind: give one of mark or finding
}

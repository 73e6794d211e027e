package form_test

import (
	"fmt"
	"net/http/httptest"

	"midcase/internal/web/form"
)

type weighing struct {
	What  string  `form:"what,needed" label:"What was weighed" choices:"watch=whole watch|head=head, without bracelet"`
	Grams float64 `form:"g,needed" label:"Mass" unit:"g"`
}

var weighingForm = form.Define[weighing]("weighing")

func Example() {
	r := httptest.NewRequest("GET", "/?what=head&g=heavy", nil)
	f, err := weighingForm.Read(r, weighing{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.V.What, f.OK())
	fmt.Println(f.Field(&f.V.Grams).Error)
	// Output:
	// head false
	// “heavy” is not a number. Enter a number in g, for example 36.4.
}

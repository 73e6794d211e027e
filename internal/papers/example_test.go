package papers_test

import (
	"fmt"

	"midcase/internal/papers"
	"midcase/internal/shop"
)

// The forms in which an invoice is made: to print, to read, to keep, and for programs.
func ExampleForms() {
	fmt.Println(papers.Forms(shop.PaperInvoice))
	fmt.Println(papers.Forms(shop.PaperReport))
	// Output:
	// [pdf md json jsonld xml]
	// [pdf md]
}

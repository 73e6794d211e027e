package shoptest

import (
	"bytes"
	"testing"

	"midcase/internal/demo"
)

// everyTenth of the demo's sales are enough to value by.
const everyTenth = 10

// WithSales adds a tenth of the demo's sales.
func (b *Bench) WithSales(t testing.TB) *Bench {
	t.Helper()
	world := demo.NewWorld(1)
	sales := world.Sales[:0:0]
	for i := range world.Sales {
		if i%everyTenth == 0 {
			sales = append(sales, world.Sales[i])
		}
	}
	world.Sales = sales
	var csv bytes.Buffer
	if err := world.WriteSales(&csv); err != nil {
		t.Fatal(err)
	}
	if _, err := b.ImportSales(t.Context(), &csv, "sales.csv"); err != nil {
		t.Fatal(err)
	}
	return b
}

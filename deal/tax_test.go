package deal

import "testing"

func TestTaxDue(t *testing.T) {
	for _, c := range []struct {
		name           string
		tax            Tax
		purchase, sale float64
		want           float64
	}{
		{"published example of a tax office: 1/6 of the margin", Tax{Scheme: MarginTaxed, Rate: 0.20}, 1500, 2000, 83.33},
		{"21 % inside a margin of 500, by the formula", Tax{Scheme: MarginTaxed, Rate: 0.21}, 1000, 1500, 86.78},
		{"no margin, no tax", Tax{Scheme: MarginTaxed, Rate: 0.20}, 2000, 1500, 0},
		{"ordinary", Tax{Scheme: Ordinary, Rate: 0.20}, 1500, 1200, 200},
		{"ordinary, input reclaimed", Tax{Scheme: Ordinary, Rate: 0.20, RecoverInput: true}, 600, 1200, 100},
		{"none", Tax{Scheme: NoTax, Rate: 0.20}, 600, 1200, 0},
		{"empty is none", Tax{Rate: 0.20}, 600, 1200, 0},
	} {
		within(t, c.name, c.tax.Due(c.purchase, c.sale), c.want, 0.005)
	}
}

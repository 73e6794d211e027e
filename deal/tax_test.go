package deal

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"midcase/money"
)

// Worked examples. Margin scheme: EU Directive 2006/112, Art. 315; 1,500 → 2,000 at
// 20 % is the example of a tax office's public page on margin schemes (one sixth of
// the margin, 83.33). The others follow from the formula.
func TestTaxToTheCent(t *testing.T) {
	for _, c := range []struct {
		name           string
		tax            Tax
		purchase, sale string
		want           string
	}{
		{"published: 1/6 of the margin", Tax{Scheme: MarginTaxed, Rate: 0.20}, "1500", "2000", "83.33"},
		{"21 % inside a margin of 500", Tax{Scheme: MarginTaxed, Rate: 0.21}, "1000", "1500", "86.78"},
		{"19 % inside a margin of 1,190", Tax{Scheme: MarginTaxed, Rate: 0.19}, "2810", "4000", "190.00"},
		{"25 % is a fifth of the margin", Tax{Scheme: MarginTaxed, Rate: 0.25}, "800", "1300.50", "100.10"},
		{"8.1 % inside a margin of 1,081", Tax{Scheme: MarginTaxed, Rate: 0.081}, "4000", "5081", "81.00"},
		{"no margin, no tax", Tax{Scheme: MarginTaxed, Rate: 0.20}, "2000", "1500", "0.00"},
		{"sold at cost", Tax{Scheme: MarginTaxed, Rate: 0.20}, "1500", "1500", "0.00"},
		{"ordinary: a sixth of the price", Tax{Scheme: Ordinary, Rate: 0.20}, "1500", "1200", "200.00"},
		{"ordinary at 19 %", Tax{Scheme: Ordinary, Rate: 0.19}, "500", "1190", "190.00"},
		{"ordinary at 21 %, to the cent", Tax{Scheme: Ordinary, Rate: 0.21}, "500", "999.99", "173.55"},
		{"ordinary, input reclaimed", Tax{Scheme: Ordinary, Rate: 0.20, RecoverInput: true}, "600", "1200", "100.00"},
		{"ordinary, input reclaimed, sold at a loss", Tax{Scheme: Ordinary, Rate: 0.20, RecoverInput: true}, "1200",
			"600", "-100.00"},
		{"none", Tax{Scheme: NoTax, Rate: 0.20}, "600", "1200", "0.00"},
		{"empty is none", Tax{Rate: 0.20}, "600", "1200", "0.00"},
	} {
		purchase, sale := money.MustParse(c.purchase, "EUR"), money.MustParse(c.sale, "EUR")
		due, err := c.tax.DueExact(purchase, sale)
		if err != nil || due.Amount() != c.want {
			t.Errorf("%s: %s %v, want %s", c.name, due, err, c.want)
		}
		within(t, c.name, c.tax.Due(purchase.Float(), sale.Float()), money.MustParse(c.want, "EUR").Float(), 0.005)
	}
}

func TestTaxExactRefuses(t *testing.T) {
	eur, usd := money.MustParse("100", "EUR"), money.MustParse("100", "USD")
	for name, err := range map[string]error{
		"two currencies": second(Tax{Scheme: MarginTaxed, Rate: 0.2}.DueExact(eur, usd)),
		"no amount":      second(Tax{Scheme: Ordinary, Rate: 0.2}.DueExact(money.Money{}, eur)),
		"scheme":         second(Tax{Scheme: "secret", Rate: 0.2}.DueExact(eur, eur)),
		"rate":           second(Tax{Scheme: Ordinary, Rate: math.NaN()}.DueExact(eur, eur)),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second(_ money.Money, err error) error { return err }

// Exact and estimated tax are the same to half a cent.
func TestTaxExactIsDue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tax := Tax{Scheme: rapid.SampledFrom([]string{NoTax, MarginTaxed, Ordinary}).Draw(t, "scheme"),
			Rate: float64(rapid.IntRange(0, 300).Draw(t, "rate")) / 1000, RecoverInput: rapid.Bool().Draw(t, "recover")}
		a, err := money.Round(rapid.Float64Range(0, 1e6).Draw(t, "purchase"), "EUR")
		if err != nil {
			t.Fatal(err)
		}
		b, err := money.Round(rapid.Float64Range(0, 1e6).Draw(t, "sale"), "EUR")
		if err != nil {
			t.Fatal(err)
		}
		due, err := tax.DueExact(a, b)
		if err != nil {
			t.Fatal(err)
		}
		if want := tax.Due(a.Float(), b.Float()); math.Abs(due.Float()-want) > 0.005+1e-9*math.Abs(want) {
			t.Fatalf("%s, want %g", due, want)
		}
	})
}

// A hammer price of 1,000 with a premium of 25 % and 20 % tax on the premium: the
// buyer pays 1,250 without and 1,300 with the tax (common practice, no published
// source; the arithmetic is the check).
func TestBuyersPremium(t *testing.T) {
	plain := BuyersPremium{Tiers: []Tier{{0, 0.25}}}
	taxed := BuyersPremium{Tiers: []Tier{{0, 0.25}}, TaxRate: 0.20}
	tiers := BuyersPremium{Tiers: []Tier{{0, 0.26}, {800_000, 0.21}, {4_000_000, 0.15}}, TaxRate: 0.20}
	for _, c := range []struct {
		name         string
		p            BuyersPremium
		hammer, want float64
	}{
		{"without tax", plain, 1000, 1250},
		{"with tax on the premium", taxed, 1000, 1300},
		{"no premium", BuyersPremium{TaxRate: 0.2}, 1000, 1000},
		{"first tier", tiers, 100_000, 100_000 + 1.2*26_000},
		{"at the edge", tiers, 800_000, 800_000 + 1.2*208_000},
		{"second tier", tiers, 1_000_000, 1_000_000 + 1.2*(208_000+42_000)},
		{"third tier", tiers, 5_000_000, 5_000_000 + 1.2*(208_000+672_000+150_000)},
	} {
		within(t, c.name, c.p.AllIn(c.hammer), c.want, 1e-6)
		within(t, c.name+", backwards", c.p.Hammer(c.want), c.hammer, 1e-6)
	}
}

func TestHammerIsAllInBackwards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := BuyersPremium{TaxRate: rapid.Float64Range(0, 0.3).Draw(t, "tax")}
		over := 0.0
		for range rapid.IntRange(0, 4).Draw(t, "tiers") {
			over += rapid.Float64Range(0.01, 1e5).Draw(t, "width")
			p.Tiers = append(p.Tiers, Tier{over, rapid.Float64Range(0, 0.4).Draw(t, "share")})
		}
		h := rapid.Float64Range(0, 1e6).Draw(t, "hammer")
		if got := p.Hammer(p.AllIn(h)); math.Abs(got-h) > 1e-9*(1+h) {
			t.Fatalf("%g, want %g", got, h)
		}
	})
}

func TestFeeOfSale(t *testing.T) {
	for _, c := range []struct {
		name string
		fee  Fee
		sale float64
		want float64
	}{
		{"percentage and fixed", Fee{ShareOfSale: 0.03, Fixed: 20}, 1000, 50},
		{"tiers", Fee{Tiers: []Tier{{0, 0.10}, {1000, 0.05}}}, 3000, 200},
		{"under the least", Fee{ShareOfSale: 0.10, Least: 150}, 1000, 150},
		{"over the least", Fee{ShareOfSale: 0.10, Least: 150}, 2000, 200},
		{"tax on commission", Fee{ShareOfSale: 0.10, Fixed: 50, TaxRate: 0.20}, 1000, 180},
	} {
		within(t, c.name, c.fee.ofSale(c.sale), c.want, 1e-9)
	}
}

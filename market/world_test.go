package market_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"midcase/market"
	"midcase/money"
)

// invented draws sales of an invented market of two makers.
func invented(n int, seed uint64) []market.Sale {
	r := rand.New(rand.NewPCG(seed, 1))
	var out []market.Sale
	for i := 0; i < n; i++ {
		ref := int(12 * r.Float64() * r.Float64())
		metal := []string{"steel", "steel", "gold"}[r.IntN(3)]
		day := time.Date(2018, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, r.IntN(6*365))
		cond := math.Round(2*(7+r.NormFloat64())) / 2
		cond = min(10, max(1, cond))
		years := day.Sub(time.Date(2018, 1, 1, 0, 0, 0, 0, time.UTC)).Hours() / 8766
		y := 8 + 0.2*float64(ref) + 0.03*years + 0.08*(cond-7) + 0.08*r.NormFloat64()
		if metal == "gold" {
			y += 0.8
		}
		if ref%2 == 1 {
			y += 0.5
		}
		s := market.Sale{
			Line: i + 2, Date: day.Format(time.DateOnly), Maker: fmt.Sprintf("Maker %d", ref%2),
			Family:    fmt.Sprintf("Family %d", ref%4),
			Reference: fmt.Sprintf("R%d", ref), Metal: metal, Dial: []string{"black", "silver"}[r.IntN(2)],
			Year:         1960 + r.IntN(20),
			Completeness: []string{"watch", "papers", "full"}[r.IntN(3)], Venue: "dealer", Basis: "sold",
		}
		if r.IntN(3) == 0 {
			s.Venue, s.Basis = "auction", "hammer"
			y -= 0.2
		}
		s.Price, _ = money.Round(math.Exp(y), "EUR")
		if r.IntN(5) > 0 {
			s.Condition = &cond
		}
		out = append(out, s)
	}
	return out
}

func table(t testing.TB, sales []market.Sale) *market.Table {
	t.Helper()
	tab, err := market.NewTable(sales)
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

func fitted(t testing.TB, sales []market.Sale) *market.Model {
	t.Helper()
	m, _, err := market.Fit(table(t, sales), market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func grade(v float64) *float64 { return &v }

var (
	today   = time.Date(2024, 1, 15, 0, 0, 0, 0, time.UTC)
	subject = market.Subject{Maker: "Maker 0", Family: "Family 2", Reference: "R2", Metal: "steel", Dial: "black",
		Year: 1968, Condition: grade(8), Completeness: "papers"}
)

func value(t testing.TB, m *market.Model, s market.Subject) *market.Valuation {
	t.Helper()
	v, err := m.Value(s, today, market.Retail)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

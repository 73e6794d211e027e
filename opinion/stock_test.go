package opinion_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"midcase/deal"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// tradedWorld is an invented market of momentum and drift, with what each reference is
// truly worth in each quarter.
func tradedWorld(t *testing.T, seed uint64) (sales []market.Sale, truth func(ref, quarter int) float64) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 4))
	const refs, quarters = 30, 48
	index, step := make([]float64, quarters), 0.0
	for q := 1; q < quarters; q++ {
		step = 0.005 + 0.4*(step-0.005) + 0.02*r.NormFloat64()
		index[q] = index[q-1] + step
	}
	level := make([]float64, refs)
	for k := range level {
		level[k] = 8 + 0.5*r.NormFloat64()
	}
	truth = func(ref, q int) float64 { return level[ref] + index[q] }
	for i := range 2000 {
		k, days := int(refs*r.Float64()*r.Float64()), r.IntN(12*365)
		at := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, days)
		q := min(quarters-1, 4*(at.Year()-2010)+(int(at.Month())-1)/3)
		s := market.Sale{Line: i + 2, Date: at.Format(time.DateOnly), Maker: "Aster", Family: fmt.Sprintf("F%d", k%6),
			Reference: fmt.Sprintf("R%d", k), Metal: "steel", Venue: "dealer", Basis: "sold"}
		var err error
		if s.Price, err = money.Round(math.Exp(truth(k, q)+0.12*r.NormFloat64()), "EUR"); err != nil {
			t.Fatal(err)
		}
		sales = append(sales, s)
	}
	return sales, truth
}

// Over held-out years the 90 % range of a stock, five of some references, holds what it
// fetched a year later about nine times in ten. The market moves by other rules than the
// model's, and truth is the simulator's.
func TestStockRangeHoldsHeldOutYears(t *testing.T) {
	if testing.Short() {
		t.Skip("a study")
	}
	in, all := 0, 0
	for seed := uint64(1); seed <= 14; seed++ {
		sales, truth := tradedWorld(t, seed)
		r := rand.New(rand.NewPCG(seed, 9))
		table, err := market.NewTable(sales)
		if err != nil {
			t.Fatal(err)
		}
		for year := 2015; year <= 2020; year++ {
			asOf := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
			m, _, err := market.Fit(table, market.Options{AsOf: asOf})
			if err != nil {
				t.Fatal(err)
			}
			var stock []deal.Holding
			fetched := 0.0
			for i := range 30 {
				k := r.IntN(30)
				if i < 10 {
					k = i / 5
				}
				v, err := m.Predict(market.Subject{Maker: "Aster", Family: fmt.Sprintf("F%d", k%6),
					Reference: fmt.Sprintf("R%d", k), Metal: "steel", Venue: "dealer", SaleBasis: "sold"}, asOf, "")
				if err != nil {
					t.Fatal(err)
				}
				sd := v.LogScale
				if v.DoF > 2 {
					sd *= math.Sqrt(v.DoF / (v.DoF - 2))
				}
				shared := math.Min(v.LogShared, sd)
				stock = append(stock, deal.Holding{ID: fmt.Sprint(i), Reference: fmt.Sprint("R", k), Metal: "steel",
					LogMedian: v.LogMedian, SharedLogSD: shared, OwnLogSD: math.Sqrt(sd*sd - shared*shared)})
				fetched += math.Exp(truth(k, 4*(year+1-2010)) + 0.12*r.NormFloat64())
			}
			w, err := opinion.StockWorth(stock, m, asOf, 12, nil, 1)
			if err != nil {
				t.Fatal(err)
			}
			if w.Falls[0].Change >= 0 || !w.Falls[0].All || math.Abs(w.Falls[0].Share+0.1) > 1e-9 {
				t.Fatalf("a general fall by a tenth: %+v", w.Falls[0])
			}
			all++
			if fetched >= w.Interval90.Low() && fetched <= w.Interval90.High() {
				in++
			}
		}
	}
	t.Logf("the range holds %d of %d years", in, all)
	if share := float64(in) / float64(all); share < 0.82 || share > 0.98 {
		t.Errorf("the 90 %% range holds what the stock fetched in %d of %d years", in, all)
	}
}

// The movement that a stock counts on is that of a value of the later day.
func TestStockMovesAsValuesDo(t *testing.T) {
	sales, _ := tradedWorld(t, 3)
	table, err := market.NewTable(sales)
	if err != nil {
		t.Fatal(err)
	}
	m, _, err := market.Fit(table, market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := market.Subject{Maker: "Aster", Reference: "R1", Metal: "steel", Venue: "dealer", SaleBasis: "sold"}
	for _, months := range []int{3, 12, 36} {
		now := time.Date(2021, 12, 1, 0, 0, 0, 0, time.UTC)
		a, err := m.Predict(s, now, "")
		if err != nil {
			t.Fatal(err)
		}
		b, err := m.Predict(s, now.AddDate(0, months, 0), "")
		if err != nil {
			t.Fatal(err)
		}
		ahead := m.Outlook(now, float64(months))
		if d := b.LogMedian - a.LogMedian - ahead.Common.Mean; math.Abs(d) > 1e-9 {
			t.Errorf("%d months: the median differs by %g", months, d)
		}
		// The range of the later value has the common movement in it.
		if grown := b.LogShared*b.LogShared - a.LogShared*a.LogShared; grown > ahead.Common.SD*ahead.Common.SD*1.3 {
			t.Errorf("%d months: the value's variance grows by %g, the stock counts on %g", months, grown,
				ahead.Common.SD*ahead.Common.SD)
		}
	}
}

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

// families is an invented market in which each family pays its own premium for gold,
// which rises there when and as far as it will.
type families struct {
	sales []market.Sale
	truth []func(quarter float64) float64 // log premium by family
}

// byRow sells every reference in both metals; otherwise each has its own, and references
// differ by refSD.
func inFamilies(n int, seed uint64, byRow bool, refSD float64) families {
	r := rand.New(rand.NewPCG(seed, 77))
	const count, each, quarters = 8, 6, 40
	w := families{}
	level := make([]float64, count)
	for range count {
		low, rise, at := 0.3+0.2*r.NormFloat64(), 0.3*r.Float64(), 8+24*r.Float64()
		w.truth = append(w.truth, func(q float64) float64 { return low + rise/(1+math.Exp((at-q)/2)) })
	}
	refs := make([]float64, count*each)
	for k := range refs {
		refs[k] = refSD * r.NormFloat64()
	}
	index := make([]float64, quarters)
	for q := 1; q < quarters; q++ {
		index[q] = index[q-1] + 0.01 + 0.02*r.NormFloat64()
	}
	for k := range level {
		level[k] = 0.4 * r.NormFloat64()
	}
	for len(w.sales) < n {
		k := r.IntN(count)
		if r.IntN(5) < 2 {
			k = r.IntN(3)
		}
		ref, day := k+count*r.IntN(each), day(2014, 1, 1).AddDate(0, 0, r.IntN(3652))
		q := min(quarters-1, (day.Year()-2014)*4+(int(day.Month())-1)/3)
		gold := !byRow && ref/count%2 == 1 || byRow && r.Float64() < 0.4
		cond := math.Min(10, math.Max(1, math.Round(2*(7+1.2*r.NormFloat64()))/2))
		metal := "steel"
		if gold { // kept better
			metal, cond = "gold18", math.Min(10, cond+0.5)
		}
		dial := r.IntN(4)
		y := 8 + level[k] + refs[ref] + index[q] + 0.08*(cond-7) + 0.05*float64(dial) + 0.1*studentFour(r)
		if gold {
			y += w.truth[k](float64(q) + 0.5)
		}
		s := market.Sale{Line: len(w.sales) + 2, Date: day.Format(time.DateOnly), Maker: fmt.Sprintf("Maker %d", k%3),
			Family: fmt.Sprintf("F%d", k), Reference: fmt.Sprintf("R%d", ref), Metal: metal,
			Dial: fmt.Sprintf("dial %d", dial), Year: 1960 + r.IntN(10), Condition: &cond, Venue: "dealer",
			Basis: "sold"}
		s.Price, _ = money.Round(math.Exp(y), "EUR")
		w.sales = append(w.sales, s)
	}
	return w
}

// studentFour draws from Student's t with four degrees of freedom.
func studentFour(r *rand.Rand) float64 {
	var sum float64
	for range 4 {
		x := r.NormFloat64()
		sum += x * x
	}
	return r.NormFloat64() / math.Sqrt(sum/4)
}

// Where families pay differently for gold, a family's own premium is near the truth, its
// band holds it in about nine quarters of ten, and the pooled one is far off.
func TestPremiumWithinFamilies(t *testing.T) {
	if testing.Short() {
		t.Skip("a study")
	}
	for _, c := range []struct {
		name        string
		n           int
		byRow       bool
		refSD       float64
		most        float64 // root mean square error, points
		least, high float64 // coverage
	}{
		{"references in both metals", 3000, true, 0.2, 8, 0.86, 0.98},
		{"few sales", 800, true, 0.2, 12, 0.86, 0.98},
		{"each reference in one metal, alike", 2000, false, 0.01, 8, 0.88, 1},
		{"each reference in one metal, unlike", 2000, false, 0.2, 45, 0.74, 0.97},
	} {
		t.Run(c.name, func(t *testing.T) {
			var own, pooled, in, all float64
			for seed := uint64(1); seed <= 5; seed++ {
				w := inFamilies(c.n, seed, c.byRow, c.refSD)
				m := fitted(t, w.sales)
				of, err := m.Premium("metal", "gold18", "steel")
				if err != nil {
					t.Fatal(err)
				}
				for k, truth := range w.truth {
					p, err := m.PremiumIn(market.Scope{Family: fmt.Sprintf("F%d", k)}, "metal", "gold18", "steel")
					if err != nil {
						t.Fatal(err)
					}
					for q, x := range p {
						v := math.Expm1(truth(float64(q) + 0.5))
						own += (x.Premium - v) * (x.Premium - v)
						pooled += (of[q].Premium - v) * (of[q].Premium - v)
						all++
						if v >= x.Interval[0] && v <= x.Interval[1] {
							in++
						}
					}
				}
			}
			if off := 100 * math.Sqrt(own/all); off > c.most {
				t.Errorf("%.1f points off; the pooled premium is %.1f off", off, 100*math.Sqrt(pooled/all))
			}
			if share := in / all; share < c.least || share > c.high {
				t.Errorf("the band holds the truth in %.0f %% of %.0f quarters", 100*share, all)
			}
		})
	}
}

// Two references in a market that stands still: the difference of the mean log prices,
// and the standard error √(s²/n₁ + s²/n₂) of two samples of known spread (closed form).
func TestOneReferenceOverAnother(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	var sales []market.Sale
	var sum, n [2]float64
	for i := range 1200 {
		k := 0
		if i%3 == 0 {
			k = 1
		}
		y := 8 + 0.4*float64(k) + 0.1*r.NormFloat64()
		s := market.Sale{Date: day(2020, 1+i%12, 1+i%28).Format(time.DateOnly), Maker: "Aster",
			Family: "One", Reference: fmt.Sprintf("R%d", k), Line: i + 2}
		s.Price, _ = money.Round(math.Exp(y), "EUR")
		sum[k] += y
		n[k]++
		sales = append(sales, s)
	}
	m, _, err := market.Fit(table(t, sales), market.Options{DegreesOfFreedom: 50})
	if err != nil {
		t.Fatal(err)
	}
	p, err := m.PremiumOver(market.Scope{Reference: "R1"}, market.Scope{Maker: "aster", Reference: "r0"})
	if err != nil {
		t.Fatal(err)
	}
	want, se := sum[1]/n[1]-sum[0]/n[0], 0.1*math.Sqrt(1/n[0]+1/n[1])
	for _, x := range p {
		if d := math.Log1p(x.Premium); math.Abs(d-want) > 1.5*se {
			t.Errorf("%s: %.4f in logs, want %.4f", x.Quarter, d, want)
		}
		half := math.Log((1+x.Interval[1])/(1+x.Interval[0])) / 2
		if half < 1.645*se || half > 3*1.645*se { // the walk may have moved
			t.Errorf("%s: ± %.4f, the two samples alone ± %.4f", x.Quarter, half, 1.645*se)
		}
	}
	back, err := m.PremiumOver(market.Scope{Reference: "R0"}, market.Scope{Reference: "R1"})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "there and back", (1+back[0].Premium)*(1+p[0].Premium), 1, 1e-6)
}

func TestPremiumWithinRefuses(t *testing.T) {
	m := fitted(t, invented(800, 20))
	for name, ask := range map[string]func() ([]market.PremiumPoint, error){
		"nobody": func() ([]market.PremiumPoint, error) {
			return m.PremiumIn(market.Scope{Maker: "nobody"}, "metal", "gold", "steel")
		},
		"no such metal": func() ([]market.PremiumPoint, error) {
			return m.PremiumIn(market.Scope{Maker: "Maker 0"}, "metal", "tin", "steel")
		},
		"over itself": func() ([]market.PremiumPoint, error) {
			return m.PremiumIn(market.Scope{Maker: "Maker 0"}, "metal", "gold", "GOLD")
		},
		"grades": func() ([]market.PremiumPoint, error) {
			return m.PremiumIn(market.Scope{Maker: "Maker 0"}, "condition", "8", "7")
		},
		"one holds the other": func() ([]market.PremiumPoint, error) {
			return m.PremiumOver(market.Scope{Maker: "Maker 0"}, market.Scope{Reference: "R2"})
		},
	} {
		if p, err := ask(); err == nil {
			t.Errorf("%s: %v", name, p)
		}
	}
	whole, err := m.PremiumIn(market.Scope{}, "metal", "gold", "steel")
	pooled, _ := m.Premium("metal", "gold", "steel")
	if err != nil || asJSON(t, whole) != asJSON(t, pooled) {
		t.Errorf("no scope: %v, %v", whole, err)
	}
	if p, err := m.PremiumIn(market.Scope{Family: "family 1"}, "dial", "black", "silver"); err != nil ||
		math.Abs(p[0].Premium) > 0.1 {
		t.Errorf("dials: %v, %v", p, err)
	}
}

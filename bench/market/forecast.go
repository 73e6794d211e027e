package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"midcase/market"
	"midcase/money"
)

// drift is a market whose prices move in its own way, for which the model was not made:
// how the index steps, how families leave it, how far prices scatter.
type driftWorld struct {
	name     string
	sales    int
	families int
	each     int // references of a family
	dof      float64
	mistakes float64
	path     func(r *rand.Rand, quarters int) []float64
	apart    float64 // standard deviation a quarter by which a family leaves the market
}

func steps(next func(r *rand.Rand, before float64) float64) func(*rand.Rand, int) []float64 {
	return func(r *rand.Rand, n int) []float64 {
		out, step := make([]float64, n), 0.0
		for q := 1; q < n; q++ {
			step = next(r, step)
			out[q] = out[q-1] + step
		}
		return out
	}
}

// cycles are years of steady rise and fall, each of another pace.
func cycles(pace float64) func(*rand.Rand, int) []float64 {
	return func(r *rand.Rand, n int) []float64 {
		out, left, slope := make([]float64, n), 0, 0.0
		for q := 1; q < n; q++ {
			if left == 0 {
				left, slope = 5+r.IntN(16), 0.01+pace*r.NormFloat64()
			}
			left--
			out[q] = out[q-1] + slope
		}
		return out
	}
}

// walk is a path of independent normal steps around a mean.
func walk(mean, sd float64) func(*rand.Rand, int) []float64 {
	return steps(func(r *rand.Rand, _ float64) float64 { return mean + sd*r.NormFloat64() })
}

// momentum is one whose steps carry on into the next.
func momentum(carry, sd float64) func(*rand.Rand, int) []float64 {
	return steps(func(r *rand.Rand, before float64) float64 { return carry*before + sd*r.NormFloat64() })
}

// jumps is one of Student-t steps.
func jumps(scale, dof float64) func(*rand.Rand, int) []float64 {
	return steps(func(r *rand.Rand, _ float64) float64 { return scale * student(r, dof) })
}

var driftWorlds = []driftWorld{
	{"still", 6000, 12, 6, 4, 0, walk(0, 0), 0},
	{"calm", 6000, 12, 6, 4, 0.005, walk(0.008, 0.01), 0},
	{"restless", 6000, 12, 6, 4, 0, walk(0, 0.04), 0},
	{"momentum", 6000, 12, 6, 5, 0, momentum(0.7, 0.02), 0},
	{"jumps", 6000, 12, 6, 4, 0.005, jumps(0.01, 2.5), 0},
	{"cycles", 6000, 12, 6, 4, 0, cycles(0.02), 0},
	{"boom and bust", 6000, 12, 6, 4, 0, cycles(0.04), 0},
	{"heavy tails", 6000, 12, 6, 2.5, 0.01, walk(0.005, 0.02), 0},
	{"thin families", 1500, 60, 5, 4, 0, walk(0, 0.02), 0},
	{"families apart", 6000, 12, 6, 4, 0, walk(0.005, 0.015), 0.015},
	{"few sales", 400, 6, 4, 5, 0, walk(0, 0.02), 0},
}

// driftYears is how long the sales last; the back-test foretells the last third of them.
const driftYears = 15

func (w driftWorld) draw(seed uint64) ([]market.Sale, error) {
	r := rand.New(rand.NewPCG(seed, 0xda7a))
	quarters := 4 * driftYears
	index, gold := w.path(r, quarters), momentum(0.6, 0.006)(r, quarters)
	apart, family := make([][]float64, w.families), normals(r, w.families, 0.5)
	for k := range apart {
		apart[k] = walk(0, w.apart)(r, quarters)
	}
	refs, scale := normals(r, w.families*w.each, 0.25), make([]float64, w.families*w.each)
	for k := range scale {
		scale[k] = 0.11 * math.Exp(0.3*r.NormFloat64())
	}
	var out []market.Sale
	for i := range w.sales {
		f := int(float64(w.families) * r.Float64() * r.Float64())
		k := f*w.each + r.IntN(w.each)
		days := int(driftYears * 365.25 * math.Pow(r.Float64(), 0.8))
		day := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, days)
		q := min(quarters-1, 4*(day.Year()-2010)+(int(day.Month())-1)/3)
		cond := math.Round(2*math.Min(10, math.Max(1, 7+1.2*r.NormFloat64()))) / 2
		c := channels[r.IntN(len(channels))]
		y := 8 + family[f] + refs[k] + index[q] + apart[f][q] + 0.08*(cond-7)
		s := market.Sale{Line: i + 2, Date: day.Format(time.DateOnly), Maker: fmt.Sprintf("Maker %d", f%5),
			Family: fmt.Sprintf("Family %d", f), Reference: fmt.Sprintf("R%d", k), Metal: "steel", Condition: &cond,
			Venue: c[0], Basis: c[1]}
		if k%3 == 0 {
			s.Metal = "gold18"
			y += 0.3 + gold[q]
		}
		if c[1] == "hammer" {
			y -= 0.22
		}
		y += scale[k] * student(r, w.dof)
		if r.Float64() < w.mistakes {
			y += math.Ln10 * float64(2*r.IntN(2)-1)
		}
		var err error
		if s.Price, err = money.Round(math.Exp(y), "EUR"); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// forecasts prints how many prices the back-test's ranges hold in each world.
func forecasts(seeds int) error {
	fmt.Println("| world | sales | within 50 % | 80 % | 90 % | median error % | bias % |")
	fmt.Println("| --- | --- | --- | --- | --- | --- | --- |")
	for _, w := range driftWorlds {
		var c [3]float64
		var n, err, bias float64
		for seed := range seeds {
			sales, e := w.draw(uint64(seed + 1))
			if e != nil {
				return e
			}
			t, e := market.NewTable(sales)
			if e != nil {
				return e
			}
			r, e := market.Backtest(t, market.Options{Workers: 2})
			if e != nil {
				return e
			}
			for k, l := range []int{50, 80, 90} {
				c[k] += r.Coverage[l] * float64(r.N)
			}
			n += float64(r.N)
			err, bias = err+r.MdAPE*float64(r.N), bias+r.Bias*float64(r.N)
		}
		fmt.Printf("| %s | %d × %d | %.1f | %.1f | %.1f | %.1f | %+.1f |\n", w.name, seeds, w.sales, c[0]/n, c[1]/n,
			c[2]/n, err/n, bias/n)
	}
	fmt.Println()
	return horizons(4 * seeds)
}

// horizons prints how many prices the 90 % range holds so many years after the last sale
// that the model knew.
func horizons(seeds int) error {
	fmt.Println("| world | 1st year: 50 %, 90 % | 2nd | 3rd | 5th |")
	fmt.Println("| --- | --- | --- | --- | --- |")
	for _, w := range driftWorlds {
		w.sales = min(w.sales, 2500)
		var in, half, n [6]float64
		for seed := range seeds {
			sales, err := w.draw(uint64(100 + seed))
			if err != nil {
				return err
			}
			t, err := market.NewTable(sales)
			if err != nil {
				return err
			}
			cut := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
			m, _, err := market.Fit(t, market.Options{AsOf: cut})
			if err != nil {
				return err
			}
			for _, s := range sales {
				day, err := time.Parse(time.DateOnly, s.Date)
				if err != nil || !day.After(cut) {
					continue
				}
				subject := market.Subject{Maker: s.Maker, Family: s.Family, Reference: s.Reference, Metal: s.Metal,
					Condition: s.Condition, Venue: s.Venue, SaleBasis: s.Basis}
				v, err := m.Predict(subject, day, "")
				if err != nil {
					return err
				}
				year, p := day.Year()-cut.Year(), s.Price.Float()
				n[year]++
				if p >= v.Interval[90][0] && p <= v.Interval[90][1] {
					in[year]++
				}
				if p >= v.Interval[50][0] && p <= v.Interval[50][1] {
					half[year]++
				}
			}
		}
		fmt.Printf("| %s |", w.name)
		for _, y := range []int{0, 1, 2, 4} {
			fmt.Printf(" %.0f, %.0f |", 100*half[y]/n[y], 100*in[y]/n[y])
		}
		fmt.Println()
	}
	return nil
}

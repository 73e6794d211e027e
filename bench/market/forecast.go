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

var driftWorlds = []driftWorld{
	{"still", 6000, 12, 6, 4, 0, steps(func(*rand.Rand, float64) float64 { return 0 }), 0},
	{"calm", 6000, 12, 6, 4, 0.005, steps(func(r *rand.Rand, _ float64) float64 { return 0.008 + 0.01*r.NormFloat64() }), 0},
	{"restless", 6000, 12, 6, 4, 0, steps(func(r *rand.Rand, _ float64) float64 { return 0.04 * r.NormFloat64() }), 0},
	{"momentum", 6000, 12, 6, 5, 0, steps(func(r *rand.Rand, s float64) float64 { return 0.7*s + 0.02*r.NormFloat64() }), 0},
	{"jumps", 6000, 12, 6, 4, 0.005, steps(func(r *rand.Rand, _ float64) float64 { return 0.01 * student(r, 2.5) }), 0},
	{"cycles", 6000, 12, 6, 4, 0, cycles(0.02), 0},
	{"boom and bust", 6000, 12, 6, 4, 0, cycles(0.04), 0},
	{"heavy tails", 6000, 12, 6, 2.5, 0.01, steps(func(r *rand.Rand, _ float64) float64 { return 0.005 + 0.02*r.NormFloat64() }), 0},
	{"thin families", 1500, 60, 5, 4, 0, steps(func(r *rand.Rand, _ float64) float64 { return 0.02 * r.NormFloat64() }), 0},
	{"families apart", 6000, 12, 6, 4, 0, steps(func(r *rand.Rand, _ float64) float64 { return 0.005 + 0.015*r.NormFloat64() }), 0.015},
	{"few sales", 400, 6, 4, 5, 0, steps(func(r *rand.Rand, _ float64) float64 { return 0.02 * r.NormFloat64() }), 0},
}

// driftYears is how long the sales last; the back-test foretells the last third of them.
const driftYears = 15

func (w driftWorld) draw(seed uint64) ([]market.Sale, error) {
	r := rand.New(rand.NewPCG(seed, 0xda7a))
	quarters := 4 * driftYears
	index, gold := w.path(r, quarters), steps(func(r *rand.Rand, s float64) float64 { return 0.6*s + 0.006*r.NormFloat64() })(r, quarters)
	apart, family := make([][]float64, w.families), normals(r, w.families, 0.5)
	for k := range apart {
		apart[k] = steps(func(r *rand.Rand, _ float64) float64 { return w.apart * r.NormFloat64() })(r, quarters)
	}
	refs, scale := normals(r, w.families*w.each, 0.25), make([]float64, w.families*w.each)
	for k := range scale {
		scale[k] = 0.11 * math.Exp(0.3*r.NormFloat64())
	}
	var out []market.Sale
	for i := range w.sales {
		f := int(float64(w.families) * r.Float64() * r.Float64())
		k := f*w.each + r.IntN(w.each)
		day := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(driftYears*365.25*math.Pow(r.Float64(), 0.8)))
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
		fmt.Printf("| %s | %d × %d | %.1f | %.1f | %.1f | %.1f | %+.1f |\n", w.name, seeds, w.sales, c[0]/n, c[1]/n, c[2]/n,
			err/n, bias/n)
	}
	return nil
}

package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"sort"
	"time"
)

// shape is a kind of truth to simulate.
type shape struct {
	Name        string
	Premium     string  // steep, none, sudden
	DoF         float64 // of the errors
	MetalByRow  bool    // each reference sells in several metals; otherwise in one
	Missing     float64 // share of sales without condition
	ThinMaker   bool    // one maker has three sales only
	Drift       float64 // of the market, log price a quarter
	MarketSD    float64 // of a quarter's step
	Mistakes    float64 // share of prices off by a factor of ten
	DialByRef   bool    // each reference has a dial of its own beside the common ones
	CurvedGrade bool    // log price is curved in condition
}

var shapes = []shape{
	{Name: "steep premium", Premium: "steep", DoF: 4, MetalByRow: true, Drift: 0.01, MarketSD: 0.015, Mistakes: 0.01},
	{Name: "metal by reference", Premium: "steep", DoF: 4, Missing: 0.1, Drift: 0.01, MarketSD: 0.015, Mistakes: 0.01},
	{Name: "features missing", Premium: "steep", DoF: 4, MetalByRow: true, Missing: 0.2, Drift: 0.01, MarketSD: 0.015,
		Mistakes: 0.01},
	{Name: "no premium change", Premium: "none", DoF: 4, MetalByRow: true, Missing: 0.1, Drift: 0.01, MarketSD: 0.015,
		Mistakes: 0.01},
	{Name: "sudden change", Premium: "sudden", DoF: 4, MetalByRow: true, Missing: 0.1, Drift: 0.01, MarketSD: 0.015,
		Mistakes: 0.01},
	{Name: "heavy tails", Premium: "steep", DoF: 2.5, MetalByRow: true, Missing: 0.1, Drift: 0.01, MarketSD: 0.015,
		Mistakes: 0.03},
	{Name: "maker with three sales", Premium: "steep", DoF: 4, MetalByRow: true, Missing: 0.3, ThinMaker: true,
		MarketSD: 0.02, Mistakes: 0.01},
	{Name: "dials of references, curved condition", Premium: "steep", DoF: 4, Missing: 0.1, DialByRef: true,
		CurvedGrade: true, Drift: 0.01, MarketSD: 0.015, Mistakes: 0.01},
}

const (
	makers, families, references = 8, 40, 300
	referenceSD                  = 0.3 // of log price within a family
	firstYear, years             = 2014, 10
	quarters                     = 4 * years
)

var (
	metals       = []string{"steel", "gold18", "gold14", "platinum"}
	metalShare   = []float64{0.55, 0.3, 0.1, 0.05}
	dials        = []string{"silver", "black", "blue", "white", "champagne"}
	completeness = []string{"watch", "papers", "full"}
	channels     = [][2]string{{"dealer", "sold"}, {"dealer", "asking"}, {"auction", "hammer"}, {"auction", "all-in"},
		{"private", "sold"}, {"trade", "sold"}}
	countries = []string{"AA", "BB", "CC", "DD", "EE"}
)

// sale is a simulated sale with what only the simulator knows.
type sale struct {
	day                                  time.Time
	maker, family, ref                   int
	metal, dial, compl, channel, country int
	year                                 int
	cond, orig                           float64 // NaN where not recorded
	truth                                float64 // true median, log
	scale                                float64 // of its errors
	price                                float64
	test                                 bool
}

// world holds the truth.
type world struct {
	shape
	premium [][]float64 // metal, quarter: log price over steel
	market  []float64
	sales   []sale

	reference []float64 // log price of each reference over its family
}

// simulate draws n sales; the same seed gives the same sales.
func simulate(sh shape, n int, seed uint64) *world {
	r := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	w := &world{shape: sh}
	w.drawMarket(r)
	maker, family := normals(r, makers, 0.6), normals(r, families, 0.4)
	ref, scale := normals(r, references, referenceSD), make([]float64, references)
	refMetal, refYear := make([]int, references), make([]int, references)
	w.reference = ref
	ownDial := normals(r, references, 0.08)
	weight := make([]float64, references)
	for k := range weight {
		weight[k] = 1 / float64(k+1)
		scale[k] = 0.087 * math.Exp(0.35*r.NormFloat64())
		refMetal[k] = pick(r, metalShare)
		refYear[k] = 1950 + r.IntN(40)
	}
	dialEffect, complEffect := normals(r, len(dials), 0.1), []float64{0, 0.07, 0.14}
	channelEffect, countryEffect := []float64{0, 0.06, -0.22, 0, -0.12, -0.2}, normals(r, len(countries), 0.03)
	famOf := r.Perm(references)
	sum := cumulate(weight)
	thin := 0
	for len(w.sales) < n {
		k := search(sum, r.Float64())
		s := sale{ref: k, family: famOf[k] % families}
		s.maker = s.family % makers
		if sh.ThinMaker && s.maker == 7 {
			if thin >= 3 {
				continue
			}
			thin++
		}
		s.day = time.Date(firstYear, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0,
			int(float64(years)*365.25*math.Pow(r.Float64(), 0.8)))
		q := quarterIn(s.day)
		s.metal = refMetal[k]
		if sh.MetalByRow {
			s.metal = pick(r, metalShare)
		}
		s.dial, s.compl, s.channel, s.country = r.IntN(len(dials)), r.IntN(3), r.IntN(len(channels)),
			r.IntN(len(countries))
		s.year = refYear[k] + r.IntN(12)
		s.cond = math.Round(2*math.Min(10, math.Max(1, 7+1.3*r.NormFloat64()))) / 2
		s.orig = math.Round(100*math.Min(1, math.Max(0, 0.9-0.15*r.ExpFloat64()))) / 100
		s.truth = 8.5 + maker[s.maker] + family[s.family] + ref[k] + w.market[q] + w.premium[s.metal][q] +
			dialEffect[s.dial] +
			0.07*(s.cond-7) + complEffect[s.compl] + 0.4*(s.orig-0.85) + channelEffect[s.channel] +
			countryEffect[s.country] - 0.003*float64(s.year-1970)
		if sh.DialByRef && s.dial == 0 {
			s.truth += ownDial[k]
		}
		if sh.CurvedGrade {
			s.truth += 0.012 * (s.cond - 7) * (s.cond - 7)
		}
		s.scale = scale[k]
		s.sell(r, sh)
		w.sales = append(w.sales, s)
	}
	w.split(r)
	return w
}

// sell sets the price, with its error, and loses what was not noted.
func (s *sale) sell(r *rand.Rand, sh shape) {
	y := s.truth + s.scale*student(r, sh.DoF)
	if r.Float64() < sh.Mistakes {
		y += math.Ln10 * float64(2*r.IntN(2)-1)
	}
	s.price = math.Exp(y)
	if r.Float64() < sh.Missing {
		s.cond = math.NaN()
	}
	if r.Float64() < sh.Missing/2 {
		s.orig = math.NaN()
	}
}

// quarterIn counts quarters from the first.
func quarterIn(day time.Time) int {
	return min(quarters-1, (day.Year()-firstYear)*4+(int(day.Month())-1)/3)
}

// split holds out the last tenth by date and a random tenth of the rest.
func (w *world) split(r *rand.Rand) {
	order := make([]int, len(w.sales))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return w.sales[order[a]].day.Before(w.sales[order[b]].day) })
	for k, i := range order {
		w.sales[i].test = k >= len(order)*9/10 || r.Float64() < 0.1
	}
}

func (w *world) drawMarket(r *rand.Rand) {
	w.market = make([]float64, quarters)
	for q := 1; q < quarters; q++ {
		w.market[q] = w.market[q-1] + w.Drift + w.MarketSD*r.NormFloat64()
	}
	level := []float64{0, 0.25, 0.15, 0.35}
	rise := []float64{0, 0.35, 0.2, 0.25}
	w.premium = make([][]float64, len(metals))
	for m := range metals {
		w.premium[m] = make([]float64, quarters)
		for q := range w.premium[m] {
			x := level[m]
			if m > 0 {
				switch w.Premium {
				case "steep": // within three years
					x += rise[m] / (1 + math.Exp(-(float64(q)-22)/2.2))
				case "sudden":
					if q >= 22 {
						x += rise[m]
					}
				}
			}
			w.premium[m][q] = x
		}
	}
}

func normals(r *rand.Rand, n int, sd float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = sd * r.NormFloat64()
	}
	return out
}

func student(r *rand.Rand, dof float64) float64 {
	// Ratio of a normal and the root of a mean of squares (dof may be broken: gamma by Marsaglia and Tsang).
	d := dof/2 - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(1-r.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return r.NormFloat64() / math.Sqrt(2*d*v/dof)
		}
	}
}

func pick(r *rand.Rand, share []float64) int {
	u := r.Float64()
	for k, s := range share {
		if u -= s; u < 0 {
			return k
		}
	}
	return len(share) - 1
}

func cumulate(w []float64) []float64 {
	out := make([]float64, len(w))
	var sum float64
	for i, x := range w {
		sum += x
		out[i] = sum
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

func search(sum []float64, u float64) int { return min(sort.SearchFloat64s(sum, u), len(sum)-1) }

// writeCSV writes the training or the test sales as a sales file.
func (w *world) writeCSV(out io.Writer, test bool) error {
	b := bufio.NewWriterSize(out, 1<<20)
	fmt.Fprintln(b, "date,maker,family,reference,metal,dial,year,condition,completeness,originality,country,venue,basis,price,currency,source")
	for i := range w.sales {
		s := &w.sales[i]
		if s.test != test {
			continue
		}
		cond, orig := "", ""
		if s.cond == s.cond {
			cond = fmt.Sprintf("%g", s.cond)
		}
		if s.orig == s.orig {
			orig = fmt.Sprintf("%g", s.orig)
		}
		c := channels[s.channel]
		fmt.Fprintf(b, "%s,Maker %c,Family %02d,R%03d,%s,%s,%d,%s,%s,%s,%s,%s,%s,%.2f,EUR,list %d\n",
			s.day.Format(time.DateOnly), 'A'+s.maker, s.family, s.ref,
			metals[s.metal], dials[s.dial], s.year, cond, completeness[s.compl], orig, countries[s.country], c[0], c[1],
			s.price, i%500)
	}
	return b.Flush()
}

package deal

import (
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

const daysPerYear = 365.25

// tailP is how far into its tails a Student-t sale price is drawn: its exponential
// has no mean, so the last thousandth at each end is folded in.
const tailP = 0.001

// draws holds one sample of everything uncertain, and how each draw ends. Each source has
// a stream of its own, so that one more cost leaves the other draws as they were.
type draws struct {
	sale    []float64   // what it brings, in the shop's currency
	fees    []float64   // of the sale
	rate    []float64   // of exchange; nil where there is none
	years   []float64   // until it leaves; nil where not known
	givenUp []bool      // sold to the trade in the end; nil where that cannot be
	work    [][]float64 // by cost

	offer  *offer // as it is offered, where it is; what not selling says is in its draws
	ask    float64
	choose *chooser
	again  []int // which draws count, by what not selling says; nil: each once
}

func (in Input) draw() draws {
	return in.drawWith(in.Sale.draw(in.drawCount(), stream(in.Seed, 1)), nil)
}

func (in Input) drawCount() int {
	if in.Draws == 0 {
		return DefaultDraws
	}
	return in.Draws
}

// drawWith draws all but the value, which is given in its own currency, with the buyer's
// premium where there is one, and changed in place. again says which of the values count
// by what not selling on another route says.
func (in Input) drawWith(value []float64, again []int) draws {
	n := len(value)
	d := draws{sale: value}
	if len(in.BuyersPremium.Tiers) > 0 {
		for i, s := range value {
			value[i] = in.BuyersPremium.Hammer(s)
		}
	}
	if e := in.Exchange; e != (Exchange{}) {
		d.rate = make([]float64, n)
		rng := stream(in.Seed, 3)
		for i := range d.rate {
			d.rate[i] = e.PerUnit * math.Exp(e.LogSD*rng.NormFloat64())
		}
	}
	for k, c := range in.Work {
		d.work = append(d.work, c.draw(n, stream(in.Seed, 16+uint64(k))))
	}
	for i := range d.rate {
		value[i] *= d.rate[i]
	}
	if again != nil {
		copy(value, picked(value, again))
	}
	in.sell(&d)
	in.charge(&d)
	return d
}

// charge counts the fees of the sales.
func (in Input) charge(d *draws) {
	leave := in.parting()
	d.fees = make([]float64, len(d.sale))
	for i, s := range d.sale {
		d.fees[i] = leave.costs(s, d.rateAt(i), d.gone(i))
	}
}

func picked(xs []float64, which []int) []float64 {
	out := make([]float64, len(which))
	for j, i := range which {
		out[j] = xs[i]
	}
	return out
}

// sell says for each draw what it brings and when, by the way in which it is sold.
func (in Input) sell(d *draws) {
	switch {
	case in.Listing != nil:
		in.list(d)
		return
	case in.Lot.Reserve > 0:
		in.bid(d)
	}
	if in.TimeToSell != (Weibull{}) {
		d.years = in.TimeToSell.draw(len(d.sale), stream(in.Seed, 2))
	}
}

// bid gives lots under the reserve to the trade.
func (in Input) bid(d *draws) {
	reserve := in.Lot.Reserve * in.medianValue()
	d.givenUp = make([]bool, len(d.sale))
	for i, bid := range d.sale {
		if bid < reserve {
			d.givenUp[i], d.sale[i] = true, in.Lot.Last*bid
		}
	}
}

// list offers the watch at the ask to choose.
func (in Input) list(d *draws) {
	o := in.newOffer(d.sale)
	c := &chooser{in: in, offer: o.sample(searchDraws)}
	c.asks, c.now = in.askedAt()
	if l := in.Listing; l.DaysOnSale > 0 {
		d.again = drawnAgain(o.unsold(l.CurrentAsk/o.unit), in.Seed)
		o = o.pick(d.again, false)
	}
	d.offer, d.choose = o, c
	d.ask = c.asks[c.best(o.days)]
	d.at(d.ask, nil)
}

// at sells every draw of the offer at an ask. Where sells is given, it is filled with the
// days until each would sell were it never given up.
func (d *draws) at(ask float64, sells []float64) {
	o, n := d.offer, len(d.sale)
	a := o.asking(ask / o.unit)
	d.years, d.givenUp = make([]float64, n), make([]bool, n)
	for i := range n {
		f := o.fate(i, &a)
		d.sale[i], d.years[i], d.givenUp[i] = f.price*o.unit, f.leaves/daysPerYear, f.givenUp
		if sells != nil {
			sells[i] = o.sells(i, a.at(o.logU[i]))
		}
	}
}

func (d draws) gone(i int) bool { return d.givenUp != nil && d.givenUp[i] }

// drawnAgain draws each as often as its weight says (systematic resampling), in no order,
// so that a value meets any waiting and any work.
func drawnAgain(weights []float64, seed uint64) []int {
	n, total := len(weights), 0.0
	for _, w := range weights {
		total += w
	}
	out := make([]int, n)
	k, sum := 0, weights[0]
	for j, to := range stream(seed, 5).Perm(n) {
		for k < n-1 && sum < total*(float64(j)+0.5)/float64(n) {
			k++
			sum += weights[k]
		}
		out[to] = k
	}
	return out
}

func (d draws) rateAt(i int) float64 {
	if d.rate == nil {
		return 1
	}
	return d.rate[i]
}

// meanRate is the rate with its uncertainty averaged out.
func (d draws) meanRate() float64 {
	if d.rate == nil {
		return 1
	}
	return mean(d.rate)
}

func stream(seed, which uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, which)) }

// draw takes one normal score from each of n equal shares of probability, which
// takes most of the noise out of the quantiles; nothing else is drawn in order.
func (s Sale) draw(n int, rng *rand.Rand) []float64 {
	out := make([]float64, n)
	log := s.logAt()
	spread, limit := s.tails(rng)
	for i := range out {
		z := quantileNormal((float64(i) + rng.Float64()) / float64(n))
		out[i] = math.Exp(log(clamp(z*spread(), limit)))
	}
	return out
}

// tails gives what a normal score is stretched by, draw by draw, to be a Student-t,
// and where it ends.
func (s Sale) tails(rng *rand.Rand) (spread func() float64, limit float64) {
	if len(s.Quantiles) > 0 || s.DoF == 0 || math.IsInf(s.DoF, 1) {
		return func() float64 { return 1 }, math.Inf(1)
	}
	return func() float64 { return math.Sqrt(s.DoF / chiSquare(s.DoF, rng)) },
		distuv.StudentsT{Mu: 0, Sigma: 1, Nu: s.DoF}.Quantile(1 - tailP)
}

func clamp(x, limit float64) float64 { return max(-limit, min(limit, x)) }

func quantileNormal(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// chiSquare draws from χ² with ν degrees of freedom as twice a gamma variate
// (Marsaglia and Tsang 2000, ACM TOMS 26, 363–372); ν is 1 or more.
func chiSquare(nu float64, rng *rand.Rand) float64 {
	shape, boost := nu/2, 1.0
	if shape < 1 {
		boost = math.Pow(1-rng.Float64(), 1/shape)
		shape++
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		u := 1 - rng.Float64()
		if u < 1-0.0331*x*x*x*x || math.Log(u) < 0.5*x*x+d*(1-v+math.Log(v)) {
			return 2 * d * v * boost
		}
	}
}

// logAt gives ln price at a score: a line for the Student-t, else straight between
// the quantiles and on beyond the ends.
func (s Sale) logAt() func(z float64) float64 {
	if len(s.Quantiles) == 0 {
		return func(z float64) float64 { return s.LogMedian + s.LogScale*z }
	}
	zs, ys := make([]float64, len(s.Quantiles)), make([]float64, len(s.Quantiles))
	for i, q := range s.Quantiles {
		zs[i], ys[i] = quantileNormal(q.P), math.Log(q.Value)
	}
	return func(z float64) float64 {
		i := sort.SearchFloat64s(zs, z)
		i = max(1, min(i, len(zs)-1))
		return ys[i-1] + (z-zs[i-1])*(ys[i]-ys[i-1])/(zs[i]-zs[i-1])
	}
}

func (w Weibull) draw(n int, rng *rand.Rand) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = w.ScaleDays / daysPerYear * math.Exp(math.Log(rng.ExpFloat64())/w.Shape)
	}
	return out
}

// Quantile is the day by which a share p has sold.
func (w Weibull) Quantile(p float64) float64 {
	return w.ScaleDays * math.Pow(-math.Log1p(-p), 1/w.Shape)
}

func (c Cost) draw(n int, rng *rand.Rand) []float64 {
	out := make([]float64, n)
	one := c.sampler()
	for i := range out {
		// Both numbers are taken each time, so that the chance does not shift the rest.
		x, arises := one(rng), rng.Float64()
		if c.Chance == 0 || arises < c.Chance {
			out[i] = x
		}
	}
	return out
}

func (c Cost) sampler() func(*rand.Rand) float64 {
	if c.Shape == LogNormal {
		mu, sigma := c.logNormal()
		return func(rng *rand.Rand) float64 { return math.Exp(mu + sigma*clamp(rng.NormFloat64(), 6)) }
	}
	at := c.triangular()
	return func(rng *rand.Rand) float64 { return at(rng.Float64()) }
}

func (c Cost) logNormal() (mu, sigma float64) {
	return (math.Log(c.Low) + math.Log(c.High)) / 2, math.Log(c.High/c.Low) / (2 * quantileNormal(0.95))
}

// triangular is the quantile function of the triangular distribution.
func (c Cost) triangular() func(u float64) float64 {
	low, high, mode := c.Low, c.High, c.Mode
	if mode == 0 && low > 0 {
		mode = (low + high) / 2
	}
	width := high - low
	if width == 0 {
		return func(float64) float64 { return low }
	}
	turn := (mode - low) / width
	return func(u float64) float64 {
		if u < turn {
			return low + math.Sqrt(u*width*(mode-low))
		}
		return high - math.Sqrt((1-u)*width*(high-mode))
	}
}

// quantile is the p-quantile of the cost, 0 as far as it may not arise.
func (c Cost) quantile(p float64) float64 {
	if c.Chance > 0 {
		p = 1 - (1-p)/c.Chance
	}
	switch {
	case p <= 0 && c.Chance > 0 && c.Chance < 1:
		return 0
	case c.Shape == LogNormal:
		mu, sigma := c.logNormal()
		return math.Exp(mu + sigma*quantileNormal(p))
	}
	return c.triangular()(p)
}

package deal

import (
	"errors"
	"fmt"
	"math"
)

// Listing is how a watch is offered at an asking price, and for how long it has been.
type Listing struct {
	Time  *TimeToSell
	Watch Covariates // AskOverValue does not count
	Haggling
	Asks []float64 // to choose among, rising; nil means steps of 2.5 % from 75 to 150 % of the median value

	// DaysOnSale so far, unsold at CurrentAsk. That it did not sell says that it is worth
	// less, or that such watches sell slower, than was thought. Both 0: not yet on sale.
	DaysOnSale float64
	CurrentAsk float64
	// LastFees are those of selling to the trade in the end.
	LastFees []Fee
}

// Haggling is how the price achieved follows the price asked, and how long it is asked.
type Haggling struct {
	// Discount is the usual last step down: 0.03 sells at 3 % under the ask.
	Discount float64
	// PassThrough is which part of an ask above the value is got, after the last step down:
	// at 0.5, 10 % above gets 5 %. An ask under the value is got.
	PassThrough float64
	// MostOver is how far over the value anybody pays: 0.15 is 15 %.
	MostOver float64
	// CutBy is the share that is cut off the ask after each CutEveryDays unsold, down to
	// what the trade would pay. Either 0: the ask stays.
	CutEveryDays float64
	CutBy        float64
	// PatienceDays on sale after which the watch is given up, for GivenUp of its value
	// (to the trade, say). 0 waits for ever.
	PatienceDays float64
	GivenUp      float64
}

// CommonHaggling is a start until the shop states its own. Common practice, no
// published source.
func CommonHaggling() Haggling {
	return Haggling{Discount: 0.03, PassThrough: 0.5, MostOver: 0.15, CutEveryDays: 90, CutBy: 0.05,
		PatienceDays: 365, GivenUp: 0.78}
}

// CommonHurdle is what money bound in stock should earn a year until the shop states
// its own. Common practice, no published source.
const CommonHurdle = 0.25

// at is the covariates of the watch asked at its value.
func (l Listing) at() Covariates {
	c := l.Watch
	c.AskOverValue = 1
	return c
}

func (l Listing) check() error {
	errs := []error{l.Haggling.check(), l.Watch.check("watch."),
		inRange("days_on_sale", l.DaysOnSale, 0, maxDays, "days of 0 or more"),
		inRange("current_ask", l.CurrentAsk, 0, maxAmount, "a price, or 0 where there is none")}
	if l.DaysOnSale > 0 && l.CurrentAsk == 0 {
		errs = append(errs, bad("current_ask", 0, "the price asked so far, as days_on_sale is given"))
	}
	if l.Time == nil {
		errs = append(errs, bad("time", "nothing",
			"a time to sell; without history FitTimeToSell gives that of the prior"))
	}
	for i, f := range l.LastFees {
		errs = append(errs, f.check(fmt.Sprintf("last_fees[%d]", i)))
	}
	for i, a := range l.Asks {
		at := fmt.Sprintf("asks[%d]", i)
		if !(a > 0 && a <= maxAmount) {
			errs = append(errs, bad(at, a, "a price above 0"))
		} else if i > 0 && a <= l.Asks[i-1] {
			errs = append(errs, bad(at, a, "prices that rise"))
		}
	}
	return errors.Join(errs...)
}

func (h Haggling) check() error {
	return errors.Join(
		inRange("discount", h.Discount, 0, 0.9, "a share from 0 to 0.9, such as 0.03"),
		inRange("pass_through", h.PassThrough, 0, 1, "a share from 0 to 1"),
		inRange("most_over", h.MostOver, 0, 10, "a share of the value of 0 or more, such as 0.15"),
		inRange("cut_every_days", h.CutEveryDays, 0, maxDays, "days, or 0 for no cuts"),
		inRange("cut_by", h.CutBy, 0, 0.9, "a share from 0 to 0.9, such as 0.05"),
		inRange("patience_days", h.PatienceDays, 0, maxDays, "days, or 0 to wait for ever"),
		inRange("given_up", h.GivenUp, 0, 1, "a share of the value from 0 to 1"))
}

// Lot is how an auction ends where the bids stay low.
type Lot struct {
	Reserve float64 // as a share of the median hammer price; 0: none
	Charge  float64 // for a lot unsold, as a share of the reserve
	Last    float64 // what the trade then pays, as a share of the highest bid
}

// CommonLot is a start until the shop states its own. Common practice, no published
// source.
func CommonLot() Lot { return Lot{Reserve: 0.8, Charge: 0.02, Last: 0.9} }

func (l Lot) check() error {
	return errors.Join(
		inRange("lot.reserve", l.Reserve, 0, 10, "a share of the median hammer price, such as 0.8, or 0 for none"),
		inRange("lot.charge", l.Charge, 0, 1, "a share of the reserve from 0 to 1"),
		inRange("lot.last", l.Last, 0, 1, "a share of the highest bid from 0 to 1"))
}

// offer is a watch offered at an ask: what all asks share. Prices and asks are counted
// in the median value, so that amounts of any size give the same figures.
//
// The hazard up to age t asked at a is w·a^(−kβ)·t^k, where w is the draw's own: with E
// exponential, a watch sells at the age at which a^(−kβ)·t^k, summed over the asks it
// had, reaches u = E/w. Up to the first cut that is u^(1/k)·a^β; after it each ask costs one
// root a draw.
type offer struct {
	haggling Haggling
	shape    float64 // k
	hardness float64 // kβ, the exponent of the ask in the hazard
	unit     float64 // the median value, in currency

	value []float64 // of each draw
	log   []float64 // ln value
	slow  []float64 // ln of the scale, asked at the median value
	logU  []float64
	root  []float64 // u^(1/k), the age at which it sells asked at the median value all along

	// Of an offer at which many asks are looked at, for each draw; else nil.
	u    []float64
	soft []float64 // value^(1−c)

	days   float64 // on offer so far
	behind float64 // days^k
	leave  float64 // days from now until it is given up
	floor  float64 // no cut goes below it
}

// minPatience is how many days are always waited, however long it has been: another
// quarter at another ask.
const minPatience = 90

// newOffer draws how fast each watch sells. values are in currency.
func (in Input) newOffer(values []float64) *offer {
	l := in.Listing
	n, base := len(values), l.Time.At(l.at())
	o := &offer{haggling: l.Haggling, shape: base.Shape, hardness: base.Shape * l.Time.Price.Estimate,
		unit: in.medianValue(), value: make([]float64, n), log: make([]float64, n), slow: make([]float64, n),
		logU: make([]float64, n), root: make([]float64, n)}
	sd, rng := l.Time.logScaleSD(l.at()), stream(in.Seed, 2)
	logBase, price := math.Log(base.ScaleDays), l.Time.Price.Estimate
	waits, slows := rng.Float64(), rng.Float64()
	for i, v := range values {
		waits, slows = next(waits, stepWait), next(slows, stepSlow)
		logScale := logBase + sd*quantileNormal(inside(slows))
		o.value[i] = v / o.unit
		log := math.Log(o.value[i])
		o.log[i] = log
		o.slow[i] = logScale - price*log
		o.logU[i] = math.Log(-math.Log1p(-inside(waits))) + o.logToShape(i)
		o.root[i] = math.Exp(o.logU[i] / o.shape)
	}
	return o.after(l.DaysOnSale)
}

// The steps of the sequences by which waiting and slowness are drawn: multiples of
// irrational numbers, which fill the square evenly (Richtmyer 1951).
const (
	stepWait = 0.6180339887498949 // (√5 − 1)/2
	stepSlow = 0.4142135623730951 // √2 − 1
)

func next(x, step float64) float64 { _, f := math.Modf(x + step); return f }

// inside keeps a share of probability off 0 and 1.
func inside(p float64) float64 { return max(1e-12, min(1-1e-12, p)) }

// logToShape is ln of the scale of one draw asked at the median value, to the power of the
// shape.
func (o *offer) logToShape(i int) float64 {
	const most = 300 // of ln, in either direction: far outside all history
	return clampTo(o.shape*o.slow[i], -most, most)
}

// hazard is what an ask brings to the hazard, in units of age to the power of the shape.
func (o *offer) hazard(ask float64) float64 { return math.Exp(-o.hardness * math.Log(ask)) }

// after is the offer after so many days.
func (o *offer) after(days float64) *offer {
	out := *o
	out.days, out.behind, out.leave = days, math.Pow(days, o.shape), math.Inf(1)
	if p := o.haggling.PatienceDays; p > 0 {
		out.leave = math.Max(minPatience, p-days)
	}
	out.floor = o.haggling.GivenUp
	return &out
}

// sample is the offer with so many of its draws.
func (o *offer) sample(most int) *offer {
	n := len(o.value)
	if n <= most {
		return o.forMany()
	}
	which := make([]int, most)
	for j := range which {
		which[j] = j * n / most
	}
	return o.pick(which, true).forMany()
}

// forMany is the offer for many asks to be looked at.
func (o *offer) forMany() *offer {
	out := *o
	out.u, out.soft = make([]float64, len(o.value)), make([]float64, len(o.value))
	for i := range o.value {
		out.u[i], out.soft[i] = math.Exp(o.logU[i]), o.softOf(i)
	}
	return &out
}

func (o *offer) softOf(i int) float64 { return math.Exp((1 - o.haggling.PassThrough) * o.log[i]) }

// pick is the offer with some of its draws; waiting says whether each keeps its own wait,
// else the one that stands in its place.
func (o *offer) pick(which []int, waiting bool) *offer {
	out := *o
	out.u, out.soft = nil, nil
	n := len(which)
	out.value, out.log = make([]float64, n), make([]float64, n)
	out.slow, out.logU, out.root = make([]float64, n), make([]float64, n), make([]float64, n)
	for j, i := range which {
		out.value[j], out.log[j], out.slow[j], out.logU[j] = o.value[i], o.log[i], o.slow[i], o.logU[i]
		out.root[j] = o.root[i]
		if !waiting {
			out.logU[j] = o.logU[j] + o.logToShape(i) - o.logToShape(j)
			out.root[j] = math.Exp(out.logU[j] / o.shape)
		}
	}
	return &out
}

// unsold weighs the draws by how likely each would have been left unsold until now at an
// ask; that of the most likely is 1.
func (o *offer) unsold(ask float64) []float64 {
	out, behind := make([]float64, len(o.value)), o.behind*o.hazard(ask)
	least := math.Inf(1)
	for i := range out {
		out[i] = behind * math.Exp(-o.logToShape(i))
		least = min(least, out[i])
	}
	for i, hazard := range out {
		out[i] = math.Exp(least - hazard)
	}
	return out
}

// asking is an ask with the cuts that follow it.
type asking struct {
	steps []step
	limit float64 // ln u from which the watch is given up
}

// step is one ask of a plan.
type step struct {
	from    float64 // age to the power of the shape, when it begins
	before  float64 // hazard gathered until then
	reached float64 // ln of that
	rate    float64 // hazard for each unit of age to the power of the shape
	slower  float64 // rate^(−1/k): by which its time is longer than that asked at the median value
	down    float64 // the ask after the last step down
	passing float64 // that to the power of what passes through
}

// mostSteps bounds the cuts of a watch that is never given up.
const mostSteps = 40

func (o *offer) asking(ask float64) asking {
	h := o.haggling
	floor := math.Min(ask, o.floor)
	out := asking{limit: math.Inf(1)}
	from, before, day := o.behind, 0.0, 0.0
	for {
		s := step{from: from, before: before, reached: math.Log(before), rate: o.hazard(ask),
			down: (1 - h.Discount) * ask}
		s.slower = math.Exp(o.hardness / o.shape * math.Log(ask))
		s.passing = math.Exp(h.PassThrough * math.Log(s.down))
		out.steps = append(out.steps, s)
		lower := math.Max(floor, ask*(1-h.CutBy))
		if day += h.CutEveryDays; h.CutEveryDays == 0 || lower >= ask || day >= o.leave || len(out.steps) == mostSteps {
			break
		}
		ask, from = lower, math.Pow(o.days+day, o.shape)
		before += s.rate * (from - s.from)
	}
	if !math.IsInf(o.leave, 1) {
		last := out.steps[len(out.steps)-1]
		out.limit = math.Log(last.before + last.rate*(math.Pow(o.days+o.leave, o.shape)-last.from))
	}
	return out
}

// fate is how one draw ends: after how many days from now it leaves the shop, for how much,
// and whether it was given up.
type fate struct {
	leaves, price float64
	givenUp       bool
}

func (o *offer) fate(i int, a *asking) fate {
	value := o.value[i]
	if o.logU[i] >= a.limit {
		return fate{o.leave, o.haggling.GivenUp * value, true}
	}
	s := a.at(o.logU[i])
	if s.down <= value {
		return fate{o.sells(i, s), s.down, false}
	}
	soft := 0.0
	if o.soft != nil {
		soft = o.soft[i]
	} else {
		soft = o.softOf(i)
	}
	return fate{o.sells(i, s), min(soft*s.passing, (1+o.haggling.MostOver)*value), false}
}

// at is the step in which the hazard gathered reaches u.
func (a *asking) at(logU float64) *step {
	j := 0
	for j+1 < len(a.steps) && a.steps[j+1].reached <= logU {
		j++
	}
	return &a.steps[j]
}

// sells is after how many days from now one draw sells in a step, were it never given up.
func (o *offer) sells(i int, s *step) float64 {
	if s.from == 0 { // asked the same from its first day on
		return min(maxDays, o.root[i]*s.slower)
	}
	u := 0.0
	if o.u != nil {
		u = o.u[i]
	} else {
		u = math.Exp(o.logU[i])
	}
	age := math.Exp(math.Log(s.from+max(0, u-s.before)/s.rate) / o.shape)
	return min(maxDays, max(0, age-o.days))
}

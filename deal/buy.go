package deal

import (
	"math"
	"slices"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// Result is what to pay, and what then follows. Amounts are in Currency.
type Result struct {
	Currency money.Currency `json:"currency"`
	// HighestPrice keeps the wanted margin with the wanted confidence. Reachable is
	// false, and HighestPrice 0, where not even a gift would.
	HighestPrice   float64 `json:"highest_price"`
	HighestPriceSE float64 `json:"highest_price_se"` // by the number of draws alone; errs on the large side
	Reachable      bool    `json:"reachable"`

	// The rest is stated at the price At: the asked price where there is one, else
	// HighestPrice.
	At               float64           `json:"at"`
	AtAsked          bool              `json:"at_asked"`
	ChanceOfLoss     float64           `json:"chance_of_loss"`
	ChanceOfMargin   float64           `json:"chance_of_margin"` // of reaching the wanted margin
	ExpectedProfit   float64           `json:"expected_profit"`
	ProfitInterval90 estimate.Interval `json:"profit_interval_90"`
	Sale             Range             `json:"sale"`           // what it brings
	MonthsToSell     estimate.Figure   `json:"months_to_sell"` // until it leaves: median and 90 % range
	MeanMonths       float64           `json:"mean_months"`
	// Ask is the price to ask, where it is offered at one; ChanceUnsold that it goes to the
	// trade in the end: given up, or left under the reserve.
	Ask          float64 `json:"ask,omitempty"`
	ChanceUnsold float64 `json:"chance_unsold"`
	// AfterHurdle is what is expected to be left of the profit after what the money bound
	// in the watch should have earned meanwhile, in place of what it costs. Asks and routes
	// are chosen by it.
	AfterHurdle float64     `json:"after_hurdle"`
	Costs       []CostShare `json:"costs"`
	// where the uncertainty of the profit comes from, largest first
	Sensitivity []Share         `json:"sensitivity"`
	Says        []say.Statement `json:"says"`
	Draws       int             `json:"draws"`
}

// Range is an amount as it may turn out.
type Range struct {
	Median     float64           `json:"median"`
	Mean       float64           `json:"mean"`
	Interval90 estimate.Interval `json:"interval_90"`
}

// CostShare is one cost at the price At.
type CostShare struct {
	Name       say.Statement     `json:"name"`
	Mean       float64           `json:"mean"`
	Interval90 estimate.Interval `json:"interval_90"`
}

// Share is the part of the variance of the profit that one source brings in.
type Share struct {
	Source say.Statement `json:"source"`
	Share  float64       `json:"share"`
}

// Buy computes the highest price to pay and what follows from buying. It errs on an
// input that Check refuses, naming the fields. DefaultDraws
// take about three milliseconds.
func Buy(in Input) (Result, error) {
	if err := in.Check(); err != nil {
		return Result{}, err
	}
	d := in.draw()
	out := Result{Currency: in.Currency, Draws: len(d.sale)}
	each := in.terms(d)
	out.highest(in, d, each)
	out.At = out.HighestPrice
	if in.Asked != nil {
		out.At, out.AtAsked = *in.Asked, true
	}
	out.follow(in, d, each)
	return out, nil
}

// Expected is the expected profit that Buy states, without all else: for a whole stock.
func Expected(in Input) (float64, error) {
	if err := in.Check(); err != nil {
		return 0, err
	}
	d := in.draw()
	return mean(profitsAt(in.at(d), in, d, in.terms(d))), nil
}

// follow says what follows at the price At.
func (r *Result) follow(in Input, d draws, each []terms) {
	r.profit(in, d, each)
	r.Sale = rangeOf(slices.Clone(d.sale))
	r.time(in, d)
	r.Costs = costsAt(r.At, in, d, r.Sale)
	r.Sensitivity = sensitivity(r.At, in, d)
	r.say(in)
}

// terms are the profit of one draw as a function of the price x: with sale S, all
// that is not in x as net, and the share of x that costs as perX,
//
//	profit(x) = net − perX·x − tax(x, S)
type terms struct{ net, perX float64 }

func (in Input) terms(d draws) []terms {
	ofPurchase := in.ofPurchase()
	out := make([]terms, len(d.sale))
	for i, s := range d.sale {
		work := 0.0
		for _, w := range d.work {
			work += w[i]
		}
		carry := 1.0
		if d.years != nil {
			carry += in.CarryingRatePerYear * d.years[i]
		}
		out[i] = terms{net: s - d.fees[i] - work*carry, perX: (1 + ofPurchase) * carry}
	}
	return out
}

// ofPurchase is the share of the price paid that fees take.
func (in Input) ofPurchase() float64 {
	sum := 0.0
	for _, f := range in.Fees {
		sum += f.ofPurchase()
	}
	return sum
}

// highestOf solves profit(x) = margin·x for one draw. Profit falls in x, so the
// margin is kept exactly where x is at or under the solution. Since costs are not
// negative the solution is at or under the sale price, where the margin tax is not
// cut off at 0.
func (in Input) highestOf(t terms, sale float64) float64 {
	q := in.Tax.inside()
	slope := t.perX + in.WantedMargin
	net := t.net - q*sale
	if in.Tax.Scheme == MarginTaxed || in.Tax.Scheme == Ordinary && in.Tax.RecoverInput {
		slope -= q
	}
	return net / slope
}

func (r *Result) highest(in Input, d draws, each []terms) {
	solved := make([]float64, len(each))
	for i, t := range each {
		solved[i] = in.highestOf(t, d.sale[i])
	}
	p := 1 - in.Confidence
	// The spacing of the quantiles a standard error away on either side gives the
	// standard error of the quantile, without a density.
	step := math.Sqrt(p * (1 - p) / float64(len(solved)))
	q := quantiles(solved, math.Max(0, p-step), p, math.Min(1, p+step))
	if q[1] > 0 {
		r.HighestPrice, r.HighestPriceSE, r.Reachable = q[1], (q[2]-q[0])/2, true
	}
}

// profitsAt are those of each draw at a price.
func profitsAt(x float64, in Input, d draws, each []terms) []float64 {
	out := make([]float64, len(each))
	for i, t := range each {
		out[i] = t.net - t.perX*x - in.Tax.Due(x, d.sale[i])
	}
	return out
}

// afterHurdle charges the profit of each draw at a price what the money bound should have
// earned, in place of what the money laid out costs.
func afterHurdle(profit []float64, x float64, in Input, d draws) []float64 {
	if d.years == nil {
		return profit
	}
	out := make([]float64, len(profit))
	paid, should := x*(1+in.ofPurchase()), in.wanted()*in.bound()
	for i, p := range profit {
		laidOut := paid
		for _, w := range d.work {
			laidOut += w[i]
		}
		out[i] = p + d.years[i]*(in.CarryingRatePerYear*laidOut-should)
	}
	return out
}

func (r *Result) profit(in Input, d draws, each []terms) {
	profit := profitsAt(r.At, in, d, each)
	losses, margins := 0, 0
	for i, p := range profit {
		if p < 0 {
			losses++
		}
		// A draw that just keeps the margin at the highest price keeps it, whatever the
		// last digit says.
		if p >= in.WantedMargin*r.At-1e-9*math.Abs(d.sale[i]) {
			margins++
		}
	}
	n := float64(len(profit))
	r.ExpectedProfit = mean(profit)
	r.ChanceOfLoss = float64(losses) / n
	r.ChanceOfMargin = float64(margins) / n
	r.AfterHurdle = mean(afterHurdle(profit, r.At, in, d))
	q := quantiles(profit, 0.05, 0.95)
	r.ProfitInterval90 = estimate.Interval{q[0], q[1]}
}

const daysPerMonth = daysPerYear / 12

// time says how long it takes until the watch leaves, and how.
func (r *Result) time(in Input, d draws) {
	r.Ask = d.ask
	for i := range d.givenUp {
		r.ChanceUnsold += one(d.givenUp[i]) / float64(len(d.givenUp))
	}
	switch {
	case d.years == nil:
		r.MonthsToSell = estimate.CannotTell(say.That("deal.months-unknown").String())
		return
	case in.Listing == nil:
		m := func(p float64) float64 { return in.TimeToSell.Quantile(p) / daysPerMonth }
		r.MonthsToSell = estimate.Between(m(0.5), m(0.05), m(0.95), 0.9, "mo")
	default:
		q := quantiles(slices.Clone(d.years), 0.05, 0.5, 0.95)
		r.MonthsToSell = estimate.Between(12*q[1], 12*q[0], 12*q[2], 0.9, "mo")
	}
	r.MeanMonths = 12 * mean(d.years)
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func (r *Result) say(in Input) {
	if !r.Reachable {
		r.Says = append(r.Says, say.That("deal.gift", say.Share("margin", in.WantedMargin),
			say.Share("confidence", in.Confidence)))
	}
	if in.Listing == nil && in.TimeToSell == (Weibull{}) {
		r.Says = append(r.Says, say.That("deal.no-time"))
	}
	if r.AtAsked && r.Reachable {
		r.Says = append(r.Says, r.againstLimit())
	}
	switch in.Tax.Scheme {
	case MarginTaxed:
		r.Says = append(r.Says, say.That("deal.tax-margin"))
	case Ordinary:
		r.Says = append(r.Says, say.That("deal.tax-ordinary"))
	default:
		r.Says = append(r.Says, say.That("deal.tax-none"))
	}
}

// againstLimit sets the price against the highest one to pay. A difference under half a
// percent is none.
func (r *Result) againstLimit() say.Statement {
	switch by := r.At/r.HighestPrice - 1; {
	case math.Abs(by) < 0.005:
		return say.That("deal.at-limit")
	case by < 0:
		return say.That("deal.under-limit", say.Share("by", -by))
	default:
		return say.That("deal.over-limit", say.Share("by", by))
	}
}

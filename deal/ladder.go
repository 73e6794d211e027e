package deal

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// LadderInput is one watch on sale, or about to be, and how buyers take a price.
type LadderInput struct {
	Currency money.Currency
	// Value is what the watch is worth to the buyers of this route: uncertain, and what
	// an asked price is held against.
	Value Sale
	Work  []Cost // still to be done
	Fees  []Fee
	// CarryingRatePerYear is the cost of money that the best ask is for.
	CarryingRatePerYear float64
	Tax                 Tax
	Paid                float64 // what the watch has cost; 0 gives proceeds instead of profit

	Time  *TimeToSell
	Watch Covariates // AskOverValue does not count
	Haggling
	Asks []float64 // rising; nil means steps of 2.5 % from 75 to 150 % of the median value

	// DaysOnSale so far, unsold at CurrentAsk. That it did not sell says that it is worth
	// less, or that such watches sell slower, than was thought. Both 0: not yet on sale.
	DaysOnSale float64
	CurrentAsk float64

	Seed  uint64
	Draws int // 0 means DefaultDraws
}

// Haggling is how the price achieved follows the price asked.
type Haggling struct {
	// Discount is the usual last step down: 0.03 sells at 3 % under the price agreed on.
	Discount float64
	// PassThrough is which part of an ask above the value is got: at 0.5, asking 10 %
	// above gets 5 %. Asking under the value gets the ask.
	PassThrough float64
	// MostOver is how far over the value anybody pays: 0.15 is 15 %.
	MostOver float64
	// PatienceDays on sale after which the watch is given up, for GivenUp of its value
	// (to the trade, say). 0 waits for ever.
	PatienceDays float64
	GivenUp      float64
}

// CommonHaggling is a start until the shop states its own. Common practice, no
// published source.
func CommonHaggling() Haggling {
	return Haggling{Discount: 0.03, PassThrough: 0.5, MostOver: 0.15, PatienceDays: 365, GivenUp: 0.78}
}

// Rung is one price to ask.
type Rung struct {
	Ask          float64 `json:"ask"`
	AskOverValue float64 `json:"ask_over_value"` // of ValueStated
	// from now to the sale, were it never given up: median, 90 % range
	Days          estimate.Figure   `json:"days"`
	ChanceSold30  float64           `json:"chance_sold_30_days"`
	ChanceSold90  float64           `json:"chance_sold_90_days"`
	ChanceGivenUp float64           `json:"chance_given_up"`
	MeanDays      float64           `json:"mean_days"` // until sold or given up
	ExpectedPrice float64           `json:"expected_price"`
	ExpectedNet   float64           `json:"expected_net"`
	NetInterval90 estimate.Interval `json:"net_interval_90"`
	ChanceOfLoss  float64           `json:"chance_of_loss"`
	// expected net over mean days, for comparing with other uses of the money
	ExpectedPerYear float64 `json:"expected_net_per_year"`
}

// CutStep says what is best once the watch has been on sale for so many days.
type CutStep struct {
	DaysOnSale  float64 `json:"days_on_sale"`
	ValueMedian float64 `json:"value_median"` // as far as not selling has told
	BestAsk     float64 `json:"best_ask"`     // of those not above the ask
	Gain        float64 `json:"gain"`         // in expected net, over leaving the ask as it is
}

// LadderReport is the ladder with its best rung.
type LadderReport struct {
	Currency    money.Currency `json:"currency"`
	ValueStated float64        `json:"value_stated"` // the median that went in
	ValueMedian float64        `json:"value_median"` // as far as not selling has told
	Rungs       []Rung         `json:"rungs"`
	Best        int            `json:"best"` // index of the rung with the highest expected net
	// BestPerYear is that with the highest expected net a year: the better measure
	// where money is what is short, and another watch could be bought with it.
	BestPerYear int `json:"best_per_year"`
	// NearBest are the lowest and the highest ask that come within half a percent of the
	// value of the best one's expected net: between them, the lower sells sooner.
	NearBest [2]float64 `json:"near_best"`
	// Asked is the ask that Schedule leaves as it is: the current one, else the best.
	Asked    float64   `json:"asked"`
	Schedule []CutStep `json:"schedule"`
	// CutAt is the first step of Schedule at which a lower ask gains more than half a
	// percent of the ask; −1 where none does.
	CutAt int             `json:"cut_at"`
	Says  []say.Statement `json:"says"`
}

// Ladder computes the expected net result and the days to sell over asking prices,
// which is best, and from when on a lower one would be. It errs on an input that
// makes no sense, naming the fields.
func Ladder(in LadderInput) (LadderReport, error) {
	if err := in.Check(); err != nil {
		return LadderReport{}, err
	}
	value := math.Exp(in.Value.logAt()(0))
	asks := in.Asks
	if len(asks) == 0 {
		asks = asksAround(value)
	}
	out := LadderReport{Currency: in.Currency, CutAt: -1, ValueStated: value}
	c := in.climber(in.DaysOnSale, in.CurrentAsk, in.drawCount())
	out.ValueMedian = c.valueMedian()
	for i, ask := range asks {
		out.Rungs = append(out.Rungs, c.rung(ask, value))
		if out.Rungs[i].ExpectedNet > out.Rungs[out.Best].ExpectedNet {
			out.Best = i
		}
		if out.Rungs[i].ExpectedPerYear > out.Rungs[out.BestPerYear].ExpectedPerYear {
			out.BestPerYear = i
		}
	}
	out.near()
	out.Asked = in.CurrentAsk
	if out.Asked == 0 {
		out.Asked = out.Rungs[out.Best].Ask
	}
	out.schedule(in, asks)
	out.say(in)
	return out, nil
}

func (r *LadderReport) near() {
	least := r.Rungs[r.Best].ExpectedNet - nearBest*r.ValueStated
	r.NearBest = [2]float64{r.Rungs[r.Best].Ask, r.Rungs[r.Best].Ask}
	for i := r.Best; i >= 0 && r.Rungs[i].ExpectedNet >= least; i-- {
		r.NearBest[0] = r.Rungs[i].Ask
	}
	for i := r.Best; i < len(r.Rungs) && r.Rungs[i].ExpectedNet >= least; i++ {
		r.NearBest[1] = r.Rungs[i].Ask
	}
}

func asksAround(value float64) []float64 {
	var out []float64
	for share := 0.75; share < 1.501; share += 0.025 {
		out = append(out, share*value)
	}
	return out
}

func (in LadderInput) drawCount() int { return in.input().drawCount() }

// input is the sale without its price and time, for fees, work and tax.
func (in LadderInput) input() Input {
	return Input{Currency: in.Currency, Sale: in.Value, Work: in.Work, Fees: in.Fees,
		CarryingRatePerYear: in.CarryingRatePerYear, Tax: in.Tax, Seed: in.Seed, Draws: in.Draws, Confidence: 0.5}
}

// climber holds the draws that all rungs share.
type climber struct {
	in       LadderInput
	sell     Input
	base     Weibull   // asked at its value
	logScale []float64 // of the time to sell asked at the value: uncertain too
	price    float64   // exponent of ask over value in the scale
	laidOut  float64   // for the watch, fees on buying included
	value    []float64
	logValue []float64
	waiting  []float64 // exponential: the hazard that a watch survives
	work     [][]float64
	days     float64 // in stock so far
	behind   float64 // days to the power of the shape
	patience float64 // days from now
}

const minPatience = 30 // days that are always waited, however long it has been

func (in LadderInput) climber(days, ask float64, n int) *climber {
	in.Draws = n
	sell := in.input()
	d := sell.draw()
	watch := in.Watch
	watch.AskOverValue = 1
	c := &climber{in: in, sell: sell, base: in.Time.At(watch), price: in.Time.Price.Estimate, value: d.sale,
		work: d.work, days: days, patience: math.Inf(1)}
	c.behind = math.Pow(days, c.base.Shape)
	c.laidOut = in.Paid * (1 + sell.ofPurchase())
	rng, slow, sd := stream(in.Seed, 2), stream(in.Seed, 6), in.Time.logScaleSD(watch)
	c.waiting, c.logScale = make([]float64, n), make([]float64, n)
	for i := range c.waiting {
		c.waiting[i] = rng.ExpFloat64()
		c.logScale[i] = math.Log(c.base.ScaleDays) + sd*slow.NormFloat64()
	}
	if in.PatienceDays > 0 {
		c.patience = math.Max(minPatience, in.PatienceDays-days)
	}
	if days > 0 {
		c.learn(ask)
	}
	c.logValue = make([]float64, n)
	for i, v := range c.value {
		c.logValue[i] = math.Log(v)
	}
	return c
}

var logMinScale, logMaxDays = math.Log(minScale), math.Log(maxDays)

// scaleToShape is the Weibull scale of one draw, asked at so much log over the value,
// to the power of the shape.
func (c *climber) scaleToShape(i int, logOver float64) float64 {
	return math.Exp(c.base.Shape * clampTo(c.logScale[i]+c.price*logOver, logMinScale, logMaxDays))
}

// learn draws values and scales anew, each pair as often as it would have left the
// watch unsold at the ask until now (systematic resampling): it may be worth less, or
// such watches may sell slower, than was thought.
func (c *climber) learn(ask float64) {
	n := len(c.value)
	sum := make([]float64, n)
	total := 0.0
	for i, v := range c.value { // drawn from the lowest to the highest share of probability
		total += math.Exp(-c.behind / c.scaleToShape(i, math.Log(ask/v)))
		sum[i] = total
	}
	if !(total > 0) {
		return // unsold against all chance: nothing that the model could learn from
	}
	value, logScale := make([]float64, n), make([]float64, n)
	k := 0
	// In no order, so that a value meets any waiting and any work.
	for j, to := range stream(c.in.Seed, 5).Perm(n) {
		for k < n-1 && sum[k] < total*(float64(j)+0.5)/float64(n) {
			k++
		}
		value[to], logScale[to] = c.value[k], c.logScale[k]
	}
	c.value, c.logScale = value, logScale
}

func (c *climber) valueMedian() float64 { return quantiles(slices.Clone(c.value), 0.5)[0] }

// sale is how one draw ends at an ask, given by its log: after how many days from
// now it would sell, after how many it leaves the shop, for how much, and whether it
// was given up.
func (c *climber) sale(i int, logAsk float64) (sells, leaves, price float64, givenUp bool) {
	over := logAsk - c.logValue[i]
	// The hazard so far is behind; the ask sets the hazard from now on.
	sells = math.Pow(c.behind+c.scaleToShape(i, over)*c.waiting[i], 1/c.base.Shape) - c.days
	if sells > c.patience {
		return sells, c.patience, c.in.GivenUp * c.value[i], true
	}
	return sells, sells, c.value[i] * c.in.achieved(over), false
}

// achieved is the price, over the value, that an ask over the value brings; both
// asks are as logs.
func (h Haggling) achieved(logOver float64) float64 {
	if logOver > 0 {
		logOver = math.Min(h.PassThrough*logOver, math.Log1p(h.MostOver))
	}
	return (1 - h.Discount) * math.Exp(logOver)
}

// net is what is left of a price.
func (c *climber) net(i int, price, days float64) float64 {
	carry := 1 + c.in.CarryingRatePerYear*days/daysPerYear
	work := 0.0
	for _, w := range c.work {
		work += w[i]
	}
	return price - c.sell.feesOn(price, 1) - (work+c.laidOut)*carry - c.in.Tax.Due(c.in.Paid, price)
}

func (c *climber) rung(ask, value float64) Rung {
	n := len(c.value)
	r := Rung{Ask: ask, AskOverValue: ask / value}
	net, days := make([]float64, n), make([]float64, n)
	share, logAsk := 1/float64(n), math.Log(ask)
	for i := range n {
		sells, leaves, price, givenUp := c.sale(i, logAsk)
		days[i], net[i] = sells, c.net(i, price, leaves)
		r.MeanDays += share * leaves
		r.ExpectedPrice += share * price
		r.ExpectedNet += share * net[i]
		r.ChanceSold30 += share * one(sells <= 30 && !givenUp)
		r.ChanceSold90 += share * one(sells <= 90 && !givenUp)
		r.ChanceGivenUp += share * one(givenUp)
		r.ChanceOfLoss += share * one(net[i] < 0)
	}
	q := quantiles(net, 0.05, 0.95)
	r.NetInterval90 = estimate.Interval{q[0], q[1]}
	d := quantiles(days, 0.05, 0.5, 0.95)
	r.Days = estimate.Between(d[1], d[0], d[2], 0.9, "d")
	r.ExpectedPerYear = r.ExpectedNet / math.Max(1, r.MeanDays) * daysPerYear
	return r
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// expectedNet is that of the rung, without the rest.
func (c *climber) expectedNet(ask float64) float64 {
	sum, logAsk := 0.0, math.Log(ask)
	for i := range c.value {
		_, leaves, price, _ := c.sale(i, logAsk)
		sum += c.net(i, price, leaves)
	}
	return sum / float64(len(c.value))
}

const (
	scheduleDraws = 2000
	scheduleSteps = 13
	scheduleDays  = 30
	worthCutting  = 0.005 // of the ask
	nearBest      = 0.005 // of the value
)

// schedule looks ahead month by month, as long as the watch stays unsold.
func (r *LadderReport) schedule(in LadderInput, asks []float64) {
	for step := range scheduleSteps {
		days := in.DaysOnSale + scheduleDays*float64(step)
		if in.PatienceDays > 0 && days >= in.PatienceDays && step > 0 {
			return
		}
		c := in.climber(days, r.Asked, min(scheduleDraws, in.drawCount()))
		s := CutStep{DaysOnSale: days, ValueMedian: c.valueMedian()}
		s.BestAsk, s.Gain = c.bestBelow(r.Asked, asks)
		if r.CutAt < 0 && s.Gain > worthCutting*r.Asked {
			r.CutAt = step
		}
		r.Schedule = append(r.Schedule, s)
	}
}

// bestBelow is the ask, of those not above one, with the highest expected net, and
// what it gains over that one. It looks downward and stops where the net has fallen
// three times in a row.
func (c *climber) bestBelow(ask float64, asks []float64) (best, gain float64) {
	best = ask
	keep, falls, last := c.expectedNet(ask), 0, 0.0
	for i := len(asks) - 1; i >= 0 && falls < 3; i-- {
		if asks[i] >= ask {
			continue
		}
		g := c.expectedNet(asks[i]) - keep
		falls++
		if g > last {
			falls = 0
		}
		if last = g; g > gain {
			best, gain = asks[i], g
		}
	}
	return best, gain
}

func (r *LadderReport) say(in LadderInput) {
	best := r.Rungs[r.Best]
	amount := func(name string, v float64) say.Arg { return say.Amount(name, v, r.Currency) }
	r.Says = append(r.Says, say.That("ladder.best", say.Share("cost", in.CarryingRatePerYear), amount("ask", best.Ask),
		say.Share("share", best.AskOverValue), days("days", best.Days.Value)))
	if r.NearBest[0] < best.Ask {
		r.Says = append(r.Says, say.That("ladder.near", amount("low", r.NearBest[0]), amount("high", r.NearBest[1])))
	}
	if fast := r.Rungs[r.BestPerYear]; r.BestPerYear != r.Best && in.Paid > 0 {
		r.Says = append(r.Says, say.That("ladder.per-year", amount("ask", fast.Ask)))
	}
	r.Says = append(r.Says, r.Cut())
	if last := len(r.Rungs) - 1; last > 0 && (r.Best == 0 || r.Best == last) {
		r.Says = append(r.Says, say.That("ladder.end"))
	}
	r.Says = append(r.Says, in.Time.Says...)
}

// Cut says whether and when to cut the ask.
func (r *LadderReport) Cut() say.Statement {
	amount := func(name string, v float64) say.Arg { return say.Amount(name, v, r.Currency) }
	first := r.Schedule[0]
	switch {
	case r.CutAt == 0:
		return say.That("ladder.cut-now", amount("to", first.BestAsk), amount("gain", first.Gain))
	case r.CutAt > 0:
		s := r.Schedule[r.CutAt]
		return say.That("ladder.cut-later", amount("ask", r.Asked), days("days", s.DaysOnSale), amount("to", s.BestAsk))
	case first.Gain > 0:
		return say.That("ladder.may-stay", amount("ask", r.Asked), amount("to", first.BestAsk),
			amount("gain", first.Gain))
	}
	return say.That("ladder.no-cut", amount("ask", r.Asked))
}

// days is a number of days, to the day.
func days(name string, d float64) say.Arg { return say.Count(name, int(math.Round(d))) }

// Check tells what is wrong with the input, field by field.
func (in LadderInput) Check() error {
	errs := []error{in.input().checkTerms(), in.Haggling.check(), in.Watch.check("watch."),
		inRange("paid", in.Paid, 0, maxAmount, "a price of 0 or more"),
		inRange("days_on_sale", in.DaysOnSale, 0, maxDays, "days of 0 or more"),
		inRange("current_ask", in.CurrentAsk, 0, maxAmount, "a price, or 0 where there is none")}
	if in.DaysOnSale > 0 && in.CurrentAsk == 0 {
		errs = append(errs, bad("current_ask", 0, "the price asked so far, as days_on_sale is given"))
	}
	if in.Time == nil {
		errs = append(errs, bad("time", "nothing",
			"a time to sell; without history FitTimeToSell gives that of the prior"))
	}
	sell := in.input()
	if err := sell.Sale.check(); err != nil {
		errs = append(errs, renamed("sale", "value", err))
		sell.Sale = Sale{LogMedian: 1}
	}
	errs = append(errs, sell.checkSelling())
	for i, a := range in.Asks {
		at := fmt.Sprintf("asks[%d]", i)
		if !(a > 0 && a <= maxAmount) {
			errs = append(errs, bad(at, a, "a price above 0"))
		} else if i > 0 && a <= in.Asks[i-1] {
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
		inRange("patience_days", h.PatienceDays, 0, maxDays, "days, or 0 to wait for ever"),
		inRange("given_up", h.GivenUp, 0, 1, "a share of the value from 0 to 1"))
}

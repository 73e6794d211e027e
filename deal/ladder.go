package deal

import (
	"math"
	"slices"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// Rung is one price to ask.
type Rung struct {
	Ask          float64 `json:"ask"`
	AskOverValue float64 `json:"ask_over_value"` // of ValueStated
	// ChanceUnsold is the chance that it never sells at this ask or the cuts that follow,
	// and goes to the trade in the end.
	ChanceUnsold float64 `json:"chance_unsold"`
	// from now to the sale, were it never given up: median, 90 % range
	Days          estimate.Figure   `json:"days"`
	ChanceSold30  float64           `json:"chance_sold_30_days"`
	ChanceSold90  float64           `json:"chance_sold_90_days"`
	MeanDays      float64           `json:"mean_days"` // until sold or given up
	ExpectedPrice float64           `json:"expected_price"`
	ExpectedNet   float64           `json:"expected_net"`
	NetInterval90 estimate.Interval `json:"net_interval_90"`
	ChanceOfLoss  float64           `json:"chance_of_loss"`
	// Behind is by how much the best ask earns more for the money and time it binds; 0
	// where it earns no more.
	Behind float64 `json:"behind"`
}

// CutStep says what is best once the watch has been on sale for so many days.
type CutStep struct {
	DaysOnSale  float64 `json:"days_on_sale"`
	ValueMedian float64 `json:"value_median"` // as far as not selling has told
	BestAsk     float64 `json:"best_ask"`     // of those not above the ask
	Gain        float64 `json:"gain"`         // of the best over the ask as it is, for money and time bound
}

// LadderReport is the ladder with its best rung.
type LadderReport struct {
	Currency    money.Currency `json:"currency"`
	At          float64        `json:"at"`           // the price that the net results are after
	ValueStated float64        `json:"value_stated"` // the median that went in
	ValueMedian float64        `json:"value_median"` // as far as not selling has told
	Rungs       []Rung         `json:"rungs"`
	// Best is the index of the lowest rung that earns the most, or nearly as much, for the
	// money and the time it binds: what Buy and CompareRoutes say of this route they say of
	// this ask.
	Best int `json:"best"`
	// NearBest are the best ask and the highest that comes within half a percent of the
	// value of it: between them, the lower sells sooner.
	NearBest [2]float64 `json:"near_best"`
	// Asked is the ask that Schedule leaves as it is: the current one, else the best.
	Asked    float64   `json:"asked"`
	Schedule []CutStep `json:"schedule"`
	// CutAt is the first step of Schedule at which a lower ask gains more than half a
	// percent of the ask; −1 where none does.
	CutAt int             `json:"cut_at"`
	Says  []say.Statement `json:"says"`
}

// Ladder computes the net result, the chance not to sell, and the days to sell over
// asking prices, which is best, and from when on a lower one would be. It is of the same
// draws as Buy: at the best ask both say the same to the last digit. It errs on an input
// that makes no sense or has no Listing, naming the fields.
func Ladder(in Input) (LadderReport, error) {
	if in.Listing == nil {
		return LadderReport{}, bad("listing", "nothing", "how the watch is offered at an ask")
	}
	if err := in.Check(); err != nil {
		return LadderReport{}, err
	}
	d := in.draw()
	out := LadderReport{Currency: in.Currency, CutAt: -1, ValueStated: in.medianValue()}
	out.At = in.at(d)
	out.ValueMedian = out.ValueStated
	if d.again != nil {
		out.ValueMedian = d.offer.unit * quantiles(slices.Clone(d.offer.value), 0.5)[0]
	}
	d.offer = d.offer.forMany()
	scores := make([]float64, len(d.choose.asks))
	for i, ask := range d.choose.asks {
		var r Rung
		r, scores[i] = in.rung(d, ask, out.At)
		out.Rungs = append(out.Rungs, r)
		if ask == d.ask {
			out.Best = i
		}
	}
	for i := range out.Rungs {
		out.Rungs[i].Behind = math.Max(0, scores[out.Best]-scores[i])
	}
	out.near()
	out.Asked = in.Listing.CurrentAsk
	if out.Asked == 0 {
		out.Asked = d.ask
	}
	out.schedule(in, d.choose)
	out.say(in)
	return out, nil
}

// at is the price that results are stated at: the asked one, else the highest.
func (in Input) at(d draws) float64 {
	if in.Asked != nil {
		return *in.Asked
	}
	var r Result
	r.highest(in, d, in.terms(d))
	return r.HighestPrice
}

const (
	worthCutting = 0.005 // of the ask
	nearBest     = 0.005 // of the value
)

func (r *LadderReport) near() {
	most := nearBest * r.ValueStated
	high := r.Best
	for high+1 < len(r.Rungs) && r.Rungs[high+1].Behind <= most {
		high++
	}
	r.NearBest = [2]float64{r.Rungs[r.Best].Ask, r.Rungs[high].Ask}
}

// rung is one ask, bought at x, with what it is chosen by.
func (in Input) rung(d draws, ask, x float64) (r Rung, score float64) {
	n := len(d.sale)
	one, days := draws{sale: make([]float64, n), rate: d.rate, work: d.work, offer: d.offer}, make([]float64, n)
	one.at(ask, days)
	in.charge(&one)
	r = Rung{Ask: ask, AskOverValue: ask / d.offer.unit}
	share := 1 / float64(n)
	for i, sells := range days {
		switch {
		case one.givenUp[i]:
			r.ChanceUnsold += share
		case sells <= 30:
			r.ChanceSold30 += share
			fallthrough
		case sells <= 90:
			r.ChanceSold90 += share
		}
	}
	r.MeanDays, r.ExpectedPrice = mean(one.years)*daysPerYear, mean(one.sale)
	score = in.earning()(r.ExpectedPrice, mean(one.fees), r.MeanDays)
	var at Result
	at.At = x
	at.profit(in, one, in.terms(one))
	r.ExpectedNet, r.NetInterval90, r.ChanceOfLoss = at.ExpectedProfit, at.ProfitInterval90, at.ChanceOfLoss
	q := quantiles(days, 0.05, 0.5, 0.95)
	r.Days = estimate.Between(q[1], q[0], q[2], 0.9, "d")
	return r, score
}

const scheduleSteps = 13

// schedule looks ahead month by month, as long as the watch stays unsold.
func (r *LadderReport) schedule(in Input, c *chooser) {
	asked, best := slices.Index(c.asks, r.Asked), r.Best
	days := in.Listing.DaysOnSale
	c.now = asked
	for step := range scheduleSteps {
		if in.Listing.PatienceDays > 0 && days >= in.Listing.PatienceDays && step > 0 {
			return
		}
		at, most := c.below(days, asked)
		if best = min(best, asked); step > 0 {
			best = min(best, at)
		}
		o, w := c.seen(days)
		s := CutStep{DaysOnSale: days, ValueMedian: o.unit * weightedMedian(o.value, w), BestAsk: c.asks[best]}
		if best != asked {
			s.Gain = math.Max(0, most-c.score(o, r.Asked, w))
		}
		if r.CutAt < 0 && s.Gain > worthCutting*r.Asked {
			r.CutAt = step
		}
		r.Schedule = append(r.Schedule, s)
		days = month * (math.Floor(days/month) + 1)
	}
}

// weightedMedian is the middle of the values by their weights; nil counts each once.
func weightedMedian(values, weights []float64) float64 {
	if weights == nil {
		return quantiles(slices.Clone(values), 0.5)[0]
	}
	order, total := make([]int, len(values)), 0.0
	for i, w := range weights {
		order[i], total = i, total+w
	}
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case values[a] < values[b]:
			return -1
		case values[a] > values[b]:
			return 1
		}
		return 0
	})
	sum := 0.0
	for _, i := range order {
		if sum += weights[i]; sum >= total/2 && total > 0 {
			return values[i]
		}
	}
	return values[order[len(order)/2]]
}

func (r *LadderReport) say(in Input) {
	best := r.Rungs[r.Best]
	amount := func(name string, v float64) say.Arg { return say.Amount(name, v, r.Currency) }
	r.Says = append(r.Says, say.That("ladder.best", say.Share("wanted", in.wanted()), amount("ask", best.Ask),
		say.Share("share", best.AskOverValue), say.Chance("unsold", best.ChanceUnsold), days("days", best.Days.Value)))
	if l := in.Listing; l.CutBy > 0 && l.CutEveryDays > 0 {
		r.Says = append(r.Says, say.That("ladder.cuts", say.Share("by", l.CutBy), days("days", l.CutEveryDays)))
	}
	if r.NearBest[1] > best.Ask {
		r.Says = append(r.Says, say.That("ladder.near", amount("high", r.NearBest[1])))
	}
	if l := in.Listing; l.DaysOnSale >= month && r.ValueMedian < r.ValueStated {
		r.Says = append(r.Says, say.That("ladder.learned", days("days", l.DaysOnSale), amount("ask", l.CurrentAsk),
			amount("value", r.ValueMedian), amount("stated", r.ValueStated)))
	}
	r.Says = append(r.Says, r.Cut())
	if last := len(r.Rungs) - 1; last > 0 && (r.Best == 0 || r.Best == last) {
		r.Says = append(r.Says, say.That("ladder.end"))
	}
	r.Says = append(r.Says, in.Listing.Time.Says...)
}

// Cut says whether and when to cut the ask.
func (r *LadderReport) Cut() say.Statement {
	amount := func(name string, v float64) say.Arg { return say.Amount(name, v, r.Currency) }
	first := r.Schedule[0]
	switch {
	case r.CutAt == 0:
		return say.That("ladder.cut-now", amount("to", first.BestAsk), amount("gain", first.Gain))
	case r.CutAt > 0 && r.Rungs[r.Best].Ask < r.Asked:
		s := r.Schedule[r.CutAt]
		return say.That("ladder.cut-later-near", amount("ask", r.Asked), days("days", s.DaysOnSale),
			amount("to", s.BestAsk))
	case r.CutAt > 0:
		s := r.Schedule[r.CutAt]
		return say.That("ladder.cut-later", amount("ask", r.Asked), days("days", s.DaysOnSale), amount("to", s.BestAsk))
	case first.Gain > 0:
		return say.That("ladder.may-stay", amount("ask", r.Asked), amount("to", first.BestAsk),
			amount("gain", first.Gain))
	case r.Rungs[r.Best].Ask < r.Asked:
		return say.That("ladder.no-cut-near", amount("ask", r.Asked), amount("to", r.Rungs[r.Best].Ask))
	}
	return say.That("ladder.no-cut", amount("ask", r.Asked))
}

// days is a number of days, to the day.
func days(name string, d float64) say.Arg { return say.Count(name, int(math.Round(d))) }

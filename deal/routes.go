package deal

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// The usual routes. Any other name may be given.
const (
	OwnSite       = "own site"
	PrivateClient = "private client"
	Auction       = "auction"
	Trade         = "trade"
)

// Route is one way to sell the watch.
type Route struct {
	Name string
	// Sale is the distribution of what the route's fees go by: the price that the buyer
	// pays, at auction the hammer price.
	Sale Sale
	// BuyersPremium, where it has tiers, says that Sale is what the buyer pays at
	// auction with premium; it is taken off before anything else.
	BuyersPremium BuyersPremium
	Fees          []Fee
	Listing       *Listing // how it is offered at an ask; nil: Sale is what it brings, after TimeToSell
	TimeToSell    Weibull
	Lot           Lot      // the reserve, at an auction
	Exchange      Exchange // where Sale and Fees are in another currency
	Tax           *Tax     // nil: that of RoutesInput
}

// RoutesInput is one watch and the routes on which it could be sold, first the one
// that the shop takes where nothing else is said. Amounts are in Currency but where a
// route has an exchange.
type RoutesInput struct {
	Currency            money.Currency
	Routes              []Route
	Work                []Cost // the same work whatever the route
	CarryingRatePerYear float64
	HurdleRatePerYear   float64  // as in Input
	Bound               *float64 // likewise; nil: that of the first route
	Tax                 Tax
	WantedMargin        float64
	Confidence          float64
	// Paid is the price at which the routes are compared: what was paid, or is asked.
	// Without it, it is the highest price of the first route.
	Paid *float64
	// Together is how much of the uncertainty of the sale price the routes share, as a
	// correlation of log prices: a watch that turns out better sells better everywhere.
	Together float64
	Seed     uint64
	Draws    int
}

// CommonTogether is a correlation to start from: about half of the uncertainty lies
// in the watch and its market, half in the single sale. Common practice, no published
// source.
const CommonTogether = 0.5

// RouteResult is what one route comes to.
type RouteResult struct {
	Name string `json:"name"`
	Result
	// ChanceBest is the chance that this route brings the most after all.
	ChanceBest float64 `json:"chance_best"`
	// Behind is by how much the best route is expected to earn more for the money and
	// the time it binds, with the 90 % range of the difference; 0 for the best.
	Behind   float64           `json:"behind"`
	Behind90 estimate.Interval `json:"behind_interval_90"`
}

// RouteReport compares routes, first the one that earns the most for the money and the
// time it binds.
type RouteReport struct {
	Currency money.Currency  `json:"currency"`
	At       float64         `json:"at"`              // the price at which they are compared
	Bound    float64         `json:"bound"`           // the money bound in the watch
	Wanted   float64         `json:"wanted_per_year"` // what that should earn a year
	Paid     bool            `json:"paid"`
	Routes   []RouteResult   `json:"routes"`
	Says     []say.Statement `json:"says"`
}

// Best is the route that earns the most for the money and the time it binds.
func (r RouteReport) Best() RouteResult { return r.Routes[0] }

// Better is how much more the best route is expected to earn than the next, for the
// money and the time bound; 0 where there is one route only.
func (r RouteReport) Better() float64 {
	if len(r.Routes) < 2 {
		return 0
	}
	return r.Routes[1].Behind
}

// CompareRoutes computes each route by the same draws, as far as routes share them,
// and says which is best, by how much, and with what chance. It errs on an input that
// makes no sense, naming the fields.
func CompareRoutes(in RoutesInput) (RouteReport, error) {
	if err := in.Check(); err != nil {
		return RouteReport{}, err
	}
	runs := in.runs()
	first := runs[0].in
	out := RouteReport{Currency: in.Currency, Bound: first.bound(), Wanted: first.wanted(), Says: []say.Statement{}}
	for i := range runs {
		var r Result
		r.highest(runs[i].in, runs[i].draws, runs[i].terms)
		runs[i].highest = r
	}
	out.At = runs[0].highest.HighestPrice
	if in.Paid != nil {
		out.At, out.Paid = *in.Paid, true
	}
	profits := make([][]float64, len(runs))
	for i, r := range runs {
		out.Routes = append(out.Routes, RouteResult{Name: in.Routes[i].Name, Result: r.result(out.At, out.Paid)})
		profits[i] = afterHurdle(profitsAt(out.At, r.in, r.draws, r.terms), out.At, r.in, r.draws)
	}
	out.rank(profits)
	out.say()
	return out, nil
}

// run is one route with its draws.
type run struct {
	in      Input
	draws   draws
	terms   []terms
	highest Result
}

func (in RoutesInput) runs() []run {
	out := make([]run, len(in.Routes))
	bound := in.input(in.Routes[0]).bound()
	in.Bound = &bound
	scores := in.scores()
	var again []int
	for i, r := range in.Routes {
		one := in.input(r)
		d := draws{}
		if i == 0 {
			d = one.draw()
			again = d.again
		} else {
			d = one.drawWith(r.Sale.drawByRank(scores[i], stream(in.Seed, 2<<20+uint64(i))), again)
		}
		out[i] = run{in: one, draws: d, terms: one.terms(d)}
	}
	return out
}

// First is the purchase as it looks when the first route is taken. Buy says of it
// exactly what CompareRoutes says of that route.
func (in RoutesInput) First() Input {
	out := in.input(in.Routes[0])
	out.Asked = in.Paid
	return out
}

// input is the purchase as it looks when this route is taken.
func (in RoutesInput) input(r Route) Input {
	out := Input{
		Currency: in.Currency, Sale: r.Sale, BuyersPremium: r.BuyersPremium, Exchange: r.Exchange,
		Work: in.Work, Fees: r.Fees, CarryingRatePerYear: in.CarryingRatePerYear, Listing: r.Listing,
		TimeToSell: r.TimeToSell, Lot: r.Lot, HurdleRatePerYear: in.HurdleRatePerYear, Bound: in.Bound, Tax: in.Tax,
		WantedMargin: in.WantedMargin, Confidence: in.Confidence, Seed: in.Seed, Draws: in.Draws,
	}
	if r.Tax != nil {
		out.Tax = *r.Tax
	}
	return out
}

// scores are normal scores of each route and draw, with the correlation Together
// between any two routes. Those of the first route rise, as its sale prices do.
//
// They are the rows of the Cholesky factor of an equicorrelation matrix, times
// independent scores: all entries below the diagonal of a column are the same.
func (in RoutesInput) scores() [][]float64 {
	n := in.input(Route{}).drawCount()
	shared := make([]float64, n) // what the columns before bring to every later route
	explained := 0.0             // the share of variance of that
	out := make([][]float64, len(in.Routes))
	for k := range in.Routes {
		diagonal := math.Sqrt(math.Max(0, 1-explained))
		below := 0.0
		if diagonal > 0 {
			below = (in.Together - explained) / diagonal
		}
		rng := stream(in.Seed, 1<<20+uint64(k))
		out[k] = make([]float64, n)
		for i := range out[k] {
			own := quantileNormal((float64(i) + 0.5) / float64(n))
			if k > 0 {
				own = rng.NormFloat64()
			}
			out[k][i] = shared[i] + diagonal*own
			shared[i] += below * own
		}
		explained += below * below
	}
	return out
}

// drawByRank draws sale prices in the order of scores. The scores keep their order but
// are moved to equal shares of probability, so that each route is drawn as evenly as
// by draw.
func (s Sale) drawByRank(score []float64, rng *rand.Rand) []float64 {
	n := len(score)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(score[i], score[j]) })
	out := make([]float64, n)
	for rank, price := range s.draw(n, rng) {
		out[order[rank]] = price
	}
	return out
}

func (r run) result(at float64, paid bool) Result {
	out := r.highest
	out.Currency, out.Draws, out.At, out.AtAsked = r.in.Currency, len(r.draws.sale), at, paid
	out.follow(r.in, r.draws, r.terms)
	return out
}

// rank puts the best first and says how often each route is the best.
func (r *RouteReport) rank(profits [][]float64) {
	n := len(profits[0])
	for k := range n {
		best := 0
		for i := range profits {
			if profits[i][k] > profits[best][k] {
				best = i
			}
		}
		r.Routes[best].ChanceBest += 1 / float64(n)
	}
	first := 0
	for i := range r.Routes {
		if r.Routes[i].AfterHurdle > r.Routes[first].AfterHurdle {
			first = i
		}
	}
	for i := range r.Routes {
		if i == first {
			continue
		}
		behind := make([]float64, n)
		for k := range behind {
			behind[k] = profits[first][k] - profits[i][k]
		}
		r.Routes[i].Behind = mean(behind)
		q := quantiles(behind, 0.05, 0.95)
		r.Routes[i].Behind90 = estimate.Interval{q[0], q[1]}
	}
	slices.SortStableFunc(r.Routes, func(a, b RouteResult) int { return cmp.Compare(b.AfterHurdle, a.AfterHurdle) })
}

func (r *RouteReport) say() {
	best := r.Best()
	if len(r.Routes) > 1 {
		r.Says = append(r.Says, r.why())
	}
	if best.ExpectedProfit < 0 {
		r.Says = append(r.Says, say.That("routes.all-lose"))
	}
	for _, one := range r.Routes {
		if !one.Reachable {
			r.Says = append(r.Says, say.That("routes.gift", route("route", one.Name),
				say.Saying("why", one.Result.Says[0])))
		}
	}
}

const sameMonths = 0.25 // a difference in time that decides nothing

// why says why the best route is better than the next: by what it brings, by its time, or
// by one against the other, for which it says what the longer one brings a month.
func (r *RouteReport) why() say.Statement {
	best, next := r.Routes[0], r.Routes[1]
	more, longer := best.ExpectedProfit-next.ExpectedProfit, best.MeanMonths-next.MeanMonths
	switch {
	case more < 0 && longer < -sameMonths:
		return say.That("routes.sooner", route("route", best.Name), route("next", next.Name),
			say.Chance("chance", best.ChanceBest), say.Amount("more", -more, r.Currency),
			say.Fixed("months", -longer, say.None, 1), say.Amount("monthly", more/longer, r.Currency),
			say.Amount("should", (more-r.rated())/longer, r.Currency), say.Share("wanted", r.Wanted),
			say.Amount("bound", r.Bound, r.Currency))
	case more > 0 && longer > sameMonths && r.Bound > 0:
		return say.That("routes.worth-waiting", route("route", best.Name), route("next", next.Name),
			say.Chance("chance", best.ChanceBest), say.Amount("more", more, r.Currency),
			say.Fixed("months", longer, say.None, 1), say.Amount("monthly", more/longer, r.Currency),
			say.Amount("should", (more-r.rated())/longer, r.Currency), say.Share("wanted", r.Wanted),
			say.Amount("bound", r.Bound, r.Currency))
	case longer < -sameMonths:
		return say.That("routes.more-and-sooner", route("route", best.Name), route("next", next.Name),
			say.Chance("chance", best.ChanceBest), say.Amount("more", more, r.Currency),
			say.Fixed("months", -longer, say.None, 1))
	}
	return say.That("routes.best", route("route", best.Name), route("next", next.Name),
		say.Chance("chance", best.ChanceBest), say.Amount("more", r.rated(), r.Currency))
}

// rated is by how much the best route is better than the next for the money and time
// that they bind.
func (r *RouteReport) rated() float64 { return r.Routes[0].AfterHurdle - r.Routes[1].AfterHurdle }

// route is the name of a route, which is a word of the trade or the shop's own.
func route(name, id string) say.Arg { return say.Term(name, "route", id, id) }

// Check tells what is wrong with the input, field by field.
func (in RoutesInput) Check() error {
	if len(in.Routes) == 0 {
		return bad("routes", "none", "at least one route")
	}
	errs := []error{in.input(Route{}).checkTerms(), checkPaid(in.Paid),
		inRange("together", in.Together, 0, 1, "a correlation from 0 to 1")}
	seen := map[string]bool{}
	for i, r := range in.Routes {
		at := fmt.Sprintf("routes[%d]", i)
		if r.Name == "" || seen[r.Name] {
			errs = append(errs, bad(at+".name", fmt.Sprintf("%q", r.Name), "a name of its own"))
		}
		seen[r.Name] = true
		errs = append(errs, below(at, in.input(r).checkSelling()))
	}
	return errors.Join(errs...)
}

func checkPaid(paid *float64) error {
	if paid == nil {
		return nil
	}
	return inRange("paid", *paid, 0, maxAmount, "a price of 0 or more")
}

package deal

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// What to pay and what to ask are one model: at the best ask both say the same, to the
// last digit, whatever the terms.
func TestBuyIsTheBestRung(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		if rapid.Bool().Draw(t, "no price") {
			in.Asked = nil
		}
		r, l := buy(t, in), ladder(t, in)
		best := l.Rungs[l.Best]
		if r.At != l.At || r.Ask != best.Ask || r.ExpectedProfit != best.ExpectedNet ||
			r.ChanceOfLoss != best.ChanceOfLoss || r.ProfitInterval90 != best.NetInterval90 ||
			math.Abs(r.ChanceUnsold-best.ChanceUnsold) > 1e-9 {
			t.Fatalf("what to pay: %+v\nwhat to ask at %g: %+v", r, l.At, best)
		}
	})
}

// A route that is offered at an ask says in the table what it says alone.
func TestListedRouteIsBuy(t *testing.T) {
	one := testLadder(t)
	one.Listing.DaysOnSale, one.Listing.CurrentAsk = 100, 11500
	in := testRoutes()
	in.Paid, in.HurdleRatePerYear = one.Asked, one.HurdleRatePerYear
	in.Routes[0].Listing, in.Routes[1].Listing, in.Routes[2].Lot = one.Listing, testLadder(t).Listing, CommonLot()
	compared := compare(t, in)
	got, want := named(compared, OwnSite).Result, buy(t, in.First())
	if got.Ask != want.Ask || got.ExpectedProfit != want.ExpectedProfit || got.HighestPrice != want.HighestPrice ||
		got.ChanceOfLoss != want.ChanceOfLoss || got.AfterHurdle != want.AfterHurdle {
		t.Errorf("%+v\nalone %+v", got, want)
	}
	// What a hundred days unsold say of its value, they say of the other routes too.
	in.Routes[0].Listing = testLadder(t).Listing
	fresh := compare(t, in)
	for _, name := range []string{PrivateClient, Auction, Trade} {
		if a, b := named(fresh, name).Sale.Mean, named(compared, name).Sale.Mean; b >= a {
			t.Errorf("%s brings %g, after a hundred days unsold %g", name, a, b)
		}
	}
	for i, r := range compared.Routes {
		if i > 0 && r.AfterHurdle > compared.Routes[i-1].AfterHurdle || r.Behind < -1e-9 {
			t.Errorf("%s is behind by %g", r.Name, r.Behind)
		}
	}
}

// outcome is what an independent simulation, day by day, gives.
type outcome struct{ profit, loss, unsold, days, square float64 }

// dayByDay sells watches by walking through the days: each day a buyer comes with the
// chance of that day.
func dayByDay(in Input, ask float64, n int) (out outcome) {
	l, rng := in.Listing, rand.New(rand.NewPCG(99, 7))
	base, sd := l.Time.At(l.at()), l.Time.logScaleSD(l.at())
	for range n {
		v := math.Exp(in.Sale.LogMedian + in.Sale.LogScale*rng.NormFloat64())
		slow := sd * rng.NormFloat64()
		a, price, day := ask, l.GivenUp*v, 0
		sold := false
		for ; float64(day) < l.PatienceDays && !sold; day++ {
			if every := int(l.CutEveryDays); day > 0 && day%every == 0 {
				a = math.Max(math.Min(ask, l.GivenUp*math.Exp(in.Sale.LogMedian)), a*(1-l.CutBy))
			}
			scale := base.ScaleDays * math.Exp(slow) * math.Pow(a/v, l.Time.Price.Estimate)
			step := math.Pow((float64(day)+1)/scale, base.Shape) - math.Pow(float64(day)/scale, base.Shape)
			if sold = rng.Float64() < 1-math.Exp(-step); sold {
				price = (1 - l.Discount) * a
				if price > v {
					price = v * math.Min(math.Pow(price/v, l.PassThrough), 1+l.MostOver)
				}
			}
		}
		profit := price - *in.Asked*(1+in.CarryingRatePerYear*float64(day)/daysPerYear) - in.Tax.Due(*in.Asked, price)
		if sold {
			profit -= in.Fees[0].ShareOfSale * price
		}
		out.profit += profit / float64(n)
		out.square += profit * profit / float64(n)
		out.loss += one(profit < 0) / float64(n)
		out.unsold += one(!sold) / float64(n)
		out.days += float64(day) / float64(n)
	}
	return out
}

func TestLadderAgainstDayByDay(t *testing.T) {
	const n = 10_000
	for _, shape := range []float64{0.8, 1.3} {
		in := testLadder(t)
		in.Work, in.Sale.DoF, in.Draws = nil, 0, testDraws
		in.Listing.Asks = []float64{9000, 10500, 13000}
		in.Listing.Time = fitTime(t, nil, PriorAround(Weibull{Shape: shape, ScaleDays: 120}))
		for _, r := range ladder(t, in).Rungs {
			want := dayByDay(in, r.Ask, n)
			share := func(what string, got, p float64) {
				within(t, what, got, p, 4*math.Sqrt(p*(1-p)*(1.0/n+1.0/testDraws))+0.002)
			}
			se := math.Sqrt((want.square - want.profit*want.profit) * (1.0/n + 1.0/testDraws))
			within(t, "expected net", r.ExpectedNet, want.profit, 4*se)
			share("chance of loss", r.ChanceOfLoss, want.loss)
			share("never sold", r.ChanceUnsold, want.unsold)
			within(t, "mean days", r.MeanDays, want.days, 4*150*math.Sqrt(1.0/n+1.0/testDraws)+1)
		}
	}
}

// With a value that is certain and a constant hazard all is exponential: E min(T, L) is
// (1 − e^(−λL))/λ, and with cuts the hazards of the asks add up.
func TestCutsAgainstClosedForm(t *testing.T) {
	w := Weibull{Shape: 1, ScaleDays: 100}
	paid := 800.0
	in := Input{Sale: Sale{LogMedian: math.Log(1000)}, Asked: &paid, Confidence: 0.5, Draws: testDraws,
		CarryingRatePerYear: 0.1,
		Listing: &Listing{Time: fitTime(t, nil, sure(w)), Asks: []float64{1000},
			Haggling: Haggling{PassThrough: 1, MostOver: 1, PatienceDays: 200, GivenUp: 0.7}}}
	r := ladder(t, in).Rungs[0]
	days := 100 * (1 - math.Exp(-2))
	within(t, "mean days", r.MeanDays, days, 0.5)
	within(t, "never sold", r.ChanceUnsold, math.Exp(-2), 0.003)
	within(t, "net", r.ExpectedNet, 1000-300*math.Exp(-2)-800*(1+0.1*days/daysPerYear), 1)

	in.Listing.CutEveryDays, in.Listing.CutBy = 100, 0.1
	r = ladder(t, in).Rungs[0]
	first, second := math.Exp(-1), math.Exp(-math.Pow(0.9, -4)) // unsold through each ask
	within(t, "never sold", r.ChanceUnsold, first*second, 0.003)
	within(t, "price", r.ExpectedPrice, 1000*(1-first)+900*first*(1-second)+700*first*second, 1.5)
}

// An auction with a reserve: Φ and the means of a lognormal cut at the reserve.
func TestReserveAgainstClosedForm(t *testing.T) {
	const mu, sigma, reserve, last, charge = 9.0, 0.3, 0.85, 0.6, 0.05
	phi := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	z := math.Log(reserve) / sigma
	all := math.Exp(mu + sigma*sigma/2)
	above := all * phi(sigma-z) // E[H; H ≥ R]
	paid := 1000.0
	r := buy(t, Input{Sale: Sale{LogMedian: mu, LogScale: sigma}, Lot: Lot{reserve, charge, last}, Asked: &paid,
		Fees: []Fee{{ShareOfSale: 0.1}}, Confidence: 0.5, Draws: testDraws})
	within(t, "unsold", r.ChanceUnsold, phi(z), 1e-3)
	want := 0.9*above + last*(all-above) - charge*reserve*math.Exp(mu)*phi(z) - paid
	within(t, "expected profit", r.ExpectedProfit, want, 1e-3*want)
	if free := buy(t, Input{Sale: Sale{LogMedian: mu, LogScale: sigma}, Lot: Lot{0, charge, last}, Asked: &paid,
		Confidence: 0.5}); free.ChanceUnsold != 0 {
		t.Errorf("without a reserve %g stay unsold", free.ChanceUnsold)
	}
}

// A dearer purchase and more work leave the ask as it is and never raise what is expected.
// Another cost never raises what is expected at an ask, nor what the best ask earns for
// money and time.
func TestNothingDearerEarnsMore(t *testing.T) {
	worse := map[string]func(*Input, float64){
		"price": func(in *Input, by float64) { paid := *in.Asked * (1 + by); in.Asked = &paid },
		"work":  func(in *Input, by float64) { in.Work = append(slices.Clone(in.Work), Cost{High: 500 * by}) },
		"fee":   func(in *Input, by float64) { in.Fees = append(slices.Clone(in.Fees), Fee{Fixed: 500 * by}) },
		"share": func(in *Input, by float64) { in.Fees = append(slices.Clone(in.Fees), Fee{ShareOfSale: by / 2}) },
		"last": func(in *Input, by float64) {
			*in = listed(*in)
			in.Listing.LastFees = []Fee{{ShareOfSale: by / 2, Fixed: 100 * by}}
		},
		"tax": func(in *Input, by float64) { in.Tax.Rate += by / 2 },
	}
	for name, change := range worse {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				in := drawLadder(t)
				spent := name == "price" || name == "work"
				one := !spent && rapid.Bool().Draw(t, "one ask")
				if one {
					in.Listing.Asks, in.Listing.DaysOnSale, in.Listing.CurrentAsk = in.Listing.Asks[2:3], 0, 0
				}
				before := buy(t, in)
				change(&in, rapid.Float64Range(0, 1).Draw(t, "by"))
				after := buy(t, in)
				small := 1e-9 * math.Exp(in.Sale.LogMedian)
				if spent && after.Ask != before.Ask {
					t.Fatalf("what is spent either way moves the ask from %g to %g", before.Ask, after.Ask)
				}
				if (spent || one) && (after.ExpectedProfit > before.ExpectedProfit+small ||
					after.ChanceOfLoss < before.ChanceOfLoss || after.HighestPrice > before.HighestPrice+small) {
					t.Fatalf("%+v\nthen %+v", before, after)
				}
				if after.AfterHurdle > before.AfterHurdle+(nearBest+2e-3)*math.Exp(in.Sale.LogMedian) {
					t.Fatalf("%g for money and time, then %g", before.AfterHurdle, after.AfterHurdle)
				}
			})
		})
	}
}

// A longer time unsold never raises the best ask, nor the value, and after a month the
// best ask is never above the present one.
func TestLongerUnsoldNeverRaisesTheAsk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		in.Listing.DaysOnSale = rapid.Float64Range(0, 400).Draw(t, "days so far")
		before := buy(t, in)
		later := listed(in)
		later.Listing.DaysOnSale += rapid.Float64Range(0, 200).Draw(t, "days more")
		after := buy(t, later)
		if after.Ask > before.Ask {
			t.Fatalf("the best ask rose from %g to %g", before.Ask, after.Ask)
		}
		if l := later.Listing; l.DaysOnSale >= month && after.Ask > l.CurrentAsk {
			t.Fatalf("unsold for %g days at %g, and the best ask is %g", l.DaysOnSale, l.CurrentAsk, after.Ask)
		}
	})
}

// The highest price is the one at which the stated rule is just met, with an ask too.
func TestHighestPriceOfAListing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		in.Asked = nil
		r := buy(t, in)
		if !r.Reachable {
			return
		}
		if r.ChanceOfMargin < in.Confidence-1.0/float64(r.Draws) {
			t.Fatalf("at %g the margin is kept with %g, want %g", r.HighestPrice, r.ChanceOfMargin, in.Confidence)
		}
		above := r.HighestPrice * (1 + 1e-6)
		in.Asked = &above
		if after := buy(t, in); after.ChanceOfMargin > in.Confidence+2.0/float64(r.Draws) && in.Sale.LogScale > 0.01 {
			t.Fatalf("above %g the margin is still kept with %g", r.HighestPrice, after.ChanceOfMargin)
		}
	})
}

// searchMisses is what the search of the best ask may leave, as a share of the value, beside what counts as equal: asks
// are tried four apart first, and with so few draws what they earn goes up and down between them.
const searchMisses = 5e-3

// The best of the coarse search is that of all asks, but for what nobody would notice.
func TestSearchFindsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLadder(t)
		in.Listing.Asks, in.Listing.DaysOnSale, in.Draws = nil, 0, 1000
		d := in.draw()
		best := math.Inf(-1)
		for _, ask := range d.choose.asks {
			best = math.Max(best, d.choose.score(d.offer, ask, nil))
		}
		if got := d.choose.score(d.offer, d.ask, nil); best-got > (nearBest+searchMisses)*math.Exp(in.Sale.LogMedian) {
			t.Fatalf("found %g, there is %g", got, best)
		}
	})
}

// A watch for which little is bound in money and time may wait; where more is to be
// earned with the money, the sooner route is better, and the report says why.
func TestMoneyByMonth(t *testing.T) {
	paid := 7000.0
	in := RoutesInput{Currency: "EUR", Paid: &paid, Confidence: 0.5, Together: 1, HurdleRatePerYear: 0.25,
		Routes: []Route{
			{Name: OwnSite, Sale: Sale{LogMedian: math.Log(8280)}, TimeToSell: Weibull{50, 240}},
			{Name: PrivateClient, Sale: Sale{LogMedian: math.Log(8000)}, TimeToSell: Weibull{50, 57}}}}
	r := compare(t, in)
	if r.Best().Name != PrivateClient || r.Says[0].Kind != "routes.sooner" {
		t.Errorf("280 for six months: best %s, %s", r.Best().Name, r.Says[0])
	}
	in.HurdleRatePerYear = 0.04
	r = compare(t, in)
	if r.Best().Name != OwnSite || r.Says[0].Kind != "routes.worth-waiting" {
		t.Errorf("280 for six months at 4 %%: best %s, %s", r.Best().Name, r.Says[0])
	}
	in.Routes[1].Sale.LogMedian = math.Log(8300)
	if r = compare(t, in); r.Best().Name != PrivateClient || r.Says[0].Kind != "routes.more-and-sooner" {
		t.Errorf("more, and sooner: best %s, %s", r.Best().Name, r.Says[0])
	}
}

package opinion

import (
	"fmt"
	"math"

	"midcase/deal"
	"midcase/evidence"
	"midcase/money"
)

// deal reckons what to pay. The sale it counts on is the value on the basis asked
// for; a value to insure is no sale, so no price follows from it.
func (f *forming) deal() {
	t := f.settings.Terms
	out := Deal{WantedMargin: t.WantedMargin, Confidence: t.Confidence, Says: []string{}}
	switch {
	case f.valuation == nil:
		out.CannotTell = "without a value there is no price to pay"
	case f.settings.Basis == "insurance":
		out.CannotTell = "a value to insure is no price that a sale would bring"
	}
	if out.CannotTell != "" {
		f.out.Deal = out
		return
	}
	asked, basis := f.asked()
	in := f.dealInput(asked)
	r, err := deal.Buy(in)
	if err != nil {
		out.CannotTell = err.Error()
		f.out.Deal = out
		return
	}
	f.fillDeal(&out, r, asked, basis)
	f.out.Deal = out
}

func (f *forming) dealInput(asked money.Money) deal.Input {
	t, v := f.settings.Terms, f.valuation
	in := deal.Input{
		Currency: v.Currency, Sale: deal.Sale{LogMedian: v.LogMedian, LogScale: v.LogScale, DoF: v.DoF},
		Work:                f.workExpected(),
		Fees:                []deal.Fee{{Name: "selling costs", ShareOfSale: t.SellingFeeShare, Fixed: t.FixedCost}},
		CarryingRatePerYear: t.CarryingRatePerYear, TimeToSell: t.TimeToSell, Tax: t.Tax,
		WantedMargin: t.WantedMargin, Confidence: t.Confidence, Seed: t.Seed,
	}
	if !asked.IsZero() {
		a := asked.Float()
		in.Asked = &a
	}
	return in
}

// workExpected is the work that the evidence makes likely, as ranges of cost.
func (f *forming) workExpected() []deal.Cost {
	s := f.settings.Terms.ServiceCost
	if s == ([3]float64{}) {
		return nil
	}
	c := deal.Cost{Name: "service", Low: s[0], Mode: s[1], High: s[2], Chance: 0.5}
	switch need := f.out.Running.ServiceExpected; {
	case need != nil && *need:
		c.Chance = 1
	case need != nil:
		c.Chance = 0.15
	}
	return []deal.Cost{c}
}

// asked is the price asked, as set or as last claimed, where its currency is the
// opinion's.
func (f *forming) asked() (money.Money, []Basis) {
	if !f.settings.Asked.IsZero() {
		return f.inCurrency(f.settings.Asked, []Basis{{Source: "setting", ID: "asked"}})
	}
	for _, c := range evidence.All[*evidence.Claim](f.file) {
		if !c.Data.Price.IsZero() {
			return f.inCurrency(c.Data.Price, fromEvidence(c.Item.ID))
		}
	}
	return money.Money{}, nil
}

func (f *forming) inCurrency(m money.Money, basis []Basis) (money.Money, []Basis) {
	if m.Currency() != f.valuation.Currency {
		f.unknown("The price asked is in %s, the value in %s; without a rate they are not compared.", m.Currency(), f.valuation.Currency)
		return money.Money{}, nil
	}
	return m, basis
}

func (f *forming) fillDeal(out *Deal, r deal.Result, asked money.Money, basis []Basis) {
	cur := f.valuation.Currency
	highest, err := money.Round(floorTo3(r.HighestPrice), cur)
	if err != nil {
		out.CannotTell = err.Error()
		return
	}
	profit, err := money.Round(math.Round(r.ExpectedProfit), cur)
	if err != nil {
		out.CannotTell = err.Error()
		return
	}
	out.Known, out.HighestPrice, out.ExpectedProfit = true, &highest, &profit
	out.ChanceOfLoss = ptr(round(r.ChanceOfLoss, 4))
	out.ProfitInterval = [2]float64{math.Round(r.ProfitInterval90.Low()), math.Round(r.ProfitInterval90.High())}
	if !asked.IsZero() {
		out.AskedPrice = &asked
	}
	if r.MonthsToSell.Told() {
		m := r.MonthsToSell
		out.MonthsToSell = &m
	}
	for _, c := range r.Costs {
		out.Costs = append(out.Costs, Cost{Name: c.Name, Mean: round(c.Mean, 0), Interval: [2]float64{round(c.Interval90.Low(), 0), round(c.Interval90.High(), 0)}})
	}
	out.Floor = f.out.Metal.MeltFloor
	out.Basis = append(append(basis, f.out.Value.Basis...), Basis{Source: "setting", ID: "terms"})
	at := "At that price"
	if r.AtAsked {
		at = fmt.Sprintf("At the asked %s", price(asked))
	}
	out.Says = append(out.Says,
		fmt.Sprintf("Pay no more than %s to keep a margin of %s with %s confidence, by this shop's terms.", price(highest), percentOf(out.WantedMargin), percentOf(out.Confidence)),
		fmt.Sprintf("%s the expected profit is %s (nine in ten between %s and %s); chance of a loss %s.", at, price(profit), signed(out.ProfitInterval[0]), signed(out.ProfitInterval[1]), percentOf(r.ChanceOfLoss)))
	for _, s := range r.Says {
		out.Says = append(out.Says, sentence(s))
	}
}

// floorTo3 rounds a price to pay down to three significant figures, so that rounding
// never eats the margin.
func floorTo3(v float64) float64 {
	if v <= 0 {
		return 0
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(v))-2))
	return math.Floor(v/unit) * unit
}

package deal

import (
	"cmp"
	"math"
	"slices"

	"midcase/estimate"
	"midcase/say"
)

// costsAt lists what is paid between buying at x and selling, each as a range.
// Ranges of what rises with the sale price follow from the range of that.
func costsAt(x float64, in Input, d draws, sale Range) []CostShare {
	var out []CostShare
	for k, c := range in.Work {
		out = append(out, CostShare{cost(c.Name, "work"), mean(d.work[k]),
			estimate.Interval{c.quantile(0.05), c.quantile(0.95)}})
	}
	ofPurchase := in.ofPurchase()
	rate := d.meanRate()
	for _, f := range in.Fees {
		at := func(s float64) float64 { return rate*f.ofSale(s/rate) + f.ofPurchase()*x }
		m := 0.0
		for i, s := range d.sale {
			if r := d.rateAt(i); !d.gone(i) {
				m += r * f.ofSale(s/r)
			}
			m += f.ofPurchase() * x
		}
		out = append(out, CostShare{cost(f.Name, "fee"), m / float64(len(d.sale)),
			estimate.Interval{at(sale.Interval90.Low()), at(sale.Interval90.High())}})
	}
	out = append(out, lastCosts(d)...)
	if in.CarryingRatePerYear > 0 && d.years != nil {
		r := rangeOf(carrying(x*(1+ofPurchase), in.CarryingRatePerYear, d))
		out = append(out, CostShare{cost("carrying", ""), r.Mean, r.Interval90})
	}
	if in.Tax.inside() > 0 {
		sum := 0.0
		for _, s := range d.sale {
			sum += in.Tax.Due(x, s)
		}
		out = append(out, CostShare{cost("tax", ""), sum / float64(len(d.sale)),
			estimate.Interval{in.Tax.Due(x, sale.Interval90.Low()), in.Tax.Due(x, sale.Interval90.High())}})
	}
	return out
}

// lastCosts are those of going to the trade in the end.
func lastCosts(d draws) []CostShare {
	sum, most := 0.0, 0.0
	for i := range d.givenUp {
		if d.givenUp[i] {
			sum, most = sum+d.fees[i], math.Max(most, d.fees[i])
		}
	}
	if sum == 0 {
		return nil
	}
	return []CostShare{{cost("trade_at_last", ""), sum / float64(len(d.sale)),
		estimate.Interval{0, most}}}
}

// carrying is the cost of the money laid out for the watch and the work.
func carrying(paid, ratePerYear float64, d draws) []float64 {
	out := make([]float64, len(d.years))
	for i, years := range d.years {
		laidOut := paid
		for _, w := range d.work {
			laidOut += w[i]
		}
		out[i] = ratePerYear * years * laidOut
	}
	return out
}

// cost is the name of a cost, which is a word of the trade or the shop's own.
func cost(name, otherwise string) say.Statement {
	id := cmp.Or(name, otherwise)
	return say.That("deal.cost", say.Term("cost", "cost", id, id))
}

// source is the name of something uncertain that the result depends on.
func source(id string) say.Statement {
	return say.That("deal.source", say.Term("source", "uncertain", id, ""))
}

// saleShares are the variances that the sale price and the exchange rate bring in.
func saleShares(x float64, in Input, d draws) []Share {
	fees := tariffOf(in.Fees)
	keep := func(s, rate float64) float64 { return s - fees.on(s, rate) - in.Tax.Due(x, s) }
	if d.rate == nil {
		return []Share{{source("sale_price"), variance(len(d.sale),
			func(i int) float64 { return d.sale[i] - d.fees[i] - in.Tax.Due(x, d.sale[i]) })}}
	}
	rate, abroad := mean(d.rate), 0.0
	for i, s := range d.sale {
		abroad += s / d.rate[i]
	}
	abroad /= float64(len(d.sale))
	return []Share{
		{source("sale_price"), variance(len(d.sale),
			func(i int) float64 { return keep(d.sale[i]/d.rate[i]*rate, rate) })},
		{source("exchange_rate"), variance(len(d.rate),
			func(i int) float64 { return keep(abroad*d.rate[i], d.rate[i]) })},
	}
}

// sensitivity compares the variances of the profit when one source at a time
// varies and the others stand at their means. What sources do only together is
// small here and left out; the shares are scaled to sum to 1.
func sensitivity(x float64, in Input, d draws) []Share {
	carry, laidOut := 1.0, x*(1+in.ofPurchase())
	for _, w := range d.work {
		laidOut += mean(w)
	}
	if d.years != nil {
		carry += in.CarryingRatePerYear * mean(d.years)
	}
	out := saleShares(x, in, d)
	if d.years != nil && in.CarryingRatePerYear > 0 {
		out = append(out, Share{source("time_to_sell"), variance(len(d.years),
			func(i int) float64 { return in.CarryingRatePerYear * laidOut * d.years[i] })})
	}
	for k, c := range in.Work {
		out = append(out, Share{cost(c.Name, "work"), variance(len(d.work[k]),
			func(i int) float64 { return carry * d.work[k][i] })})
	}
	total := 0.0
	for _, s := range out {
		total += s.Share
	}
	if total == 0 {
		return nil
	}
	for i := range out {
		out[i].Share /= total
	}
	slices.SortStableFunc(out, func(a, b Share) int { return cmp.Compare(b.Share, a.Share) })
	return out
}

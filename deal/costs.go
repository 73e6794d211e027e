package deal

import (
	"cmp"
	"slices"

	"midcase/estimate"
)

// costsAt lists what is paid between buying at x and selling, each as a range.
func costsAt(x float64, in Input, d draws) []CostShare {
	var out []CostShare
	each := make([]float64, len(d.sale))
	add := func(name string, of func(i int) float64) {
		for i := range each {
			each[i] = of(i)
		}
		r := rangeOf(each)
		out = append(out, CostShare{name, r.Mean, r.Interval90})
	}
	for k, c := range in.Work {
		add(nameOr(c.Name, "work"), func(i int) float64 { return d.work[k][i] })
	}
	ofPurchase := 0.0
	for _, f := range in.Fees {
		ofPurchase += f.ShareOfPurchase
		if f.ShareOfSale == 0 {
			certain := f.Fixed + f.ShareOfPurchase*x
			out = append(out, CostShare{nameOr(f.Name, "fee"), certain, estimate.Interval{certain, certain}})
			continue
		}
		add(nameOr(f.Name, "fee"), func(i int) float64 { return f.ShareOfSale*d.sale[i] + f.ShareOfPurchase*x + f.Fixed })
	}
	if in.CarryingRatePerYear > 0 && d.years != nil {
		add("carrying", func(i int) float64 {
			laidOut := x * (1 + ofPurchase)
			for _, w := range d.work {
				laidOut += w[i]
			}
			return in.CarryingRatePerYear * d.years[i] * laidOut
		})
	}
	if in.Tax.inside() > 0 {
		add("tax", func(i int) float64 { return in.Tax.Due(x, d.sale[i]) })
	}
	return out
}

func nameOr(name, other string) string {
	if name == "" {
		return other
	}
	return name
}

// sensitivity compares the variances of the profit when one source at a time
// varies and the others stand at their means. What sources do only together is
// small here and left out; the shares are scaled to sum to 1.
func sensitivity(x float64, in Input, d draws) []Share {
	var ofSale, ofPurchase float64
	for _, f := range in.Fees {
		ofSale += f.ShareOfSale
		ofPurchase += f.ShareOfPurchase
	}
	carry, laidOut := 1.0, x*(1+ofPurchase)
	for _, w := range d.work {
		laidOut += mean(w)
	}
	if d.years != nil {
		carry += in.CarryingRatePerYear * mean(d.years)
	}
	out := []Share{{"sale price", variance(len(d.sale), func(i int) float64 { return d.sale[i]*(1-ofSale) - in.Tax.Due(x, d.sale[i]) })}}
	if d.years != nil && in.CarryingRatePerYear > 0 {
		out = append(out, Share{"time to sell", variance(len(d.years), func(i int) float64 { return in.CarryingRatePerYear * laidOut * d.years[i] })})
	}
	for k, c := range in.Work {
		out = append(out, Share{nameOr(c.Name, "work"), variance(len(d.work[k]), func(i int) float64 { return carry * d.work[k][i] })})
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

package deal

import "math"

// inside is the share of a price that is tax when the price contains it: r/(1+r).
func (t Tax) inside() float64 {
	if t.Scheme == "" || t.Scheme == NoTax {
		return 0
	}
	return t.Rate / (1 + t.Rate)
}

// Due is the tax on one sale, with the price paid and the sale price both as the
// parties paid them. Under the margin scheme it is max(0, sale − purchase)·r/(1+r)
// (EU Directive 2006/112, Art. 315; the rate is inside the margin, and work done
// does not lower it); under the ordinary scheme sale·r/(1+r), less the tax inside
// the price paid where that can be reclaimed.
func (t Tax) Due(purchase, sale float64) float64 {
	q := t.inside()
	switch t.Scheme {
	case MarginTaxed:
		return q * math.Max(0, sale-purchase)
	case Ordinary:
		if t.RecoverInput {
			return q * (sale - purchase)
		}
		return q * sale
	}
	return 0
}

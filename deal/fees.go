package deal

import (
	"errors"
	"fmt"
	"math"
)

// Fee is what selling or buying costs.
type Fee struct {
	Name            string
	ShareOfSale     float64 // 0.03 is 3 % of the sale price
	Tiers           []Tier  // of the sale price, on top of ShareOfSale
	ShareOfPurchase float64 // a buyer's premium, say, on the price paid
	Fixed           float64
	// Least is the least that the parts that go by the sale price come to together,
	// before tax.
	Least float64
	// TaxRate is the tax on the fee where it cannot be reclaimed: 0.20 for 20 %.
	TaxRate float64
}

// Tier is a share of the part of a price that lies over Over and under the next
// tier's Over: 25 % up to 1,000 and 20 % of what is above is {0, .25}, {1000, .2}.
type Tier struct{ Over, Share float64 }

// tiered is the sum over the tiers, each of its own part of the price.
func tiered(tiers []Tier, price float64) float64 {
	sum := 0.0
	for i, t := range tiers {
		to := price
		if i+1 < len(tiers) {
			to = min(price, tiers[i+1].Over)
		}
		sum += t.Share * max(0, to-t.Over)
	}
	return sum
}

// ofSale is what the fee comes to on a sale price, without what goes by the
// purchase.
func (f Fee) ofSale(sale float64) float64 {
	return (max(f.Least, f.ShareOfSale*sale+tiered(f.Tiers, sale)) + f.Fixed) * (1 + f.TaxRate)
}

// plain reports whether the fee is a share of the sale price and a fixed amount, no more.
func (f Fee) plain() bool { return f.Least == 0 && len(f.Tiers) == 0 }

// tariff is what several fees come to on a sale price; the plain ones are added up beforehand.
type tariff struct {
	share, fixed float64
	others       []Fee
}

func tariffOf(fees []Fee) tariff {
	var t tariff
	for _, f := range fees {
		if f.plain() {
			t.share += f.ShareOfSale * (1 + f.TaxRate)
			t.fixed += f.Fixed * (1 + f.TaxRate)
		} else {
			t.others = append(t.others, f)
		}
	}
	return t
}

// on is what the fees come to on a sale, in the shop's currency as the price is; they are
// stated in that of which one is worth rate.
func (t *tariff) on(sale, rate float64) float64 {
	sum := t.share*sale + rate*t.fixed
	for i := range t.others {
		sum += rate * t.others[i].ofSale(sale/rate)
	}
	return sum
}

// parting is what leaving costs: the fees of the sale, or those of going to the trade in
// the end.
type parting struct{ sale, last tariff }

func (in Input) parting() *parting {
	p := &parting{sale: tariffOf(in.Fees)}
	if l := in.Listing; l != nil {
		p.last = tariffOf(l.LastFees)
	} else if in.Lot.Charge > 0 {
		p.last.fixed = in.Lot.Charge * in.Lot.Reserve * in.medianValue()
	}
	return p
}

func (p *parting) costs(sale, rate float64, givenUp bool) float64 {
	if givenUp {
		return p.last.on(sale, 1) // stated in the shop's currency
	}
	return p.sale.on(sale, rate)
}

// ofPurchase is the share of the price paid that the fee takes.
func (f Fee) ofPurchase() float64 { return f.ShareOfPurchase * (1 + f.TaxRate) }

// maxOfSale is the largest share that it can take of one more unit of sale price.
func (f Fee) maxOfSale() float64 {
	top := 0.0
	for _, t := range f.Tiers {
		top = math.Max(top, t.Share)
	}
	return (f.ShareOfSale + top) * (1 + f.TaxRate)
}

func (f Fee) check(at string) error {
	return errors.Join(
		inRange(at+".share_of_sale", f.ShareOfSale, 0, 0.99, "a share from 0 to under 1, such as 0.03"),
		checkTiers(at+".tiers", f.Tiers, 0.99),
		inRange(at+".share_of_purchase", f.ShareOfPurchase, 0, 10, "a share of 0 or more, such as 0.25"),
		inRange(at+".fixed", f.Fixed, 0, maxAmount, "an amount of 0 or more"),
		inRange(at+".least", f.Least, 0, maxAmount, "an amount of 0 or more"),
		inRange(at+".tax_rate", f.TaxRate, 0, 5, "a share of 0 or more, such as 0.20"))
}

func checkTiers(at string, tiers []Tier, high float64) error {
	for i, t := range tiers {
		here := fmt.Sprintf("%s[%d]", at, i)
		if err := errors.Join(inRange(here+".over", t.Over, 0, maxAmount, "an amount of 0 or more"),
			inRange(here+".share", t.Share, 0, high, fmt.Sprintf("a share from 0 to %g", high))); err != nil {
			return err
		}
		if i > 0 && t.Over <= tiers[i-1].Over {
			return bad(here+".over", t.Over, "amounts that rise from tier to tier")
		}
	}
	return nil
}

// BuyersPremium is what the buyer pays at auction on top of the hammer price.
type BuyersPremium struct {
	Tiers   []Tier  // of the hammer price
	TaxRate float64 // on the premium: 0.20 for 20 %
}

// AllIn is what the buyer pays for a hammer price, the tax on the premium included.
func (p BuyersPremium) AllIn(hammer float64) float64 {
	return hammer + (1+p.TaxRate)*tiered(p.Tiers, hammer)
}

// Hammer is the hammer price at which the buyer pays allIn: AllIn backwards.
func (p BuyersPremium) Hammer(allIn float64) float64 {
	for i := len(p.Tiers) - 1; i >= 0; i-- {
		t := p.Tiers[i]
		if at := p.AllIn(t.Over); allIn >= at {
			return t.Over + (allIn-at)/(1+(1+p.TaxRate)*t.Share)
		}
	}
	return allIn
}

func (p BuyersPremium) check(at string) error {
	return errors.Join(checkTiers(at+".tiers", p.Tiers, 5),
		inRange(at+".tax_rate", p.TaxRate, 0, 5, "a share of 0 or more, such as 0.20"))
}

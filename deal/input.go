package deal

import (
	"errors"
	"fmt"
	"math"

	"midcase/money"
)

// Input is one purchase to think about. Amounts are in Currency.
type Input struct {
	Currency money.Currency // said beside the figures; may be empty
	Sale     Sale
	// BuyersPremium, where it has tiers, says that Sale is what the buyer pays at
	// auction with premium; it is taken off before anything else.
	BuyersPremium BuyersPremium
	Work          []Cost
	// Exchange is given where Sale and the amounts of Fees are in another currency.
	Exchange Exchange
	Fees     []Fee
	// CarryingRatePerYear is the yearly cost of money, insurance and room, as a share
	// of what is laid out (0.08 is 8 %), simple interest over the time to sell.
	CarryingRatePerYear float64
	// HurdleRatePerYear is what money bound should earn a year, the cost of money
	// included. Where it is less than the cost of money, that counts.
	HurdleRatePerYear float64
	// Bound is the money bound in the watch: what selling it to the trade today would
	// free. Nil: its value, times what it brings when it is given up.
	Bound *float64
	// Listing says that the watch is offered at an ask until it sells or is given up. Where
	// it is nil, Sale is what it brings, after TimeToSell; zero: not known, no carrying
	// cost is counted. Lot is the reserve at an auction.
	Listing    *Listing
	TimeToSell Weibull
	Lot        Lot
	Tax        Tax
	// WantedMargin is the profit after all costs and tax as a share of the price paid
	// (0.15: earn 150 on 1,000 paid). Confidence is the chance, over 0 and under 1,
	// with which it is to be reached.
	WantedMargin float64
	Confidence   float64
	Asked        *float64 // the seller's price; nil when there is none
	Seed         uint64
	Draws        int // 0 means DefaultDraws
}

// DefaultDraws is how many draws Buy makes where Input says nothing. Sale prices are
// drawn from equal shares of probability, so that these are worth about 20,000 plain
// ones: between seeds the highest price of an ordinary watch moves by 0.1 to 0.2 %.
const DefaultDraws = 5_000

const (
	minDraws = 100
	maxDraws = 2_000_000
)

// Sale is the predictive distribution of the sale price, or of what buyers would pay, tax included: either
// Quantiles, or a Student-t around LogMedian on natural log of price.
type Sale struct {
	LogMedian float64 // ln of the median price
	LogScale  float64 // scale of ln price; 0 is a certain price
	DoF       float64 // degrees of freedom; 0 or +Inf is normal
	// Quantiles, where given, replace the three above: at least two, rising in P and
	// Value, all values above 0. Between them ln price runs straight against the
	// normal score of P, and on beyond the ends.
	Quantiles []Quantile
}

// Quantile says that the price stays at or under Value with probability P.
type Quantile struct{ P, Value float64 }

// The shapes of a cost.
const (
	Triangular = "triangular" // between Low and High, most likely Mode
	LogNormal  = "lognormal"  // Low and High are the 5 % and 95 % points
)

// Cost is work to be paid for, as a range. Low = High is a certain cost.
type Cost struct {
	Name            string
	Low, Mode, High float64 // Mode 0 with Low > 0 means the middle; lognormal does not use it
	Shape           string  // empty means Triangular
	Chance          float64 // that the cost arises at all, 0–1; 0 means 1
}

// Exchange turns the currency of the sale into Currency: so many units of Currency
// for one, with a standard deviation of the natural log until the money is in. The
// zero value is the same currency.
type Exchange struct{ PerUnit, LogSD float64 }

// Weibull is how long a watch takes to sell, S(t) = exp(−(t/ScaleDays)^Shape).
type Weibull struct{ Shape, ScaleDays float64 }

// The tax schemes that Buy can count.
const (
	NoTax       = "none"
	MarginTaxed = "margin"   // on sale − purchase, where positive
	Ordinary    = "ordinary" // on the whole sale price
)

// Tax is how a sale is taxed. Rate is the usual rate on the price before tax (0.20
// for 20 %); prices here contain it. Which scheme applies is for a tax adviser.
type Tax struct {
	Scheme string // empty means NoTax
	Rate   float64
	// RecoverInput says, for Ordinary, that the price paid contains tax at the same
	// rate that can be reclaimed.
	RecoverInput bool
}

// ErrInput is wrapped by every error about what went in; the text names the field.
var ErrInput = errors.New("deal")

// fieldError is one field that makes no sense.
type fieldError struct {
	field string
	found any
	want  string
}

func (e *fieldError) Error() string {
	return fmt.Sprintf("%s: %s: %v: want %s", ErrInput, e.field, e.found, e.want)
}

func (e *fieldError) Unwrap() error { return ErrInput }

func bad(field string, found any, want string) error { return &fieldError{field, found, want} }

// below names the fields of an error as those of a part of the input.
func below(at string, err error) error {
	switch e := err.(type) {
	case nil:
		return nil
	case *fieldError:
		return &fieldError{at + "." + e.field, e.found, e.want}
	case interface{ Unwrap() []error }:
		var out []error
		for _, one := range e.Unwrap() {
			out = append(out, below(at, one))
		}
		return errors.Join(out...)
	}
	return fmt.Errorf("%s: %w", at, err)
}

func inRange(field string, x, low, high float64, want string) error {
	if math.IsNaN(x) || x < low || x > high {
		return bad(field, x, want)
	}
	return nil
}

// maxAmount is far above any price in any currency; it keeps sums finite.
const maxAmount = 1e15

// wanted is what money bound should earn a year.
func (in Input) wanted() float64 { return math.Max(in.HurdleRatePerYear, in.CarryingRatePerYear) }

// medianValue is that of what the sale goes by, in the shop's currency.
func (in Input) medianValue() float64 {
	v := math.Exp(in.Sale.logAt()(0))
	if len(in.BuyersPremium.Tiers) > 0 {
		v = in.BuyersPremium.Hammer(v)
	}
	if in.Exchange != (Exchange{}) {
		v *= in.Exchange.PerUnit
	}
	return v
}

// bound is the money bound in the watch.
func (in Input) bound() float64 {
	switch {
	case in.Bound != nil:
		return *in.Bound
	case in.Listing != nil && in.Listing.GivenUp > 0:
		return in.Listing.GivenUp * in.medianValue()
	}
	return in.medianValue()
}

// Check tells what is wrong with the input, field by field; nil when Buy can go on.
func (in Input) Check() error { return errors.Join(in.checkSelling(), in.checkTerms()) }

// checkSelling checks what depends on how the watch is sold.
func (in Input) checkSelling() error {
	errs := []error{
		in.Sale.check(), in.BuyersPremium.check("buyers_premium"), in.Exchange.check(), in.Tax.check(),
		in.TimeToSell.check(), in.Lot.check(),
	}
	if in.Listing != nil {
		errs = append(errs, below("listing", in.Listing.check()))
	}
	share := 0.0
	for i, f := range in.Fees {
		errs = append(errs, f.check(fmt.Sprintf("fees[%d]", i)))
		share += f.maxOfSale()
	}
	if share >= 1 {
		errs = append(errs, bad("fees", share, "shares of the sale price that sum, with tax, to less than 1"))
	}
	return errors.Join(errs...)
}

// checkTerms checks what does not.
func (in Input) checkTerms() error {
	var errs []error
	for i, c := range in.Work {
		errs = append(errs, c.check(fmt.Sprintf("work[%d]", i)))
	}
	errs = append(errs,
		inRange("carrying_rate_per_year", in.CarryingRatePerYear, 0, 10, "a share of 0 or more, such as 0.08"),
		inRange("hurdle_rate_per_year", in.HurdleRatePerYear, 0, 10, "a share of 0 or more, such as 0.25"),
		inRange("wanted_margin", in.WantedMargin, 0, 100, "a share of the price paid, 0 or more, such as 0.15"))
	if !(in.Confidence > 0 && in.Confidence < 1) {
		errs = append(errs, bad("confidence", in.Confidence, "a chance over 0 and under 1, such as 0.8"))
	}
	if in.Asked != nil {
		errs = append(errs, inRange("asked", *in.Asked, 0, maxAmount, "a price of 0 or more"))
	}
	if in.Bound != nil {
		errs = append(errs, inRange("bound", *in.Bound, 0, maxAmount, "an amount of 0 or more"))
	}
	if in.Draws != 0 && (in.Draws < minDraws || in.Draws > maxDraws) {
		errs = append(errs, bad("draws", in.Draws, fmt.Sprintf("0, or %d to %d", minDraws, maxDraws)))
	}
	return errors.Join(errs...)
}

func (s Sale) check() error {
	if len(s.Quantiles) == 0 {
		return errors.Join(
			inRange("sale.log_median", s.LogMedian, -10, math.Log(maxAmount), "the natural log of a price above 0"),
			inRange("sale.log_scale", s.LogScale, 0, 5, "0 or more; 0.2 is about 20 %"),
			s.checkDoF())
	}
	if len(s.Quantiles) == 1 {
		return bad("sale.quantiles", 1, "at least two")
	}
	for i, q := range s.Quantiles {
		at := fmt.Sprintf("sale.quantiles[%d]", i)
		if !(q.P > 0 && q.P < 1) {
			return bad(at+".p", q.P, "a probability over 0 and under 1")
		}
		if !(q.Value > 0 && q.Value <= maxAmount) {
			return bad(at+".value", q.Value, "a price above 0")
		}
		if i > 0 && (q.P <= s.Quantiles[i-1].P || q.Value < s.Quantiles[i-1].Value) {
			return bad(at, q, "p and value that rise")
		}
	}
	return nil
}

func (s Sale) checkDoF() error {
	if s.DoF == 0 {
		return nil
	}
	return inRange("sale.dof", s.DoF, 1, math.Inf(1), "1 or more, or 0 for the normal distribution")
}

func (c Cost) check(at string) error {
	err := errors.Join(
		inRange(at+".low", c.Low, 0, maxAmount, "an amount of 0 or more"),
		inRange(at+".high", c.High, c.Low, maxAmount, "an amount not under low"),
		inRange(at+".chance", c.Chance, 0, 1, "a chance of 0 to 1"))
	if err != nil {
		return err
	}
	switch c.Shape {
	case "", Triangular:
		if c.Mode != 0 {
			return inRange(at+".mode", c.Mode, c.Low, c.High, "an amount between low and high, or 0 for the middle")
		}
		return nil
	case LogNormal:
		if c.Low <= 0 {
			return bad(at+".low", c.Low, "an amount above 0 for the lognormal shape")
		}
		return nil
	}
	return bad(at+".shape", c.Shape, Triangular+" or "+LogNormal)
}

func (e Exchange) check() error {
	if e == (Exchange{}) {
		return nil
	}
	return errors.Join(
		inRange("exchange.per_unit", e.PerUnit, 1e-6, 1e6, "units of the shop's currency for one, above 0"),
		inRange("exchange.log_sd", e.LogSD, 0, 2, "0 or more; 0.03 is about 3 %"))
}

const (
	minShape, maxShape = 0.1, 50
	minScale, maxDays  = 0.01, 36525
)

func (w Weibull) check() error {
	if w == (Weibull{}) {
		return nil
	}
	return errors.Join(
		inRange("time_to_sell.shape", w.Shape, minShape, maxShape, "0.1 to 50; 1 is a constant chance a day"),
		inRange("time_to_sell.scale_days", w.ScaleDays, minScale, maxDays, "days above 0"))
}

func (t Tax) check() error {
	switch t.Scheme {
	case "", NoTax, MarginTaxed, Ordinary:
	default:
		return bad("tax.scheme", t.Scheme, MarginTaxed+", "+Ordinary+" or "+NoTax)
	}
	return inRange("tax.rate", t.Rate, 0, 5, "a share of 0 or more, such as 0.20")
}

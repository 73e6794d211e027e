package deal

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Spell is one watch's time on sale, as far as it was seen.
type Spell struct {
	// Days on sale until it was sold, or until it was last seen unsold: still in stock,
	// or withdrawn from sale. Less than half a day counts as half a day.
	Days float64
	Sold bool
	// EntryDays is how long it had been on sale when the record began; 0 where it was
	// recorded from the first day. What sold before the record began was never seen,
	// so that the days before must not count.
	EntryDays float64
	Covariates
}

// Covariates are what the time to sell depends on.
type Covariates struct {
	AskOverValue float64 // the price asked over the value, 1.1 is 10 % above; 0: not known, taken as 1
	Reference    string  // any name, such as maker and number; empty: not known
	Metal        string  // likewise
	FullSet      bool    // with box and papers
}

const minDays = 0.5

func (s Spell) days() float64 { return math.Max(s.Days, minDays) }

// logAsk is ln(ask/value), 0 where it is not known.
func (c Covariates) logAsk() float64 {
	if c.AskOverValue == 0 {
		return 0
	}
	return math.Log(c.AskOverValue)
}

func (c Covariates) check(at string) error {
	if c.AskOverValue == 0 {
		return nil
	}
	return inRange(at+"ask_over_value", c.AskOverValue, 0.05, 20,
		"the price asked over the value, 0.05 to 20, or 0 where it is not known")
}

func checkSpells(spells []Spell) error {
	var errs []error
	for i, s := range spells {
		at := fmt.Sprintf("spells[%d].", i)
		errs = append(errs, s.Covariates.check(at), inRange(at+"days", s.Days, 0, maxDays, "days from 0 to 36525"))
		if !(s.EntryDays >= 0 && s.EntryDays < s.days()) {
			errs = append(errs, bad(at+"entry_days", s.EntryDays, "0 or more, and less than days"))
		}
	}
	return errors.Join(errs...)
}

// fold is the form in which names are compared.
func fold(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// Normal is what is believed beforehand of one coefficient. SD +Inf says nothing.
type Normal struct{ Mean, SD float64 }

// Prior is what is believed of the time to sell before any history. What history
// there is then moves it, as far as the history can carry.
type Prior struct {
	LogScaleDays Normal // ln of the Weibull scale of a watch asked at its value, without full set
	LogShape     Normal // ln of the Weibull shape
	Price        Normal // ln of days per ln of ask over value: 4 makes 10 % more 46 % slower
	FullSet      Normal // ln of days
	// ReferenceSD and MetalSD say how much references and metals differ in ln of days.
	// They move with the history, as if they came from Groups references and metals.
	ReferenceSD, MetalSD float64
	Groups               float64 // +Inf keeps the two as they are
}

// CommonPrior is a prior to start from until the shop states its own: half of such
// watches sold in about 79 days. Common practice, no published source.
func CommonPrior() Prior { return PriorAround(Weibull{Shape: 1.1, ScaleDays: 110}) }

// PriorAround is the common prior, moved to the time to sell that a shop states.
func PriorAround(w Weibull) Prior {
	return Prior{
		LogScaleDays: Normal{math.Log(w.ScaleDays), 0.6}, LogShape: Normal{math.Log(w.Shape), 0.25},
		Price: Normal{4, 2}, FullSet: Normal{-0.2, 0.2}, ReferenceSD: 0.4, MetalSD: 0.2, Groups: 10,
	}
}

func (p Prior) check() error {
	var errs []error
	for _, c := range []struct {
		field string
		n     Normal
		most  float64
	}{{"log_scale_days", p.LogScaleDays, 12}, {"log_shape", p.LogShape, 3}, {"price", p.Price, 50},
		{"full_set", p.FullSet, 5}} {
		errs = append(errs, inRange("prior."+c.field+".mean", c.n.Mean, -c.most, c.most,
			fmt.Sprintf("a figure from %g to %g", -c.most, c.most)))
		if !(c.n.SD > 0) {
			errs = append(errs, bad("prior."+c.field+".sd", c.n.SD, "a standard deviation above 0, or +Inf for none"))
		}
	}
	errs = append(errs,
		inRange("prior.price.mean", p.Price.Mean, 0, 50, "0 or more: a dearer ask does not sell sooner"),
		inRange("prior.reference_sd", p.ReferenceSD, 0, 5, "0 (no difference between references) to 5"),
		inRange("prior.metal_sd", p.MetalSD, 0, 5, "0 (no difference between metals) to 5"),
		inRange("prior.groups", p.Groups, 0, math.Inf(1), "0 or more"))
	return errors.Join(errs...)
}

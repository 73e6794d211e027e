package opinion

import (
	"math"
	"strconv"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/refbook"
	"midcase/say"
)

// valueDay is the day that the value is of.
func (f *forming) valueDay() time.Time {
	if f.settings.ValueDay.IsZero() {
		return f.asOf
	}
	return f.settings.ValueDay
}

// value asks the market what the watch is worth.
func (f *forming) value() {
	v := Value{Kind: string(f.settings.Basis), Definition: f.settings.Basis.Definition(),
		Currency: f.settings.Currency,
		AsOf:     f.valueDay().Format(time.DateOnly),
		Interval: map[string][2]float64{}, Comparables: []Comparable{}, Says: []say.Statement{}}
	if f.market == nil {
		v.CannotTell = f.settings.noMarket()
		if v.CannotTell.Kind == noSales.Kind {
			f.unknown(say.That("unknown.value-no-sales"))
		} else {
			f.unknown(say.That("unknown.value", say.Saying("why", v.CannotTell)))
		}
		f.out.Value = v
		return
	}
	got, err := f.market.Value(f.subjectForMarket(), f.valueDay(), f.settings.Basis)
	if err != nil {
		v.CannotTell = because(err)
		f.unknown(say.That("unknown.value", say.Saying("why", v.CannotTell)))
		f.out.Value = v
		return
	}
	v.Known, v.Definition, v.Currency = true, got.Definition, got.Currency
	v.Median, v.Mean = ptr(round(got.Median, 2)), ptr(round(got.Mean, 2))
	for level, i := range got.Interval {
		v.Interval[strconv.Itoa(level)] = [2]float64{round(i[0], 2), round(i[1], 2)}
	}
	v.SalesUsed, v.SalesOfReference, v.Says = got.SalesUsed, got.SalesOfReference, append(v.Says,
		got.Says...)
	for _, c := range got.Comparables {
		v.Comparables = append(v.Comparables, comparable(c, got))
		v.Basis = append(v.Basis, Basis{Source: "sale", ID: c.ID})
	}
	if got.Reconciled != nil {
		v.Reconciled = &Reconciled{Median: got.Reconciled.Median, Range: got.Reconciled.Range}
	}
	v.Baseline = round(got.Baseline, 2)
	for _, c := range got.Contributions {
		v.Contributions = append(v.Contributions, Contribution{Feature: c.Feature, Level: c.Level, Percent: c.Percent,
			Interval: [2]float64{c.Low90, c.High90}})
	}
	if _, ids := told(f, f.subjectExamined()); len(ids) > 0 {
		v.Says = append(v.Says, say.That("value.told"))
		v.Basis = append(v.Basis, fromEvidence(ids...)...)
	}
	f.out.Value = v
	f.valuation = got
}

// boundByPuttingRight keeps what can be put right from costing more than putting it right:
// where it does by the grade, the grade that counts for the market is the one at which it
// costs just that. It is worked out once for all bases.
func (f *forming) boundByPuttingRight(s market.Subject) market.Subject {
	right := f.graded.Right
	if len(f.graded.PutRight) == 0 || s.Condition == nil || right <= *s.Condition || f.market == nil {
		return s
	}
	if f.bound == nil {
		f.bound = ptr(f.boundGrade(s, right))
	}
	s.Condition = ptr(math.Max(*s.Condition, *f.bound))
	return s
}

func (f *forming) boundGrade(s market.Subject, right float64) float64 {
	is := *s.Condition
	cost := 0.0
	for _, p := range f.graded.PutRight {
		cost += p.Cost[1]
	}
	as, err := f.market.Value(s, f.valueDay(), f.settings.Basis)
	if err != nil || as.Currency != "EUR" {
		return is
	}
	s.Condition = ptr(right)
	whole, err := f.market.Value(s, f.valueDay(), f.settings.Basis)
	if err != nil || as.Median <= 0 || whole.Median-as.Median <= cost {
		return is
	}
	// The logarithm of the value is all but straight in the grade.
	share := math.Log(whole.Median/(whole.Median-cost)) / math.Log(whole.Median/as.Median)
	return right - share*(right-is)
}

func comparable(c market.Comparable, v *market.Valuation) Comparable {
	out := Comparable{Sale: c.ID, Date: c.Sale.Date, Price: c.Price, Currency: v.Currency, SaleBasis: c.Sale.Basis,
		Venue: c.Sale.Venue,
		Title: strings.TrimSpace(c.Sale.Maker + " " + c.Sale.Reference), Adjusted: c.Adjusted, Weight: c.Weight,
		GrossPercent: c.GrossPercent, Adjustments: []Adjustment{}}
	for _, a := range c.Adjustments {
		out.Adjustments = append(out.Adjustments, Adjustment{Feature: a.Feature, Subject: a.Subject,
			Comparable: a.Comparable, Percent: a.Percent, Amount: a.Amount})
	}
	return out
}

// subjectForMarket describes the watch as sale records do, with how sure each figure
// is: as examined, and where nothing was, as told.
func (f *forming) subjectForMarket() market.Subject {
	examined := f.subjectExamined()
	s, _ := told(f, examined)
	if s.Condition != examined.Condition { // a grade that was told
		return s
	}
	return f.boundByPuttingRight(s)
}

// soldYearSD is the uncertainty in years up to which the year of making is told of a sale; readers of sales take it for
// known.
const soldYearSD = 2.0

// AsSold describes a watch as a sale on record does: what was examined of it and nothing else, without a price. It needs
// no market.
func AsSold(in SellingInput) (market.Subject, error) {
	set, err := complete(in.Settings)
	if err != nil {
		return market.Subject{}, err
	}
	f := formedFor(in, set)
	s := f.subjectExamined()
	if !f.graded.Known {
		s.Condition, s.ConditionSD = nil, 0
	}
	if !setExamined(f) {
		s.Completeness = ""
	}
	if s.Originality != nil {
		s.Originality = ptr(round(*s.Originality, 2)) // as lists of sales have it
	}
	if s.YearSD > soldYearSD {
		s.Year, s.YearSD = 0, 0
	}
	return s, nil
}

func (f *forming) subjectExamined() market.Subject {
	w := f.out.Watch
	s := market.Subject{Maker: w.Maker, Family: w.Family, Reference: w.Reference, Metal: w.Metal, Completeness: w.Set}
	if g := f.graded; len(g.Slots) > 0 {
		s.Condition, s.ConditionSD = ptr(round(g.Overall, 2)), (g.High-g.Low)/(2*z90)
	}
	if p, sd, ok := f.originality(); ok {
		s.Originality, s.OriginalitySD = ptr(p), sd
	}
	if d := f.out.Dating; d.Known {
		s.Year = math.Floor(d.Median.Fraction())
		s.YearSD = float64(d.Interval90[1]-d.Interval90[0]) / 12 / (2 * z90)
	}
	s.Dial = f.dialForMarket()
	return s
}

// dialForMarket is the name under which sales list the dial fitted, where the book
// has one.
func (f *forming) dialForMarket() string {
	e, ok := f.fitted[evidence.Dial]
	if !ok || f.ref == nil || e.Data.Absent {
		return ""
	}
	s, ok := f.ref.Slot(evidence.Dial)
	if !ok {
		return ""
	}
	if v, ok := s.Variant(e.Data.Variant); ok {
		return or2(v.Premium, v.ID)
	}
	return ""
}

// partWeights say how much each slot counts for originality: what a collector looks
// at first counts most. Common practice, no published source.
var partWeights = map[evidence.Slot]float64{
	evidence.Dial: 4, evidence.Case: 2, evidence.Movement: 2, evidence.Hands: 2, evidence.Bezel: 1.5,
	evidence.Bracelet: 1, evidence.CaseBack: 1,
	evidence.Crown: 0.5, evidence.Pushers: 0.5, evidence.Clasp: 0.5, evidence.EndPieces: 0.5, evidence.Crystal: 0.2,
}

// originality is the weighted share of parts that belong, 0–1, as sales files state
// it, with its standard deviation. A part not looked at counts by how often the book
// says that it was replaced, which widens the figure without moving it far.
func (f *forming) originality() (p, sd float64, ok bool) {
	var total, sum, variance float64
	for _, part := range f.out.Parts {
		w, counts := partWeights[part.Slot]
		if !counts {
			continue
		}
		chance, known := f.chanceFor(part)
		if !known {
			chance = 1 - f.replacedShare(part.Slot)
		}
		ok = ok || known
		total += w
		sum += w * chance
		variance += w * w * chance * (1 - chance)
	}
	if !ok {
		return 0, 0, false
	}
	return sum / total, math.Sqrt(variance) / total, true
}

// replacedShare is how often the book says that the part of a slot was replaced.
func (f *forming) replacedShare(slot evidence.Slot) float64 {
	if f.ref != nil {
		if s, ok := f.ref.Slot(slot); ok {
			return s.Replaced
		}
	}
	return refbook.UsuallyReplaced(slot)
}

// chanceFor is the chance that counts for the market: a broken rule counts as not
// original whatever the date says, a redone surface as half.
func (f *forming) chanceFor(p Part) (float64, bool) {
	switch {
	case p.Verdict == Missing:
		return 0, true
	case p.POriginal == nil:
		return 0, false
	}
	chance := *p.POriginal
	if f.broken(p.Slot) {
		return 0, true
	}
	if _, redone := f.redone(p.Slot); redone {
		chance /= 2
	}
	return chance, true
}

// noSales is why a watch has no value where nothing has been sold.
var noSales = say.That("value.no-sales")

// noMarket says why nothing can be valued where there is no market.
func (s Settings) noMarket() say.Statement {
	if s.NoMarket.IsZero() {
		return noSales
	}
	return s.NoMarket
}

// because is why something cannot be told. The error is in English; another language says only that it was one.
func because(err error) say.Statement {
	return say.That("phrase.failed", say.Name("text", err.Error()))
}

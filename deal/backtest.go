package deal

import (
	"cmp"
	"math"
	"slices"

	"midcase/say"
)

// DatedSpell is a spell with the day on which it began, as a number of days from any day.
type DatedSpell struct {
	From float64
	Spell
}

// BackTest says how a shop's own sales agree with what was said of them beforehand: each watch is held against the time
// to sell learned from what was known when it was put on sale. Watches unsold count as far as they were seen.
type BackTest struct {
	Spells int `json:"spells"` // held against what was said
	Sold   int `json:"sold"`
	// Within80 and Within90 are the shares that sell within the stated 80 % and 90 % ranges, BeforeMedian the share
	// that sells by the stated median day; right are 0.8, 0.9 and 0.5. Seen is up to which share of the stated times
	// the record reaches: beyond it nothing can be told.
	Within80     float64 `json:"within_80"`
	Within90     float64 `json:"within_90"`
	BeforeMedian float64 `json:"before_median"`
	Seen         float64 `json:"seen"`
}

const (
	backTestLearn = 10 // spells before any is held against what was learned of them
	backTestLeast = 30 // spells without which nothing is said
	backTestSold  = 5  // sales among those held against it, without which no share is said
	backTestCuts  = 8  // days on which it is learned anew
)

// BackTestTimeToSell learns the time to sell as it would have been learned on earlier days, and holds the watches
// listed since against it. ok is false where the history is too short.
func BackTestTimeToSell(history []DatedSpell, prior Prior) (b BackTest, ok bool, err error) {
	history = slices.Clone(history)
	slices.SortStableFunc(history, func(x, y DatedSpell) int { return cmp.Compare(x.From, y.From) })
	if len(history) < backTestLeast {
		return b, false, nil
	}
	var ranks []rank
	each := max(1, (len(history)-backTestLearn+backTestCuts-1)/backTestCuts)
	for at := backTestLearn; at < len(history); at += each {
		day := history[at].From
		fit, err := FitTimeToSell(knownOn(history, day), prior)
		if err != nil {
			return b, false, err
		}
		for _, s := range history[at:min(len(history), at+each)] {
			ranks = append(ranks, rank{fit.soldBy(s.Covariates, s.days()), s.Sold})
		}
	}
	b.count(ranks)
	return b, true, nil
}

// knownOn is the history as it was known on a day: what was on sale then was not sold yet.
func knownOn(history []DatedSpell, day float64) []Spell {
	var out []Spell
	for _, s := range history {
		if s.From >= day {
			continue
		}
		one := s.Spell
		if s.From+s.Days > day {
			one.Days, one.Sold = day-s.From, false
		}
		out = append(out, one)
	}
	return out
}

// soldBy is the chance that a watch sells within so many days, with the uncertainty of the scale.
func (t *TimeToSell) soldBy(c Covariates, days float64) float64 {
	w, sd := t.At(c), t.logScaleSD(c)
	const steps = 20 // equal shares of probability
	unsold := 0.0
	for i := range steps {
		scale := w.ScaleDays * math.Exp(sd*quantileNormal((float64(i)+0.5)/steps))
		unsold += math.Exp(-math.Pow(days/scale, w.Shape)) / steps
	}
	return 1 - unsold
}

// rank is the stated chance that a watch sells by the day on which it did, or was last seen unsold. Where what was said
// is right, ranks are spread evenly from 0 to 1.
type rank struct {
	at   float64
	sold bool
}

// count finds how ranks are spread, with the unsold ones censored (Kaplan and Meier 1958, J. Am. Stat. Assoc. 53, 457).
func (b *BackTest) count(ranks []rank) {
	slices.SortFunc(ranks, func(x, y rank) int {
		switch {
		case x.at < y.at || x.at == y.at && x.sold && !y.sold:
			return -1
		case x.at > y.at || x.at == y.at && y.sold && !x.sold:
			return 1
		}
		return 0
	})
	b.Spells = len(ranks)
	marks := [5]float64{0.05, 0.1, 0.5, 0.9, 0.95}
	var sold [5]float64 // by each mark
	left := 1.0
	for i, r := range ranks {
		if !r.sold {
			continue
		}
		b.Sold++
		left *= 1 - 1/float64(len(ranks)-i)
		for k, mark := range marks {
			if r.at <= mark {
				sold[k] = 1 - left
			}
		}
	}
	if len(ranks) > 0 {
		b.Seen = ranks[len(ranks)-1].at
	}
	b.Within90, b.Within80, b.BeforeMedian = sold[4]-sold[0], sold[3]-sold[1], sold[2]
}

// Says is the back test in a sentence.
func (b BackTest) Says() say.Statement {
	if b.Sold < backTestSold {
		return say.That("time.back-test-few", say.Count("n", b.Spells), say.Count("sold", b.Sold))
	}
	if b.Seen < 0.9 { // no watch was on sale for long enough
		return say.That("time.back-test-short", say.Count("n", b.Spells), say.Count("sold", b.Sold),
			say.Share("median", b.BeforeMedian))
	}
	return say.That("time.back-test", say.Count("n", b.Spells), say.Count("sold", b.Sold),
		say.Share("within", b.Within80), say.Share("median", b.BeforeMedian))
}

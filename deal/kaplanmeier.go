package deal

import (
	"math"
	"slices"

	"midcase/estimate"
)

// SurvivalStep is one day of the Kaplan–Meier curve on which watches were sold.
type SurvivalStep struct {
	Days   float64 `json:"days"`
	AtRisk int     `json:"at_risk"` // in stock and watched just before
	Sold   int     `json:"sold"`
	// Unsold is the share not sold by then, with Greenwood's standard error and the
	// 95 % interval on the log scale; with nothing unsold there is no interval.
	Unsold     float64           `json:"unsold"`
	SE         float64           `json:"se"`
	Interval95 estimate.Interval `json:"interval_95"`
}

// KaplanMeier is the share of spells that are not sold by each day, whatever the
// model says (Kaplan and Meier 1958, JASA 53, 457–481). Spells that were entered
// late count from their entry on.
func KaplanMeier(spells []Spell) ([]SurvivalStep, error) {
	if err := checkSpells(spells); err != nil {
		return nil, err
	}
	var days, ends, entries []float64
	for _, s := range spells {
		if s.Sold {
			days = append(days, s.days())
		}
		ends, entries = append(ends, s.days()), append(entries, s.EntryDays)
	}
	slices.Sort(days)
	slices.Sort(ends)
	slices.Sort(entries)
	var out []SurvivalStep
	unsold, greenwood := 1.0, 0.0
	for i := 0; i < len(days); {
		t, sold := days[i], 0
		for ; i < len(days) && days[i] == t; i++ {
			sold++
		}
		atRisk := under(entries, t) - under(ends, t)
		unsold *= 1 - float64(sold)/float64(atRisk)
		greenwood += float64(sold) / (float64(atRisk) * float64(atRisk-sold))
		out = append(out, survivalStep(t, atRisk, sold, unsold, greenwood))
	}
	return out, nil
}

const z95 = 1.959963984540054

func survivalStep(t float64, atRisk, sold int, unsold, greenwood float64) SurvivalStep {
	s := SurvivalStep{Days: t, AtRisk: atRisk, Sold: sold, Unsold: unsold, Interval95: estimate.Interval{math.NaN(), math.NaN()}}
	if unsold == 0 {
		return s
	}
	se := math.Sqrt(greenwood)
	s.SE = unsold * se
	s.Interval95 = estimate.Interval{unsold * math.Exp(-z95*se), math.Min(1, unsold*math.Exp(z95*se))}
	return s
}

// under counts the values of an ascending list that are under t.
func under(ascending []float64, t float64) int {
	n, _ := slices.BinarySearch(ascending, t)
	return n
}

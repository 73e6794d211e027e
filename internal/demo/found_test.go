package demo

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"testing"

	"midcase/evidence"
	"midcase/market"
	"midcase/opinion"
)

// fitted is the market model of the world's sales, made once.
var fitted = sync.OnceValues(func() (*market.Model, error) {
	var sales, rates bytes.Buffer
	if err := world().WriteSales(&sales); err != nil {
		return nil, err
	}
	if err := world().WriteRates(&rates); err != nil {
		return nil, err
	}
	table, _, err := market.ReadCSV(&sales, "sales.csv")
	if err != nil {
		return nil, err
	}
	r, err := market.ReadRates(&rates)
	if err != nil {
		return nil, err
	}
	m, _, err := market.Fit(table, market.Options{Currency: "EUR", Rates: r})
	return m, err
})

// opinions are what the program thinks of each watch, by file.
var opinions = sync.OnceValues(func() (map[string]opinion.Opinion, error) {
	m, err := fitted()
	if err != nil {
		return nil, err
	}
	out := map[string]opinion.Opinion{}
	for _, x := range world().Watches {
		o, err := opinion.Form(evidence.Fold(x.Evidence, today), world().book, m, opinion.Settings{}, today)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", x.File, err)
		}
		out[x.File] = o
	}
	return out, nil
})

func formed(t *testing.T) map[string]opinion.Opinion {
	t.Helper()
	if testing.Short() {
		t.Skip("fits the market and forms sixty opinions")
	}
	o, err := opinions()
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func chanceOriginal(o opinion.Opinion, slot evidence.Slot) float64 {
	for _, p := range o.Parts {
		if p.Slot == slot && p.POriginal != nil {
			return *p.POriginal
		}
	}
	return 1
}

func broken(o opinion.Opinion, words string) bool {
	for _, r := range o.Rules {
		if r.Broken && strings.Contains(strings.ToLower(r.Rule.String()+" "+r.Reason.String()), words) {
			return true
		}
	}
	return false
}

func slotGrade(o opinion.Opinion, slot evidence.Slot) float64 {
	for _, s := range o.Condition.Slots {
		if s.Slot == slot && s.Grade != nil {
			return *s.Grade
		}
	}
	return 10
}

func disagrees(o opinion.Opinion, words string) bool {
	for _, d := range o.Dating.Items {
		if d.Disagrees && strings.Contains(d.Says.String(), words) {
			return true
		}
	}
	return false
}

// foundBy says how the opinion must speak of each planted problem.
var foundBy = map[Problem]func(o opinion.Opinion) bool{
	WrongPeriodHands:   func(o opinion.Opinion) bool { return chanceOriginal(o, evidence.Hands) < 0.5 },
	SwappedBracelet:    func(o opinion.Opinion) bool { return chanceOriginal(o, evidence.Bracelet) < 0.5 },
	RefinishedDial:     func(o opinion.Opinion) bool { return slotGrade(o, evidence.Dial) <= 4 },
	SerialDoesNotFit:   func(o opinion.Opinion) bool { return disagrees(o, "serial") },
	PolishedCase:       func(o opinion.Opinion) bool { return slotGrade(o, evidence.Case) < 6 },
	WrongKaratBracelet: func(o opinion.Opinion) bool { return broken(o, "metal") || broken(o, "karat") },
	WrongCalibre:       func(o opinion.Opinion) bool { return broken(o, "calibre") },
	EndPiecesDoNotFit:  func(o opinion.Opinion) bool { return broken(o, "end piece") },
	LateClasp:          func(o opinion.Opinion) bool { return chanceOriginal(o, evidence.Clasp) < 0.5 },
	ServiceDial:        func(o opinion.Opinion) bool { return chanceOriginal(o, evidence.Dial) < 0.5 },
	Relume:             func(o opinion.Opinion) bool { return slotGrade(o, evidence.Dial) <= 6 },
	WaterDamage:        func(o opinion.Opinion) bool { return slotGrade(o, evidence.Movement) <= 4 },
	PapersDoNotMatch:   func(o opinion.Opinion) bool { return broken(o, "papers") },
}

func TestProgramFindsWhatIsPlanted(t *testing.T) {
	for file, o := range formed(t) {
		truth := world().Truth[file]
		for _, p := range truth.Problems {
			if !foundBy[p](o) {
				t.Errorf("%s: the opinion does not speak of %s", file, p)
			}
		}
		if len(truth.Problems) > 0 {
			continue
		}
		for _, r := range o.Rules {
			if r.Broken {
				t.Errorf("%s: nothing was planted, yet the rule %q is called broken: %s", file, r.Rule, r.Reason)
			}
		}
		for _, slot := range []evidence.Slot{evidence.Dial, evidence.Hands, evidence.Movement, evidence.CaseBack} {
			if p := chanceOriginal(o, slot); p < 0.5 {
				t.Errorf("%s: nothing was planted, yet the %s is given %.2f", file, slot, p)
			}
		}
	}
}

// Of sixty 90 % intervals 54 should hold the truth; fewer than 48 would be three
// standard deviations off (binomial, sd 2.3).
func TestDatesAreFound(t *testing.T) {
	in := 0
	all := formed(t)
	for file, o := range all {
		i := o.Dating.Interval90
		if m := world().Truth[file].Made; i[0] <= m && m <= i[1] {
			in++
		}
	}
	if in < 48 {
		t.Errorf("the 90 %% interval holds the true month in %d of %d watches", in, len(all))
	}
}

// The opinion prices what it takes for the condition and originality, which differ
// from the true ones; the true median must still lie within its 90 % interval, but
// for a few of the planted watches.
func TestValuesAreFound(t *testing.T) {
	in := 0
	all := formed(t)
	for file, o := range all {
		i := o.Value.Interval["90"]
		if m := world().Truth[file].PriceMedian; i[0] <= m && m <= i[1] {
			in++
		}
	}
	if in < 54 {
		t.Errorf("the 90 %% interval holds the true median in %d of %d watches", in, len(all))
	}
}

// The early case back of the northern works is not called wrong.
func TestOutlivedBackIsNotCalledWrong(t *testing.T) {
	if p := chanceOriginal(formed(t)[world().Watches[15].File], evidence.CaseBack); p < 0.5 {
		t.Errorf("the case back of the northern works is given %.2f", p)
	}
}

func TestPremiumIsFound(t *testing.T) {
	formed(t)
	m, _ := fitted()
	curve, err := m.Premium("metal", "gold18", "steel")
	if err != nil {
		t.Fatal(err)
	}
	in := 0
	for _, p := range curve {
		q, err := ParseQuarter(p.Quarter)
		if err != nil {
			t.Fatal(err)
		}
		if truth := world().TruePremium(q); p.Interval[0] <= truth && truth <= p.Interval[1] {
			in++
		}
	}
	if share := float64(in) / float64(len(curve)); share < 0.85 {
		t.Errorf("the true premium lies in the 90 %% band in %d of %d quarters", in, len(curve))
	}
}

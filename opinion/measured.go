package opinion

import (
	"math"

	"midcase/condition"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/say"
)

const (
	caliperMM  = 0.05 // usual ± of a caliper, 95 %, where the observer stated none
	nominalTol = 0.1  // tolerance of a nominal size where the book states none
	z95        = 1.959964
	z90        = 1.644854
	lossNamed  = 0.5 // chance from which removal of material is spoken of
	lugs       = 4   // a watch has so many, each a reading of its own
)

// polishable are the sizes that polishing takes from.
var polishable = map[string]string{"mid_case_diameter": "case_loss_mm", "lug_thickness": "lug_loss_mm",
	"thickness_without_crystal": "", "lug_to_lug": ""}

// nominal is the book's size and tolerance.
func (f *forming) nominal(what string) (mm, tolerance float64, ok bool) {
	if f.ref == nil {
		return 0, 0, false
	}
	for _, d := range f.ref.Dimensions {
		if d.What == what {
			return d.MM, or(d.ToleranceMM, nominalTol), true
		}
	}
	return 0, 0, false
}

// measure sets each size measured beside the book's.
func (f *forming) measure() {
	for _, d := range f.sizes() {
		f.out.Measured = append(f.out.Measured, f.measured(d))
	}
}

// sizes are the readings that count: the latest of each size, and the latest four of the
// lugs.
func (f *forming) sizes() []evidence.Entry[*evidence.Dimension] {
	var out []evidence.Entry[*evidence.Dimension]
	seen := map[string]int{}
	for _, d := range evidence.All[*evidence.Dimension](f.file) {
		most := 1
		if d.Data.What == "lug_thickness" {
			most = lugs
		}
		if seen[d.Data.What]++; seen[d.Data.What] <= most {
			out = append(out, d)
		}
	}
	return out
}

// lossOf is what a size says of material taken off; false where the book has none.
func (f *forming) lossOf(d evidence.Entry[*evidence.Dimension]) (condition.Loss, bool) {
	nominal, tolerance, ok := f.nominal(d.Data.What)
	if !ok {
		return condition.Loss{}, false
	}
	loss, err := condition.MaterialLoss(round(d.Data.MM-nominal, 3), or(d.Data.PlusMinusMM, caliperMM), tolerance)
	return loss, err == nil
}

func (f *forming) measured(d evidence.Entry[*evidence.Dimension]) Measure {
	u := or(d.Data.PlusMinusMM, caliperMM)
	m := Measure{What: d.Data.What, Name: word("size", d.Data.What), MM: d.Data.MM, Evidence: []evidence.ID{d.Item.ID},
		Basis:    fromEvidence(d.Item.ID),
		Interval: [2]float64{round(d.Data.MM-u*z90/z95, 3), round(d.Data.MM+u*z90/z95, 3)}}
	switch d.Data.What {
	case "bracelet_droop":
		m.Says = say.That("sizes.droop", say.Fixed("droop", d.Data.MM, say.MM, 1),
			say.Fixed("length", d.Data.FreeLengthMM, say.MM, 0))
		return m
	case "bracelet_length_under_pull":
		m.Says = say.That("sizes.links", say.Count("links", d.Data.Links), say.Fixed("length", d.Data.MM, say.MM, 1),
			say.Fixed("pull", d.Data.PullN, say.Newton, 1))
		return m
	}
	nominal, tolerance, ok := f.nominal(d.Data.What)
	if !ok {
		m.Says = say.That("sizes.not-in-book")
		return m
	}
	m.Basis = append(m.Basis, f.fromBook("dimensions", d.Data.What))
	diff := round(d.Data.MM-nominal, 3)
	m.NominalMM, m.Difference = &nominal, &diff
	if spoken := f.spoken(d.Data.What); spoken > 0 && spoken != nominal {
		m.SpokenMM = &spoken
	}
	m.Says = say.That("sizes.as-book")
	if _, canBePolished := polishable[d.Data.What]; canBePolished {
		m.weighLoss(diff, u, tolerance)
	}
	if _, canBePolished := polishable[d.Data.What]; canBePolished && diff > u+tolerance {
		m.Says = say.That("sizes.larger", say.Fixed("over", diff, say.MM, 2))
	} else if !canBePolished && math.Abs(diff) > u+tolerance {
		m.Says = say.That("sizes.differs", signed("difference", diff))
	}
	if m.SpokenMM != nil {
		known := say.That("sizes.known-as", say.Fixed("size", *m.SpokenMM, say.MM, 0))
		m.Says = say.That("phrase.sentences", say.All("all", m.Says, known))
	}
	return m
}

// weighLoss says how likely it is that material was taken off, and how much.
func (m *Measure) weighLoss(diff, u, tolerance float64) {
	loss, err := condition.MaterialLoss(diff, u, tolerance)
	if err != nil {
		return // no ± to weigh by
	}
	p, mm := round(loss.P, 4), round(loss.MM, 3)
	m.PRemoved, m.LossMM = &p, &mm
	m.LossInterval = &[2]float64{round(loss.Interval90[0], 3), round(loss.Interval90[1], 3)}
	about := estimate.Interval{loss.Interval90[0], loss.Interval90[1]}
	switch {
	case loss.Another:
		m.Says = say.That("sizes.another", say.Fixed("under", -diff, say.MM, 2))
	case p >= 0.8 && diff < 0:
		m.Says = say.That("sizes.removed", say.Fixed("under", -diff, say.MM, 2),
			say.Saying("likely", say.Likelihood(p)), say.Measured("loss", loss.MM, about, say.MM, 2))
	case p >= lossNamed && diff < 0:
		m.Says = say.That("sizes.maybe-removed", say.Fixed("under", -diff, say.MM, 2),
			say.Saying("likely", say.Likelihood(p)), say.Measured("loss", loss.MM, about, say.MM, 2))
	}
}

func (f *forming) spoken(what string) float64 {
	for _, d := range f.ref.Dimensions {
		if d.What == what {
			return d.SpokenMM
		}
	}
	return 0
}

// word is a word of the trade by itself.
func word(set, id string) say.Statement {
	return say.That("phrase.word", say.Term("word", set, id, ""))
}

// signed is a difference in mm with its sign.
func signed(name string, mm float64) say.Arg {
	return say.Arg{Name: name, Value: say.Measure{Value: mm, Unit: say.MM, Decimals: 2, Signed: true}}
}

package opinion

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"midcase/evidence"
)

const (
	caliperMM   = 0.05 // usual ± of a caliper, 95 %, where the observer stated none
	nominalTol  = 0.1  // tolerance of a nominal size where the book states none
	z95         = 1.959964
	z90         = 1.644854
	removedFrom = 0.9 // chance from which removal of material is named
)

// polishable are the sizes that polishing takes from.
var polishable = map[string]string{"mid_case_diameter": "case_loss_mm", "lug_thickness": "lug_loss_mm", "thickness_without_crystal": "", "lug_to_lug": ""}

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
	seen := map[string]bool{}
	for _, d := range evidence.All[*evidence.Dimension](f.file) {
		if seen[d.Data.What] {
			continue // an earlier reading of the same size; the latest counts
		}
		seen[d.Data.What] = true
		f.out.Measured = append(f.out.Measured, f.measured(d))
	}
}

func (f *forming) measured(d evidence.Entry[*evidence.Dimension]) Measure {
	u := or(d.Data.PlusMinusMM, caliperMM)
	m := Measure{What: d.Data.What, Name: sizeName(d.Data.What), MM: d.Data.MM, Evidence: []evidence.ID{d.Item.ID}, Basis: fromEvidence(d.Item.ID),
		Interval: [2]float64{round(d.Data.MM-u*z90/z95, 3), round(d.Data.MM+u*z90/z95, 3)}}
	switch d.Data.What {
	case "bracelet_droop":
		m.Says = fmt.Sprintf("Droops %.1f mm over %.0f mm held level on its side.", d.Data.MM, d.Data.FreeLengthMM)
		return m
	case "bracelet_length_under_pull":
		m.Says = fmt.Sprintf("%d links measure %.1f mm under a pull of %.1f N.", d.Data.Links, d.Data.MM, d.Data.PullN)
		return m
	}
	nominal, tolerance, ok := f.nominal(d.Data.What)
	if !ok {
		m.Says = "The book gives no size to compare with."
		return m
	}
	m.Basis = append(m.Basis, f.fromBook("dimensions", d.Data.What))
	diff := round(d.Data.MM-nominal, 3)
	m.NominalMM, m.Difference = &nominal, &diff
	if spoken := f.spoken(d.Data.What); spoken > 0 && spoken != nominal {
		m.SpokenMM = &spoken
	}
	m.Says = "As the book gives it, within what can be measured."
	if _, canBePolished := polishable[d.Data.What]; canBePolished {
		p := round(chanceRemoved(diff, u, tolerance), 4)
		m.PRemoved = &p
		if p >= removedFrom {
			m.Says = fmt.Sprintf("%.2f mm under the book's size: material has very likely been taken off.", -diff)
		}
	} else if math.Abs(diff) > u+tolerance {
		m.Says = fmt.Sprintf("%+.2f mm from the book's size: more than measuring and making explain.", diff)
	}
	if m.SpokenMM != nil {
		m.Says += fmt.Sprintf(" It is spoken of as %.0f mm.", *m.SpokenMM)
	}
	return m
}

// chanceRemoved is the chance that at least 0.05 mm was taken off, given the
// difference from the nominal size in mm, the ± of the reading and the tolerance of
// making (both 95 %). Before measuring, half of the cases in the trade are taken to
// have lost material, up to 0.6 mm, evenly; of the others none has. Common practice,
// no published source.
func chanceRemoved(diff, u, tolerance float64) float64 {
	const least, most = 0.05, 0.6
	sd := math.Hypot(u, tolerance) / z95
	n := distuv.Normal{Mu: 0, Sigma: sd}
	untouched := n.Prob(diff)
	// ∫ N(diff; −loss, sd) dloss / (most − least)
	removed := (n.CDF(diff+most) - n.CDF(diff+least)) / (most - least)
	if untouched+removed == 0 {
		if diff < 0 {
			return 1
		}
		return 0
	}
	return removed / (untouched + removed)
}

func (f *forming) spoken(what string) float64 {
	for _, d := range f.ref.Dimensions {
		if d.What == what {
			return d.SpokenMM
		}
	}
	return 0
}

// sizeName names a size as people say it.
func sizeName(what string) string {
	switch what {
	case "mid_case_diameter":
		return "mid-case diameter"
	case "lug_to_lug":
		return "lug to lug"
	}
	return strings.ReplaceAll(what, "_", " ")
}

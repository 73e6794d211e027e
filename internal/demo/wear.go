package demo

import (
	"math"
	"slices"

	"midcase/condition"
	"midcase/evidence"
)

// fault is a finding as it truly is; good points have severity 0.
type fault struct {
	term     string
	severity int
	extent   float64
	where    string
	note     string
}

// wearTerms are the terms by which a part usually wears; all are terms of package
// condition.
var wearTerms = map[evidence.Slot][]string{
	evidence.Case:      {"scratches", "dents", "bevels_lost", "corrosion"},
	evidence.Bezel:     {"scratches", "dents", "faded"},
	evidence.Crystal:   {"scratches", "crazing"},
	evidence.Dial:      {"patina", "spotting", "faded", "print_worn"},
	evidence.Hands:     {"patina", "corrosion", "spotting"},
	evidence.Crown:     {"worn", "scratches"},
	evidence.Pushers:   {"worn", "sticking", "scratches"},
	evidence.CaseBack:  {"scratches", "tool_marks", "markings_worn"},
	evidence.Movement:  {"dirty", "tool_marks", "patina"},
	evidence.Bracelet:  {"stretch", "scratches", "bent_links"},
	evidence.EndPieces: {"scratches", "loose"},
	evidence.Clasp:     {"scratches", "weak", "worn"},
}

// goodTerms are the good points that a part in next to new state may have.
var goodTerms = map[evidence.Slot][]string{
	evidence.Case: {"sharp_edges", "unpolished"}, evidence.Dial: {"crisp_print", "even_ageing"},
	evidence.Hands:    {"even_ageing"},
	evidence.CaseBack: {"crisp_markings"}, evidence.Movement: {"clean_movement"}, evidence.Bracelet: {"tight_links"},
	evidence.Bezel: {"sharp_edges"},
}

var wherePool = []string{"", "", "at 2", "at 4", "at 7", "at 10", "along the edge", "near the middle"}

// wearOut gives each part its faults and good points.
func (x *specimen) wearOut(s stream) {
	x.lose(s)
	for _, slot := range append([]evidence.Slot{evidence.Case}, partSlots...) {
		if _, ok := x.parts[slot]; !ok && slot != evidence.Case {
			continue
		}
		x.faults[slot] = append(x.plantedFaults(slot), x.usualFaults(s, slot)...)
	}
}

// lose takes metal off by ordinary polishing, where nothing is planted.
func (x *specimen) lose(s stream) {
	if x.lossMM > 0 {
		return
	}
	most := [4]float64{0.015, 0.04, 0.09, 0.16}[x.plan.wear]
	x.lossMM = s.between(0, most)
	x.lugLoss = 1.3 * x.lossMM
}

// usualFaults are what wear of this degree brings.
func (x *specimen) usualFaults(s stream, slot evidence.Slot) []fault {
	p := x.parts[slot]
	if p != nil && p.id == "strap" {
		return []fault{{term: "strap_worn", severity: 1}}
	}
	wear := float64(x.plan.wear)
	if p != nil && !p.original {
		wear *= 0.5
	}
	var out []fault
	for _, term := range wearTerms[slot] {
		if !s.chance(0.18 + 0.17*wear) {
			continue
		}
		severity := 1 + s.choose([]float64{3, wear, math.Max(0, wear-1.5)})
		out = append(out, fault{term: term, severity: severity, extent: to(s.between(0.05, 0.15+0.2*wear), 0.05),
			where: pick(s, wherePool...)})
	}
	if x.refin && slot == evidence.Dial {
		return nil // what was there was painted over
	}
	for _, term := range goodTerms[slot] {
		if x.plan.wear <= 1 && len(out) == 0 && s.chance(0.6) && x.allows(slot, term) {
			out = append(out, fault{term: term})
		}
	}
	if slot == evidence.Dial && x.lumed() && !x.relumed && len(out) < 3 {
		out = append(out, x.lumeFault(s))
	}
	return out
}

func (x *specimen) lumeFault(s stream) fault {
	if s.chance(0.65 - 0.15*float64(x.plan.wear)) {
		return fault{term: "lume_intact"}
	}
	return fault{term: "lume_loss", severity: 1 + s.IntN(2), extent: to(s.between(0.05, 0.25), 0.05),
		where: pick(s, "at 3", "at 6", "at 9", "at 5")}
}

// allows keeps good points away from what contradicts them.
func (x *specimen) allows(slot evidence.Slot, term string) bool {
	switch {
	case term == "unpolished" || (slot == evidence.Case && term == "sharp_edges"):
		return x.lossMM < 0.04
	case slot == evidence.Movement:
		return !x.drying
	case slot == evidence.Dial || slot == evidence.Hands:
		return !x.relumed && !x.refin
	}
	return true
}

// lumed reports whether the dial fitted carries luminous plots.
func (x *specimen) lumed() bool {
	p := x.parts[evidence.Dial]
	return p != nil && p.variant != nil && p.variant.Lume != "" && p.variant.Lume != "none"
}

// plantedFaults are the findings that what was planted leaves to be seen.
func (x *specimen) plantedFaults(slot evidence.Slot) []fault {
	switch {
	case slot == evidence.Case && x.plan.has(PolishedCase):
		return []fault{{term: "polished", severity: 3, extent: 0.9, note: "shape of the lugs visibly changed"},
			{term: "lugs_thinned", severity: 3, where: "all four lugs"}, {term: "bevels_lost", severity: 3}}
	case slot == evidence.Case && x.lossMM > 0.05:
		return []fault{{term: "polished", severity: 1 + int(x.lossMM/0.11), extent: 0.6}}
	case slot == evidence.Dial && x.refin:
		return []fault{{term: "refinished", severity: 2, extent: 1,
			note: "printing thick, the minute strokes do not meet the edge"}}
	case slot == evidence.Dial && x.relumed:
		return []fault{{term: "relume", severity: 2, extent: 0.5, where: "at 3, 6, 9 and 12",
			note: "fresh, smooth paste; the others are grained"}, {term: "lume_mismatch", severity: 2}}
	case slot == evidence.Dial && x.drying:
		return []fault{{term: "moisture", severity: 2, extent: 0.3, where: "from 5 to 8"}}
	case slot == evidence.Hands && x.relumed:
		return []fault{{term: "relume", severity: 1, extent: 1}}
	case slot == evidence.Hands && x.drying:
		return []fault{{term: "rust", severity: 2, extent: 0.2}}
	case slot == evidence.Movement && x.drying:
		return []fault{{term: "rust", severity: 3, extent: 0.35, where: "keyless works and balance cock screws"},
			{term: "moisture", severity: 3, extent: 0.4}}
	case slot == evidence.EndPieces && x.plan.has(EndPiecesDoNotFit):
		return []fault{{term: "wrong_end_pieces", severity: 3, note: "half a millimetre of air on either side"},
			{term: "loose", severity: 2}}
	}
	return nil
}

// judge gives each part its true grade, once it is known how the watch runs.
func (x *specimen) judge() {
	s := newStream(uint64(x.serial), "observer "+x.ref.ID)
	for _, slot := range append([]evidence.Slot{evidence.Case}, partSlots...) {
		if _, ok := x.parts[slot]; ok || slot == evidence.Case {
			x.grades[slot], x.counted[string(slot)] = x.grade(s, slot)
		}
	}
}

// What the shop's observers get wrong, in grades of a part: severities misjudged either
// way, and wear overlooked or not worth a line to them, less where they looked closely
// enough to note what is good.
const (
	misjudgedSD   = 0.4
	overlookedSD  = 1.5
	closeLookedSD = 0.6
)

// grade is the true grade of a part, and that with which it counts, by the definition of
// package condition: all that is there counts, and what the observer got wrong.
func (x *specimen) grade(s stream, slot evidence.Slot) (grade, counts float64) {
	in := condition.Input{Whole: true, RelevantSlots: []string{string(slot)}, Findings: x.found(slot)}
	if slot == evidence.Movement {
		in.Measures = []condition.Measure{{Kind: "amplitude_deg", Value: x.runs.amplitude},
			{Kind: "beat_error_ms", Value: x.runs.beatError}, {Kind: "rate_mean", Value: x.runs.mean},
			{Kind: "rate_delta", Value: x.runs.spread}}
	}
	r, err := condition.Grade(in)
	if err != nil {
		return 0, 0 // a term that the rubric does not have; a test finds it
	}
	missed := overlookedSD
	if slices.ContainsFunc(x.faults[slot], func(f fault) bool { return f.severity == 0 }) {
		missed = closeLookedSD
	}
	wrong := misjudgedSD*s.NormFloat64() - missed*math.Abs(s.NormFloat64())
	within := func(g float64) float64 { return math.Min(10, math.Max(1, g)) }
	return within(r.Slots[0].Grade + wrong), within(r.Slots[0].Counts() + wrong)
}

// found are the faults of a slot as findings.
func (x *specimen) found(slot evidence.Slot) []condition.Finding {
	var out []condition.Finding
	for _, f := range x.faults[slot] {
		out = append(out, condition.Finding{Slot: string(slot), Term: f.term, Severity: f.severity,
			Extent: math.Min(1, f.extent), Where: f.where})
	}
	return out
}

// condition is the true overall grade: the definition of package condition over the true
// grades of the parts.
func (x *specimen) condition() float64 {
	return condition.OverallOf(x.counted)
}

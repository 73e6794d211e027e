package opinion

import (
	"strings"

	"midcase/evidence"
	"midcase/metal"
	"midcase/say"
)

const (
	scaleG         = 0.02 // usual ± of a scale, 95 %, where the observer stated none
	nominalWeightU = 0.05 // standard uncertainty of a nominal weight, as a share of it
	waterC         = 20.0
)

// weighable are the slots whose metal counts.
var weighable = []evidence.Slot{evidence.Case, evidence.Bezel, evidence.CaseBack, evidence.Bracelet, evidence.EndPieces,
	evidence.Clasp}

// metal computes the fine weight, the melt floor and the density.
func (f *forming) metal() {
	out := Metal{Says: say.That("metal.none")}
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What == evidence.MarkHallmark {
			out.Marks = append(out.Marks, metalMark(m))
		}
	}
	if f.ref != nil {
		if m, ok := f.maker.Metal(f.out.Watch.Metal); ok {
			out.Name, out.Fineness = m.Name, m.Fineness
			out.Basis = append(out.Basis, f.fromBook("metal"))
		}
	}
	f.fineWeight(&out)
	out.Density = f.density()
	f.out.Metal = out
}

func metalMark(m evidence.Entry[*evidence.Mark]) MetalMark {
	out := MetalMark{Slot: m.Data.Slot, Text: m.Data.Text, Says: say.That("metal.as-read"),
		Basis: fromEvidence(m.Item.ID)}
	if h, err := metal.ReadHallmark(m.Data.Text); err == nil && len(h.Says) > 0 {
		out.Says = say.Verbatim(strings.Join(h.Says, " "))
	}
	return out
}

func (f *forming) fineWeight(out *Metal) {
	parts, lines := f.metalParts()
	if len(parts) == 0 {
		if out.Fineness > 0 {
			out.Says = say.That("metal.not-weighed")
			f.unknown(say.That("unknown.not-weighed"))
		}
		return
	}
	fine, err := metal.FineWeight(parts)
	if err != nil {
		f.unknown(say.That("unknown.fine-weight", say.Saying("why", because(err))))
		return
	}
	element := parts[0].Element
	if element == "" {
		element = "gold"
	}
	out.FineG, out.Interval, out.Parts = ptr(round(fine.G, 2)), [2]float64{round(fine.Interval90.Low(), 2),
		round(fine.Interval90.High(), 2)}, lines
	for _, l := range lines {
		out.Basis = append(out.Basis, l.Basis...)
	}
	weight := say.That("metal.fine", say.Measured("weight", fine.G, fine.Interval90, say.Gram, 1),
		say.Term("element", "element", element, ""))
	out.Says = say.That("phrase.sentences", say.All("all", weight, f.meltFloor(out, element, fine)))
}

// meltFloor writes the melt floor down and says it.
func (f *forming) meltFloor(out *Metal, element string, fine metal.Fine) say.Statement {
	for _, s := range f.settings.Spots {
		if !strings.EqualFold(s.Element, element) || s.PerTroyOunce.Currency() != f.settings.Currency {
			continue
		}
		floor, err := metal.MeltFloor(fine.G, fine.UG, s.PerTroyOunce, f.settings.Payout)
		if err != nil {
			f.unknown(say.That("unknown.melt-floor", say.Saying("why", because(err))))
			return say.Statement{}
		}
		out.MeltFloor = &floor.Amount
		out.Spot = &Spot{PerTroyOunce: s.PerTroyOunce, Date: s.Date, Payout: f.settings.Payout}
		out.Basis = append(out.Basis, Basis{Source: "setting", ID: "spot/" + element + "/" + s.Date})
		return say.That("metal.floor", say.Money("price", s.PerTroyOunce), say.Day("day", s.Date),
			say.Money("floor", floor.Amount))
	}
	return say.That("metal.no-price", say.Term("element", "element", element, ""),
		say.Name("currency", string(f.settings.Currency)))
}

// metalParts lists the parts of precious metal: weighed where they were weighed, else
// by the book's nominal weight.
func (f *forming) metalParts() ([]metal.Part, []MetalPart) {
	var parts []metal.Part
	var lines []MetalPart
	for _, slot := range weighable {
		if e, ok := f.fitted[slot]; ok && e.Data.Absent {
			continue
		}
		p, line, ok := f.metalPart(slot)
		if !ok {
			continue
		}
		one, err := metal.FineWeight([]metal.Part{p})
		if err != nil {
			continue
		}
		line.FineG = round(one.G, 3)
		parts, lines = append(parts, p), append(lines, line)
	}
	return parts, lines
}

func (f *forming) metalPart(slot evidence.Slot) (metal.Part, MetalPart, bool) {
	element, permille := f.fineness(slot)
	if permille == 0 {
		return metal.Part{}, MetalPart{}, false
	}
	p := metal.Part{Name: slot.Name(), Element: element, Permille: float64(permille), FineShare: 1}
	line := MetalPart{Part: word("slot", string(slot)), Fineness: permille}
	nominal, share, inBook := f.nominalWeight(slot)
	p.FineShare = share
	for _, w := range evidence.All[*evidence.Weighing](f.file) {
		if w.Data.What == string(slot) && w.Data.In == "air" {
			p.G, p.UG = w.Data.G, or(w.Data.PlusMinusG, scaleG)/z95
			line.G, line.From, line.Basis = w.Data.G, say.That("metal.weighed"), fromEvidence(w.Item.ID)
			return p, line, true
		}
	}
	if !inBook {
		return p, line, false
	}
	p.G, p.UG, p.Nominal = nominal, nominal*nominalWeightU, true
	line.G, line.From, line.Basis = nominal, say.That("metal.nominal"), []Basis{f.fromBook("weights", string(slot))}
	return p, line, true
}

// fineness tells the precious metal of a slot; 0 for base metal and for slots of
// which nothing is known. Small case parts follow the case.
func (f *forming) fineness(slot evidence.Slot) (element string, permille int) {
	if f.ref == nil {
		return "", 0
	}
	of := slot
	if slot == evidence.Bezel || slot == evidence.CaseBack {
		of = evidence.Case
	}
	id := ""
	for _, w := range f.ref.Weights {
		if w.Part == string(slot) && w.Metal != "" {
			id = w.Metal
		}
	}
	m := f.metalOf(of)
	if id == "" {
		id = m.metal
	}
	if id == "" || slot == evidence.Bracelet && f.onStrap() {
		return "", 0
	}
	entry, ok := f.maker.Metal(id)
	if !ok || entry.Fineness == 0 {
		return "", 0
	}
	if m.fineness > 0 && m.seen && id == m.metal {
		return entry.Element, m.fineness
	}
	return entry.Element, entry.Fineness
}

func (f *forming) onStrap() bool {
	e, ok := f.fitted[evidence.Bracelet]
	return !ok || e.Data.Absent || e.Data.Variant == "strap"
}

func (f *forming) nominalWeight(slot evidence.Slot) (g, share float64, ok bool) {
	if f.ref == nil {
		return 0, 1, false
	}
	for _, w := range f.ref.Weights {
		if w.Part == string(slot) {
			return w.G, or(w.FineShare, 1), true
		}
	}
	if e, fitted := f.fitted[slot]; fitted && slot == evidence.Bracelet {
		if b, ok := f.maker.Bracelet(e.Data.Variant); ok && b.WeightG > 0 {
			return b.WeightG, 1, true
		}
	}
	return 0, 1, false
}

// density tests a part that was weighed in air and in water against its mark.
func (f *forming) density() *Density {
	for _, wet := range evidence.All[*evidence.Weighing](f.file) {
		if wet.Data.In != "water" {
			continue
		}
		for _, dry := range evidence.All[*evidence.Weighing](f.file) {
			if dry.Data.In != "air" || dry.Data.What != wet.Data.What {
				continue
			}
			return f.densityOf(dry, wet)
		}
		f.unknown(say.That("unknown.density", say.Term("part", "slot", wet.Data.What, "")))
	}
	return nil
}

func (f *forming) densityOf(dry, wet evidence.Entry[*evidence.Weighing]) *Density {
	uDry, uWet := or(dry.Data.PlusMinusG, scaleG)/z95, or(wet.Data.PlusMinusG, scaleG)/z95
	r, err := metal.Density(dry.Data.G, uDry, wet.Data.G, uWet, or(wet.Data.WaterTempC, waterC))
	if err != nil {
		f.unknown(say.That("unknown.density-test", say.Saying("why", because(err))))
		return nil
	}
	d := &Density{Part: word("slot", dry.Data.What), GPerCM3: round(r.GPerCM3, 2),
		Interval: [2]float64{round(r.Interval90.Low(), 2), round(r.Interval90.High(), 2)},
		Agrees:   []string{}, Basis: fromEvidence(dry.Item.ID, wet.Item.ID)}
	for _, a := range metal.Agrees(r.GPerCM3, r.U) {
		d.Agrees = append(d.Agrees, a.Name)
	}
	d.Says = say.That("metal.density", say.Measured("density", r.GPerCM3, r.Interval90, say.GramPerCM3, 2))
	if element, permille := f.fineness(evidence.Slot(dry.Data.What)); permille > 0 {
		if claim, err := metal.CompareMark(r.GPerCM3, r.U, element, permille); err == nil {
			d.Contradicts = claim.Contradicts
			d.Says = say.That("metal.density-claim", say.Saying("density", d.Says), say.Name("claim", claim.Says))
		}
	}
	return d
}

package opinion

import (
	"strings"

	"midcase/evidence"
	"midcase/metal"
	"midcase/money"
	"midcase/say"
)

const (
	scaleG = 0.02 // usual ± of a scale, 95 %, where the observer stated none
	waterC = 20.0
	// markedU is the standard uncertainty in ‰ with which a part has the fineness of its
	// mark: solder lowers it, a careful maker keeps above it. Common practice, no
	// published source.
	markedU = 2.5
)

// metal computes the fine weight, the melt floor and the density.
func (f *forming) metal() {
	out := Metal{Says: say.That("metal.none")}
	for _, m := range f.marksRead() {
		if m.entry.Data.What != evidence.MarkHallmark {
			continue
		}
		one := MetalMark{Slot: m.entry.Data.Slot, Text: m.entry.Data.Text, Says: say.That("metal.as-read"),
			Basis: fromEvidence(m.entry.Item.ID)}
		if len(m.read.Says) > 0 {
			one.Says = say.That("phrase.sentences", statements("all", m.read.Says))
		}
		out.Marks = append(out.Marks, one)
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

// statements is a list of statements as one argument.
func statements(name string, all []say.Statement) say.Arg {
	values := make([]say.Value, len(all))
	for i, s := range all {
		values[i] = s
	}
	return say.All(name, values...)
}

// fineWeight reckons each precious metal apart. A mark that contradicts what the case is
// said to be of leaves nothing to count on.
func (f *forming) fineWeight(out *Metal) {
	doubt := f.claimOf(evidence.Case).doubt
	if !doubt.IsZero() {
		out.Says = say.That("phrase.sentences", say.All("all", doubt, say.That("metal.no-floor")))
		out.Contradiction = &doubt
		f.unknown(say.That("unknown.metal"))
		return
	}
	w := f.weigh()
	for _, s := range w.asks {
		f.unknown(s)
	}
	if len(w.parts) == 0 {
		f.notWeighed(out, w)
		return
	}
	byElement := map[string][]metal.Part{}
	var elements []string
	for _, p := range w.parts {
		if byElement[p.Element] == nil {
			elements = append(elements, p.Element)
		}
		byElement[p.Element] = append(byElement[p.Element], p)
	}
	for _, e := range elements {
		fine, err := metal.FineWeight(byElement[e])
		if err != nil {
			f.unknown(say.That("unknown.fine-weight", say.Saying("why", because(err))))
			return
		}
		out.Elements = append(out.Elements, FineMetal{Element: e, FineG: round(fine.G, 2),
			Interval: [2]float64{round(fine.Interval90.Low(), 2), round(fine.Interval90.High(), 2)}, fine: fine})
	}
	first := out.Elements[0] // the case's, where it has one
	out.FineG, out.Interval, out.Parts = ptr(first.FineG), first.Interval, w.lines
	for _, l := range w.lines {
		out.Basis = append(out.Basis, l.Basis...)
	}
	var says []say.Statement
	for i := range out.Elements {
		e := &out.Elements[i]
		says = append(says, say.That("metal.fine",
			say.Measured("weight", e.fine.G, e.fine.Interval90, say.Gram, 1), say.Term("element", "element",
				e.Element, "")))
	}
	says = append(says, f.meltFloor(out)...)
	out.Says = say.That("phrase.sentences", statements("all", append(says, w.notes...)))
}

// notWeighed says why there is no fine weight of a watch that has precious metal.
func (f *forming) notWeighed(out *Metal, w weighed) {
	switch {
	case len(w.notes) > 0:
		out.Says = say.That("phrase.sentences", statements("all", w.notes))
	case out.Fineness > 0:
		out.Says = say.That("metal.not-weighed")
		f.unknown(say.That("unknown.not-weighed"))
	}
}

// meltFloor writes the melt floor down and says it: that of all metals together, where
// each has a price.
func (f *forming) meltFloor(out *Metal) []say.Statement {
	var says []say.Statement
	var total money.Money
	for i := range out.Elements {
		e := &out.Elements[i]
		spot, ok := f.spot(e.Element)
		if !ok {
			out.MeltFloor, out.Spot = nil, nil
			return []say.Statement{say.That("metal.no-price", say.Term("element", "element", e.Element, ""),
				say.Name("currency", string(f.settings.Currency)))}
		}
		floor, err := metal.MeltFloor(e.fine.G, e.fine.UG, spot.PerTroyOunce, f.settings.Payout)
		if err != nil {
			f.unknown(say.That("unknown.melt-floor", say.Saying("why", because(err))))
			return nil
		}
		e.MeltFloor = &floor.Amount
		if i == 0 {
			total = floor.Amount
			out.Spot = &Spot{PerTroyOunce: spot.PerTroyOunce, Date: spot.Date, Payout: f.settings.Payout}
		} else if sum, err := total.Add(floor.Amount); err == nil {
			total = sum
		}
		out.Basis = append(out.Basis, Basis{Source: "setting", ID: "spot/" + e.Element + "/" + spot.Date})
		says = append(says, say.That("metal.floor", say.Money("price", spot.PerTroyOunce), say.Day("day", spot.Date),
			say.Money("floor", floor.Amount)))
	}
	out.MeltFloor = &total
	if len(out.Elements) > 1 {
		says = append(says, say.That("metal.floor-of-all", say.Money("floor", total)))
	}
	return says
}

// spot is the price given of an element, in the currency of the opinion.
func (f *forming) spot(element string) (SpotPrice, bool) {
	for _, s := range f.settings.Spots {
		if strings.EqualFold(s.Element, element) && s.PerTroyOunce.Currency() == f.settings.Currency {
			return s, true
		}
	}
	return SpotPrice{}, false
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
	slot := evidence.Slot(dry.Data.What)
	if slot == "case_parts" {
		slot = evidence.Case
	}
	if c := f.claimOf(slot); c.permille > 0 {
		if claim, err := metal.CompareMark(r.GPerCM3, r.U, c.element, c.permille, c.colour); err == nil {
			d.Contradicts = claim.Contradicts
			d.Says = say.That("metal.density-claim", say.Measured("density", r.GPerCM3, r.Interval90, say.GramPerCM3,
				2),
				say.Saying("claim", claim.Says))
		}
	}
	return d
}

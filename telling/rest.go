package telling

import (
	"slices"

	"midcase/condition"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// running tells how the watch runs.
func (p *planning) running() {
	p.rates()
	p.functions()
	p.needs()
}

func (p *planning) rates() {
	r := p.Opinion.Running
	ids := idsOf(r.Basis)
	if r.Mean == nil {
		p.tell(Open, say.That("tell.not-timed"))
		return
	}
	rate := say.Measure{Value: *r.Mean, Unit: say.SecondPerDay, Signed: true}
	if se := max(deref(r.MeanSE), r.ClockSE); se > 0 {
		rate.Range, rate.Decimals = estimate.Interval{*r.Mean - 1.645*se, *r.Mean + 1.645*se}, 1
	}
	p.tell(Running, say.That("tell.rate", given("rate", rate), say.Count("n", len(r.Positions))), ids...)
	if r.Amplitude != nil && *r.Amplitude > 0 {
		p.tell(Running, say.That("tell.amplitude", say.Fixed("amplitude", *r.Amplitude, say.Degree, 0)), ids...)
	}
	if r.BeatError != nil {
		p.tell(Running, say.That("tell.beat-error", say.Fixed("error", *r.BeatError, say.Millisecond, 1)), ids...)
	}
	if due := r.ServiceExpected; due != nil && *due {
		says := say.That("tell.service-due")
		s := Sentence{Section: Running, Says: says, Evidence: ids}
		if len(ids) > 0 {
			s.Discloses = []Disclosure{{Finding: ids[0], Slot: evidence.Movement, Says: says, Grave: 20,
				Word: say.That("tell.word-service")}}
		}
		p.add(s)
	}
}

func deref(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// with tells what comes with the watch.
func (p *planning) with() {
	var things []say.Value
	var ids []evidence.ID
	for _, d := range evidence.All[*evidence.Document](p.File) {
		if d.Data.What == "advertisement" || d.Data.What == "other" || d.Data.What == "letter" {
			continue
		}
		things = append(things, say.That("tell.document", say.Term("document", "document", d.Data.What, ""),
			given("when", whenOf(d.Data.Date))))
		ids = append(ids, d.Item.ID)
	}
	if id, ok := seen(p.File, evidence.Box); ok {
		things, ids = append(things, say.Noun{Set: "slot", ID: "box", English: ""}), append(ids, id)
	}
	if id, ok := seen(p.File, evidence.Papers); ok && !hasPapers(p.File) {
		things, ids = append(things, say.Noun{Set: "slot", ID: "papers", English: ""}), append(ids, id)
	}
	if len(things) == 0 {
		p.tell(With, say.That("tell.alone"))
		return
	}
	p.tell(With, say.That("tell.with", say.All("things", things...)), ids...)
}

func hasPapers(f evidence.File) bool {
	return slices.ContainsFunc(evidence.All[*evidence.Document](f), func(d evidence.Entry[*evidence.Document]) bool {
		return d.Data.What == "papers"
	})
}

// seen reports whether a slot was looked at and is not empty.
func seen(f evidence.File, slot evidence.Slot) (evidence.ID, bool) {
	for _, it := range f.Items {
		switch d := it.Data.(type) {
		case *evidence.Fitted:
			if d.Slot == slot {
				return it.ID, !d.Absent
			}
		case *evidence.Finding:
			if d.Slot == slot {
				return it.ID, true
			}
		}
	}
	return "", false
}

// saleable are the sizes that a buyer asks for.
var saleable = []string{"mid_case_diameter", "lug_to_lug", "thickness", "thickness_without_crystal", "lug_width"}

// sizes tells the sizes measured.
func (p *planning) sizes() {
	var all []say.Value
	var ids []evidence.ID
	var told []string
	for _, what := range saleable {
		for _, m := range p.Opinion.Measured {
			if m.What != what || slices.Contains(told, what) {
				continue
			}
			told, ids = append(told, what), append(ids, m.Evidence...)
			size := say.That("tell.size", say.Term("what", "size", m.What, ""), measure("size", m))
			if m.SpokenMM != nil {
				size = say.That("tell.size-known", say.Term("what", "size", m.What, ""), measure("size", m),
					say.Fixed("known", *m.SpokenMM, say.MM, 0))
			}
			all = append(all, size)
		}
	}
	if len(all) > 0 {
		p.tell(Sizes, say.That("tell.sizes", say.All("sizes", all...)), ids...)
	}
}

// dating tells what the date stands on. Numbers are not told in full, as they serve
// those who make false papers.
func (p *planning) dating() {
	d := p.Opinion.Dating
	if !d.Known {
		return
	}
	var ways []say.Value
	var ids []evidence.ID
	parts := 0
	for _, i := range d.Items {
		if i.Disagrees || i.OutlierP > 0.5 { // it says nothing of this watch
			continue
		}
		if i.Kind == "part" || i.Says.Kind == "dating.part" {
			parts++
			continue
		}
		if on, ok := argOf(i.Says, "slot").(say.Noun); ok && p.troubled(evidence.Slot(on.ID)) {
			continue
		}
		if way, ok := dateBy(i.Says); ok {
			ways, ids = append(ways, way), append(ids, i.Evidence)
		}
	}
	if parts > 0 {
		ways = append(ways, say.That("tell.by-parts", say.Count("n", parts)))
	}
	if len(ways) > 0 {
		p.tell(Dating, say.That("tell.dated-by", say.All("ways", ways...)), ids...)
	}
}

// troubled reports whether a buyer has to hear of the part in a slot, so that nothing is
// dated by it.
func (p *planning) troubled(slot evidence.Slot) bool {
	return slices.ContainsFunc(p.Opinion.Parts, func(part opinion.Part) bool {
		return part.Slot == slot && opinion.IsTrouble(part.Verdict)
	})
}

// dateBy is what one item says of the date.
func dateBy(s say.Statement) (say.Statement, bool) {
	switch s.Kind {
	case "dating.number", "dating.number-beyond":
		return say.That("tell.by-number", given("mark", argOf(s, "mark")), given("about", argOf(s, "about"))), true
	case "dating.number-anew", "dating.number-range", "dating.number-partial", "dating.number-completed":
		return say.That("tell.by-number-part", given("mark", argOf(s, "mark"))), true
	case "dating.stamp":
		return say.That("tell.by-stamp", given("slot", argOf(s, "slot")), given("made", argOf(s, "made"))), true
	case "dating.extract":
		return say.That("tell.by-extract", given("made", argOf(s, "made"))), true
	case "dating.document":
		return say.That("tell.by-document", given("document", argOf(s, "document")), given("date", argOf(s,
			"date"))), true
	}
	return say.Statement{}, false
}

// history tells of work that is no repair and of registers asked.
func (p *planning) history() {
	disclosed := repairs(p.File)
	for _, w := range evidence.All[*evidence.Work](p.File) {
		if workID(w.Data.What) != "" && !slices.ContainsFunc(disclosed, func(d evidence.Entry[*evidence.Work]) bool {
			return d.Item.ID == w.Item.ID
		}) {
			p.tell(History, worked(w.Data), w.Item.ID)
		}
	}
	for _, c := range evidence.All[*evidence.Check](p.File) {
		if c.Data.Result == "clear" {
			p.tell(History, say.That("tell.register-clear", given("when", whenOf(c.Data.Date))), c.Item.ID)
		} else {
			p.tell(History, say.That("tell.register-unclear", given("when", whenOf(c.Data.Date))), c.Item.ID)
		}
	}
}

// open tells what was not examined or could not be judged.
func (p *planning) open() {
	var unseen, unjudged []opinion.Part
	for _, part := range p.Opinion.Parts {
		switch part.Verdict {
		case opinion.NotExamined:
			unseen = append(unseen, part)
		case opinion.NotJudged:
			unjudged = append(unjudged, part)
		}
	}
	if len(unseen) > 0 {
		p.openParts(unseen, func(slots []say.Value) say.Statement {
			return say.That("tell.unexamined", say.All("slots", slots...))
		})
	}
	if len(unjudged) > 0 {
		p.openParts(unjudged, func(slots []say.Value) say.Statement {
			return say.That("tell.unjudged", say.All("slots", slots...))
		})
	}
	if len(evidence.All[*evidence.Check](p.File)) == 0 {
		p.tell(Open, say.That("tell.no-register"))
	}
	p.water()
}

func (p *planning) openParts(parts []opinion.Part, says func([]say.Value) say.Statement) {
	s := Sentence{Section: Open}
	var slots []say.Value
	for _, part := range parts {
		slots = append(slots, slotNoun(part.Slot))
		s.Evidence = append(s.Evidence, part.Evidence...)
	}
	s.Says = says(slots)
	for _, part := range parts {
		word := say.Noun{Set: "verdict", ID: part.Verdict}
		for _, id := range partIDs(part, p.File) {
			s.Discloses = append(s.Discloses, Disclosure{Finding: id, Slot: part.Slot, Says: s.Says, Word: word,
				Grave: graveUnseen})
		}
	}
	p.add(s)
}

// notes tells what can hurt somebody, and what the text is.
func (p *planning) notes() {
	for _, c := range p.Opinion.Cautions {
		switch c.Kind {
		case "caution.radium":
			p.tell(Notes, say.That("tell.radium"))
		case "caution.tritium":
			p.tell(Notes, say.That("tell.tritium"))
		case "caution.strap":
			p.tell(Notes, say.That("tell.skin"))
		}
	}
	if lumeLoose(p.File) && !p.says("tell.radium") {
		p.tell(Notes, say.That("tell.lume"))
	}
	p.tell(Notes, say.That("tell.opinion", say.Day("day", p.Opinion.AsOf)))
}

func (p *planning) says(kind say.Kind) bool {
	return slices.ContainsFunc(p.plan.Sentences, func(s Sentence) bool { return s.Says.Kind == kind })
}

// lumeLoose reports whether lume is coming off.
func lumeLoose(f evidence.File) bool {
	return slices.ContainsFunc(evidence.All[*evidence.Finding](f), func(e evidence.Entry[*evidence.Finding]) bool {
		t, ok := condition.Lookup(e.Data.Term)
		return ok && t.ID == "lume_loss" && e.Data.Severity > 0
	})
}

// price tells price, standing and the shop's terms.
func (p *planning) price() {
	switch {
	case p.Offer.Price.IsZero():
		p.tell(Price, say.That("tell.on-request"))
	default:
		p.tell(Price, say.That("tell.price", say.Money("price", p.Offer.Price)))
	}
	if p.Offer.Standing == Reserved {
		p.tell(Price, say.That("tell.reserved"))
	}
	if p.Offer.Number != "" {
		p.tell(Price, say.That("tell.number", say.Name("number", p.Offer.Number)))
	}
}

package opinion

import (
	"math"
	"sort"

	"midcase/condition"
	"midcase/evidence"
	"midcase/say"
)

// noGrade is what is said in place of an overall grade.
var noGrade = condition.GradeWords(math.NaN())

// condition grades what was found and measured.
func (f *forming) condition() {
	in := condition.Input{Findings: f.findings(), Measures: f.measures()}
	for _, slot := range evidence.Slots() {
		if e, ok := f.fitted[slot]; ok && !e.Data.Absent {
			in.Fitted = append(in.Fitted, string(slot))
		}
	}
	in.RelevantSlots = f.relevantSlots()
	r, err := condition.Grade(in)
	if err != nil {
		f.unknown(say.That("unknown.condition", say.Saying("why", because(err))))
		f.out.Condition = Condition{Words: noGrade, Says: []say.Statement{}, Slots: []SlotGrade{}}
		return
	}
	out := Condition{Words: noGrade, Held: r.HeldBy, Says: append([]say.Statement{}, r.Reasons...),
		Slots: []SlotGrade{}}
	if r.Known {
		overall := round(r.Overall, 1)
		out.Overall, out.Words = &overall, condition.GradeWords(r.Overall)
	}
	out.Interval = [2]float64{round(r.Low, 1), round(r.High, 1)}
	f.graded = r
	out.PutRight = putRight(r)
	for _, s := range r.Slots {
		out.Slots = append(out.Slots, f.slotGrade(s))
	}
	out.Rank, out.Ranks = f.ranks()
	f.out.Condition = out
}

func (f *forming) slotGrade(s condition.SlotGrade) SlotGrade {
	g := SlotGrade{Slot: evidence.Slot(s.Slot), Words: VerdictSays(NotExamined), Reasons: []say.Statement{},
		Evidence: []evidence.ID{}, Interval: [2]float64{round(s.Low, 1), round(s.High, 1)}}
	if s.Known {
		v := round(s.Grade, 1)
		g.Grade, g.Words = &v, condition.GradeWords(s.Grade)
	}
	seen := map[string]bool{}
	for _, r := range s.Reasons {
		g.Reasons = append(g.Reasons, r.Says)
		for _, id := range r.IDs {
			if !seen[id] {
				seen[id] = true
				g.Evidence = append(g.Evidence, evidence.ID(id))
			}
		}
	}
	g.Basis = fromEvidence(g.Evidence...)
	return g
}

// findings are those in force that the rubric can count; others are named.
func (f *forming) findings() []condition.Finding {
	var out []condition.Finding
	for _, e := range evidence.All[*evidence.Finding](f.file) {
		c := condition.Finding{ID: string(e.Item.ID), Slot: string(e.Data.Slot), Term: e.Data.Term,
			Severity: e.Data.Severity, Extent: e.Data.Extent, Where: e.Data.Where, Note: e.Data.Note}
		if err := c.Check(); err != nil {
			f.unknown(say.That("unknown.finding", say.Saying("why", because(err))))
			continue
		}
		out = append(out, c)
	}
	return out
}

// measures turns sizes and readings into what the rubric grades.
func (f *forming) measures() []condition.Measure {
	var out []condition.Measure
	add := func(m condition.Measure) {
		if m.Check() == nil {
			out = append(out, m)
		}
	}
	for _, d := range f.sizes() {
		id, u := string(d.Item.ID), or(d.Data.PlusMinusMM, caliperMM)
		switch d.Data.What {
		case "bracelet_droop":
			add(condition.Measure{ID: id, Kind: "stretch_droop", Value: d.Data.MM, U: u,
				FreeLengthMM: d.Data.FreeLengthMM})
		case "bracelet_length_under_pull":
			if pitch := f.pitch(); pitch > 0 && d.Data.Links > 0 {
				whole := pitch * float64(d.Data.Links)
				add(condition.Measure{ID: id, Kind: "stretch_length", Value: math.Max(0, 100*(d.Data.MM-whole)/whole),
					U: 100 * u / whole, PullN: d.Data.PullN})
			}
		case "mid_case_diameter", "lug_thickness":
			// The figure is that of Sizes: chance × mean loss. Another case is no polished one.
			if loss, ok := f.lossOf(d); ok && !loss.Another && loss.P >= lossNamed &&
				loss.MM >= condition.LeastLossMM {
				add(condition.Measure{ID: id, Kind: polishable[d.Data.What], Value: round(loss.MM, 3),
					U: (loss.Interval90[1] - loss.Interval90[0]) / 2 * z95 / z90})
			}
		}
	}
	r := f.out.Running
	if r.Known && len(r.Positions) > 0 {
		id := string(r.Positions[0].Evidence)
		if r.Amplitude != nil {
			add(condition.Measure{ID: id, Kind: "amplitude_deg", Value: *r.Amplitude})
		}
		if r.BeatError != nil {
			add(condition.Measure{ID: id, Kind: "beat_error_ms", Value: *r.BeatError})
		}
		if r.Mean != nil {
			add(condition.Measure{ID: id, Kind: "rate_mean", Value: *r.Mean})
		}
		if r.Delta != nil {
			add(condition.Measure{ID: id, Kind: "rate_delta", Value: *r.Delta})
		}
	}
	return out
}

// pitch is the unworn length per link of the bracelet fitted, by the book.
func (f *forming) pitch() float64 {
	e, ok := f.fitted[evidence.Bracelet]
	if !ok || f.maker == nil {
		return 0
	}
	if b, ok := f.maker.Bracelet(e.Data.Variant); ok {
		return b.PitchMM
	}
	return 0
}

// relevantSlots are the slots that this watch should have.
func (f *forming) relevantSlots() []string {
	need := map[evidence.Slot]bool{evidence.Case: true, evidence.Dial: true, evidence.Hands: true,
		evidence.Crystal: true, evidence.Crown: true, evidence.CaseBack: true, evidence.Movement: true}
	if f.ref != nil {
		for _, s := range f.ref.Slots {
			need[s.Slot] = true
		}
	}
	for slot := range f.fitted {
		need[slot] = true
	}
	if e, ok := f.fitted[evidence.Bracelet]; ok && e.Data.Variant == "strap" {
		delete(need, evidence.EndPieces)
	}
	delete(need, evidence.Box)
	delete(need, evidence.Papers)
	var out []string
	for s := range need {
		out = append(out, string(s))
	}
	sort.Strings(out)
	return out
}

// putRight says what can be put right, for about how much, with what chance to find it.
func putRight(r condition.Result) []PutRight {
	var out []PutRight
	for _, p := range r.PutRight {
		out = append(out, PutRight{Slot: evidence.Slot(p.Slot), By: p.By, Cost: [2]float64{p.Cost[0], p.Cost[2]},
			UsualCost: p.Cost[1], Currency: "EUR", PFound: p.Found})
	}
	return out
}

// ranks places the watch among the examples compared with it, slot by slot, where there
// are enough; the first is that of the whole watch, else of the slot most compared.
func (f *forming) ranks() (*Rank, []Rank) {
	bySlot := map[evidence.Slot][]Peer{}
	for _, p := range f.settings.Peers {
		bySlot[p.Slot] = append(bySlot[p.Slot], p)
	}
	var out []Rank
	for _, slot := range append([]evidence.Slot{""}, evidence.Slots()...) {
		if r := f.rank(slot, bySlot[slot]); r != nil {
			out = append(out, *r)
		}
	}
	if len(out) == 0 {
		return nil, nil
	}
	first := out[0]
	for _, r := range out[1:] {
		if first.Slot != "" && r.Of > first.Of {
			first = r
		}
	}
	return &first, out
}

// rank places the watch among the examples whose slot was compared.
func (f *forming) rank(slot evidence.Slot, peers []Peer) *Rank {
	var comparisons []condition.Comparison
	names := map[string]bool{}
	for _, p := range peers {
		result := 1.0
		if p.Same {
			result = 0.5
		}
		comparisons = append(comparisons, condition.Comparison{A: p.Better, B: p.Worse, Result: result})
		names[p.Better], names[p.Worse] = true, true
	}
	if f.file.ID == "" || !names[f.file.ID] || len(names) < 3 {
		return nil
	}
	examples := make([]string, 0, len(names))
	for n := range names {
		examples = append(examples, n)
	}
	sort.Strings(examples)
	r, err := condition.Rank(examples, comparisons)
	if err != nil {
		return nil
	}
	s, ok := r.Of(f.file.ID)
	if !ok {
		return nil
	}
	return &Rank{Slot: slot, Better: s.Better, Of: s.Of, P: round(s.P, 3), Says: s.Says(),
		Interval: [2]float64{s.PlaceInterval.Low(), s.PlaceInterval.High()}}
}

func termName(id string) string {
	if t, ok := condition.Lookup(id); ok {
		return t.Name
	}
	return id
}

package telling

import (
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/opinion"
)

// duties lists, by itself and from the evidence, what a text has to disclose: the items
// of findings and repairs, the parts by their items, the sizes that are off. A plan is
// held against it, so that a sentence forgotten is noticed.
func duties(s Subject) []evidence.ID {
	var out []evidence.ID
	need := func(ids ...evidence.ID) {
		for _, id := range ids {
			if !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	for _, f := range evidence.All[*evidence.Finding](s.File) {
		if f.Data.Severity >= 1 {
			need(f.Item.ID)
		}
	}
	for _, p := range s.Opinion.Parts {
		if doubtful(p.Verdict) {
			need(partIDs(p, s.File)...)
		}
	}
	for _, r := range s.Opinion.Rules {
		if r.Broken {
			need(r.Evidence...)
		}
	}
	for _, m := range s.Opinion.Measured {
		if off(m) {
			need(m.Evidence...)
		}
	}
	for _, w := range repairs(s.File) {
		need(w.Item.ID)
	}
	for _, t := range tried(s.File) {
		if fails(t) {
			need(t.Item.ID)
		}
	}
	for _, n := range evidence.All[*evidence.Need](s.File) {
		need(n.Item.ID)
	}
	return out
}

// doubtful reports whether a buyer has to hear of a part's verdict.
func doubtful(verdict string) bool {
	return opinion.IsTrouble(verdict) || verdict == opinion.CannotTell || verdict == opinion.NotJudged
}

// partIDs are the items by which a part is named in a disclosure: what was seen in the
// slot, else the slot itself.
func partIDs(p opinion.Part, f evidence.File) []evidence.ID {
	var out []evidence.ID
	for _, e := range evidence.All[*evidence.Fitted](f) {
		if e.Data.Slot == p.Slot && slices.Contains(p.Evidence, e.Item.ID) {
			out = append(out, e.Item.ID)
		}
	}
	switch {
	case len(out) > 0:
		return out
	case len(p.Evidence) > 0:
		return p.Evidence[:1]
	}
	return []evidence.ID{evidence.ID("part/" + string(p.Slot))}
}

// leastLoss is the chance of material taken off from which a size is told of.
// Common practice, no published source.
const leastLoss = 0.4

// off reports whether a size differs from the book's by more than measuring and making
// explain, or says that material was taken off.
func off(m opinion.Measure) bool {
	if m.NominalMM == nil || m.Difference == nil {
		return false
	}
	if m.PRemoved != nil && *m.PRemoved >= leastLoss && *m.Difference < 0 {
		return true
	}
	for _, kind := range kindsIn(m.Says) {
		switch kind {
		case "sizes.another", "sizes.removed", "sizes.maybe-removed", "sizes.larger", "sizes.differs":
			return true
		}
	}
	return false
}

// conflicting reports whether a good point does not count beside a fault on its slot.
func conflicting(good condition.Term, slot evidence.Slot, s Subject) bool {
	for _, f := range evidence.All[*evidence.Finding](s.File) {
		if f.Data.Slot != slot || f.Data.Severity < 1 {
			continue
		}
		t, ok := condition.Lookup(f.Data.Term)
		if ok && (slices.Contains(good.Conflicts, t.ID) || shapeGone(good.ID, t.ID, f.Data.Severity)) {
			return true
		}
	}
	return untouched(good.ID) && polishedElsewhere(slot, s)
}

// shapeGone reports whether a case polished twice or more can still be told as sharp.
func shapeGone(good, fault string, severity int) bool {
	return fault == "polished" && severity >= 2 && good == "sharp_edges"
}

// untouched are the good points that say that no metal was taken off.
func untouched(term string) bool {
	return term == "unpolished" || term == "as_new" || term == "original_finish_on_flanks"
}

// polishedElsewhere reports whether a size or a record of work says that the slot was
// polished.
func polishedElsewhere(slot evidence.Slot, s Subject) bool {
	if slot == evidence.Case && slices.ContainsFunc(s.Opinion.Measured, off) {
		return true
	}
	return slices.ContainsFunc(repairs(s.File), func(w evidence.Entry[*evidence.Work]) bool {
		return workID(w.Data.What) == "polish"
	})
}

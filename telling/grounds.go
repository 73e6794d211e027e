package telling

import (
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// Ground is something on record, in the words of a buyer, with its evidence. Open says
// that it leaves the matter open.
type Ground struct {
	Says     say.Statement
	Evidence []evidence.ID
	Open     bool
}

// Against lists what on record contradicts a good point of a part: faults, metal taken
// off, work.
func (s Subject) Against(good condition.Term, slot evidence.Slot) []Ground {
	var out []Ground
	for _, f := range evidence.All[*evidence.Finding](s.File) {
		if f.Data.Slot != slot || f.Data.Severity < 1 {
			continue
		}
		t, ok := condition.Lookup(f.Data.Term)
		whole := good.ID == "as_new"
		if whole || ok && (slices.Contains(good.Conflicts, t.ID) || shapeGone(good.ID, t.ID, f.Data.Severity)) {
			out = append(out, groundOf(f))
		}
	}
	if untouched(good.ID) || good.ID == "sharp_edges" {
		out = append(out, s.TakenOff(slot)...)
	}
	if untouched(good.ID) {
		for _, w := range repairs(s.File) {
			if workID(w.Data.What) == "polish" {
				out = append(out, Ground{Says: worked(w.Data), Evidence: []evidence.ID{w.Item.ID}})
			}
		}
	}
	return out
}

// TakenOff lists the sizes which say that metal was taken off a case.
func (s Subject) TakenOff(slot evidence.Slot) []Ground {
	var out []Ground
	for _, m := range s.Opinion.Measured {
		if slot == evidence.Case && off(m) && *m.Difference < 0 && m.PRemoved != nil && *m.PRemoved >= leastLoss {
			says, _ := sizeOff(m)
			out = append(out, Ground{says, m.Evidence, *m.PRemoved < surelyLoss})
		}
	}
	return out
}

// Faults lists the faults found on some parts, the gravest first; no parts are all.
func (s Subject) Faults(slots ...evidence.Slot) []Ground {
	all := slices.DeleteFunc(evidence.All[*evidence.Finding](s.File), func(f evidence.Entry[*evidence.Finding]) bool {
		return f.Data.Severity < 1 || len(slots) > 0 && !slices.Contains(slots, f.Data.Slot)
	})
	slices.SortStableFunc(all, func(a, b evidence.Entry[*evidence.Finding]) int {
		return b.Data.Severity - a.Data.Severity
	})
	out := make([]Ground, len(all))
	for i, f := range all {
		out[i] = groundOf(f)
	}
	return out
}

func groundOf(f evidence.Entry[*evidence.Finding]) Ground {
	var at []say.Value
	if where, ok := place(f.Data.Where); ok {
		at = append(at, where)
	}
	says := say.That("tell.findings", say.Term("slot", "slot", string(f.Data.Slot), ""),
		say.All("findings", finding(f.Data, at, f.Data.Extent)))
	return Ground{Says: says, Evidence: []evidence.ID{f.Item.ID}}
}

// OnPart is what is told of a part that does not fit or is not certain; for one that fits
// how likely it is original. It reports false where nothing was judged.
func (s Subject) OnPart(slot evidence.Slot) (part opinion.Part, says Ground, ok bool) {
	for _, p := range s.Opinion.Parts {
		if p.Slot != slot {
			continue
		}
		g := Ground{Evidence: p.Evidence}
		switch {
		case p.Verdict == opinion.NotExamined:
			g.Says = say.That("tell.unexamined", say.All("slots", slotNoun(slot)))
		case p.Verdict == opinion.NotJudged:
			g.Says = say.That("tell.unjudged", say.All("slots", slotNoun(slot)))
		case p.POriginal != nil && (p.Verdict == opinion.Fits || p.Verdict == opinion.ProbablyOriginal):
			g.Says = say.That("hand.chance", say.Term("slot", "slot", string(slot), ""),
				say.Chance("chance", *p.POriginal))
		default:
			g.Says = verdictOf(p)
		}
		return p, g, true
	}
	return opinion.Part{}, Ground{}, false
}

// Doubtful reports whether a buyer has to hear of a part's verdict.
func Doubtful(p opinion.Part) bool {
	return doubtful(p.Verdict) || p.Verdict == opinion.ProbablyOriginal
}

// WorkKind is the kind of a piece of work, such as service or polish; empty where nothing
// was done, as for an estimate.
func WorkKind(what string) string { return workID(what) }

// Worked is what is told of a piece of work.
func Worked(w *evidence.Work) say.Statement { return worked(w) }

// FaultOf is one fault as it is told.
func (s Subject) FaultOf(f evidence.Entry[*evidence.Finding]) []Ground { return []Ground{groundOf(f)} }

package telling

import (
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// classes are the chances from which a part is told as original, by the words of
// say.Likelihood: the words of a group are those of its least certain part.
var classes = []float64{0.99, 0.95, 0.80}

// example tells what is good of this watch: which parts are original, what was seen.
func (p *planning) example() {
	from := 2.0
	for _, least := range classes {
		p.originals(least, from)
		from = least
	}
	p.goodPoints()
	p.notFound()
	p.agrees()
	for _, part := range p.Opinion.Parts {
		if part.Slot == evidence.Bracelet && part.Verdict == opinion.Fits && part.POriginal == nil {
			p.tell(Example, say.That("tell.strap"), part.Evidence...)
		}
	}
}

// originals tells of the parts whose chance to be original is at least least and below
// under.
func (p *planning) originals(least, under float64) {
	s := Sentence{Section: Example, Chance: least}
	var slots []evidence.Slot
	lowest := 1.0
	for _, part := range p.Opinion.Parts {
		if part.POriginal == nil || part.Verdict != opinion.Fits || *part.POriginal < least ||
			*part.POriginal >= under {
			continue
		}
		slots = append(slots, part.Slot)
		s.Evidence, s.Basis = append(s.Evidence, part.Evidence...), append(s.Basis, part.Basis...)
		lowest = min(lowest, *part.POriginal)
	}
	if len(slots) == 0 {
		return
	}
	s.Says = say.That("tell.original", say.All("slots", slotNouns(slots)...), say.Count("n", len(slots)),
		say.Saying("likely", say.Likelihood(least)), say.Share("chance", least))
	p.add(s)
}

// goodPoints tells of what was seen and is good, a sentence for each part.
func (p *planning) goodPoints() {
	findings := evidence.All[*evidence.Finding](p.File)
	for _, slot := range evidence.Slots() {
		var seen []say.Value
		var ids []evidence.ID
		var told []string
		for _, f := range findings {
			t, ok := condition.Lookup(f.Data.Term)
			if !ok || !t.Good || f.Data.Slot != slot || f.Data.Severity > 0 || conflicting(t, slot, p.Subject) {
				continue
			}
			ids = append(ids, f.Item.ID)
			if !slices.Contains(told, t.ID) {
				told, seen = append(told, t.ID), append(seen, termNoun(t))
			}
		}
		if len(seen) > 0 && !p.badPapers(slot) {
			p.tell(Example, say.That("tell.good", say.Term("slot", "slot", string(slot), ""), say.All("terms",
				seen...)),
				ids...)
		}
	}
}

// badPapers reports whether a rule says that papers do not belong to the watch.
func (p *planning) badPapers(slot evidence.Slot) bool {
	return slot == evidence.Papers && slices.ContainsFunc(p.Opinion.Rules, func(r opinion.Rule) bool {
		return r.Broken && r.Reason.Kind == "rules.papers-wrong"
	})
}

func termNoun(t condition.Term) say.Noun { return say.Noun{Set: "term", ID: t.ID, English: t.Name} }

// notFound tells which faults were looked for and not found.
func (p *planning) notFound() {
	findings := evidence.All[*evidence.Finding](p.File)
	slots, ids := map[string][]evidence.Slot{}, []evidence.ID{}
	var order []condition.Term
	for _, f := range findings {
		t, ok := condition.Lookup(f.Data.Term)
		if !ok || t.Good || f.Data.Severity > 0 || slices.ContainsFunc(findings,
			func(g evidence.Entry[*evidence.Finding]) bool {
				return g.Data.Slot == f.Data.Slot && g.Data.Severity > 0 && sameTerm(g.Data.Term, t.ID)
			}) {
			continue
		}
		if t.ID == "polished" && polishedElsewhere(f.Data.Slot, p.Subject) {
			continue
		}
		if slots[t.ID] == nil {
			order = append(order, t)
		}
		if !slices.Contains(slots[t.ID], f.Data.Slot) {
			slots[t.ID] = append(slots[t.ID], f.Data.Slot)
		}
		ids = append(ids, f.Item.ID)
	}
	var none []say.Value
	for _, t := range order {
		none = append(none, say.That("tell.term-on", say.Term("term", "term", t.ID, t.Name),
			say.All("slots", slotNouns(slots[t.ID])...)))
	}
	if len(none) > 0 {
		p.tell(Example, say.That("tell.none-found", say.All("findings", none...)), ids...)
	}
}

func sameTerm(typed, id string) bool {
	t, ok := condition.Lookup(typed)
	return ok && t.ID == id
}

// agrees tells which rules of the book the watch keeps.
func (p *planning) agrees() {
	s := Sentence{Section: Example}
	var kept []say.Value
	for _, r := range p.Opinion.Rules {
		if r.Broken || !strings.HasPrefix(string(r.Rule.Kind), "rules.name-") || p.broken(r.Rule.Kind) {
			continue
		}
		if !slices.ContainsFunc(kept, func(v say.Value) bool { return v.(say.Statement).Kind == r.Rule.Kind }) {
			kept = append(kept, r.Rule)
		}
		s.Evidence, s.Basis = append(s.Evidence, r.Evidence...), append(s.Basis, r.Basis...)
	}
	if len(kept) > 0 {
		s.Says = say.That("tell.agrees", say.All("rules", kept...))
		p.add(s)
	}
}

// broken reports whether a rule of this kind is broken anywhere on the watch.
func (p *planning) broken(kind say.Kind) bool {
	return slices.ContainsFunc(p.Opinion.Rules, func(r opinion.Rule) bool { return r.Broken && r.Rule.Kind == kind })
}

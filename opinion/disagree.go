package opinion

import (
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/say"
)

// Disagreement is two things on record that do not go together, with what each of them
// stands on.
type Disagreement struct {
	// Kind is claim, finding, picture, size, reading, papers, weight, number or date.
	Kind  string        `json:"kind"`
	Slot  evidence.Slot `json:"slot,omitempty"`
	Says  say.Statement `json:"says"`
	One   Basis         `json:"one"`
	Other Basis         `json:"other"`
}

// disagree gathers what contradicts what: what was told first, as it is what a buyer asks.
func (f *forming) disagree() {
	f.out.Disagreements = []Disagreement{}
	f.claimsDisagree()
	f.findingsDisagree()
	f.picturesDisagree()
	f.sizesDisagree()
	f.readingsDisagree()
	f.weightsDisagree()
	f.papersDisagree()
	f.numbersDisagree()
}

// against adds a disagreement between two items of evidence.
func (f *forming) against(kind string, slot evidence.Slot, says say.Statement, one, other evidence.ID) {
	f.differ(kind, slot, says, fromEvidence(one)[0], fromEvidence(other)[0])
}

func (f *forming) differ(kind string, slot evidence.Slot, says say.Statement, one, other Basis) {
	same := func(d Disagreement) bool {
		return d.Kind == kind && d.Says.String() == says.String() || d.One == one && d.Other == other
	}
	if one != other && !slices.ContainsFunc(f.out.Disagreements, same) {
		f.out.Disagreements = append(f.out.Disagreements, Disagreement{kind, slot, says, one, other})
	}
}

func partOf(name string, slot evidence.Slot) say.Arg {
	return say.Term(name, "slot", string(slot), slot.Name())
}

func termOf(name, id string) say.Arg {
	t, _ := condition.Lookup(id)
	return say.Term(name, "finding", t.ID, t.Name)
}

// worn is how far a size must be under the book's for a good point to be doubted.
const worn = 0.8

// untouched are the good points that a size thinner than the book's contradicts.
var untouched = []string{"unpolished", "sharp_edges", "original_finish_on_flanks", "as_new"}

// findingsDisagree holds good points against faults of the same part, and against sizes.
func (f *forming) findingsDisagree() {
	all := evidence.All[*evidence.Finding](f.file)
	for i, a := range all {
		t, _ := condition.Lookup(a.Data.Term)
		for _, b := range all {
			other, _ := condition.Lookup(b.Data.Term)
			if t.Good && a.Data.Slot == b.Data.Slot && b.Data.Severity > 0 && slices.Contains(t.Conflicts, other.ID) {
				f.against("finding", a.Data.Slot, say.That("disagree.findings", partOf("part", a.Data.Slot),
					termOf("good", t.ID), termOf("fault", other.ID)), a.Item.ID, b.Item.ID)
			}
		}
		for _, b := range all[i+1:] {
			apart := a.Data.Severity - b.Data.Severity
			if !t.Good && a.Data.Slot == b.Data.Slot && a.Data.Term == b.Data.Term && sharePlace(a.Data, b.Data) &&
				(apart > 1 || apart < -1) {
				f.against("finding", a.Data.Slot, say.That("disagree.severities", partOf("part", a.Data.Slot),
					termOf("finding", t.ID), say.Count("one", a.Data.Severity), say.Count("other", b.Data.Severity)),
					a.Item.ID, b.Item.ID)
			}
		}
		if t.Good && slices.Contains(untouched, t.ID) && a.Data.Slot == evidence.Case {
			f.goodAgainstSize(a.Item.ID, t.ID)
		}
	}
}

// sharePlace reports whether two findings may be about the same place: neither names one
// that the other does not.
func sharePlace(a, b *evidence.Finding) bool {
	return strings.EqualFold(strings.TrimSpace(a.Where), strings.TrimSpace(b.Where))
}

func (f *forming) goodAgainstSize(id evidence.ID, term string) {
	for _, m := range f.out.Measured {
		if m.PRemoved == nil || *m.PRemoved < worn || m.Difference == nil || *m.Difference >= 0 ||
			len(m.Evidence) == 0 {
			continue
		}
		f.against("finding", evidence.Case, say.That("disagree.finding-size", termOf("good", term),
			say.Saying("size", m.Name), say.Fixed("under", -*m.Difference, say.MM, 2)), id, m.Evidence[0])
	}
}

// colourApart is from which colour difference (CIEDE2000) a good point about even ageing is
// doubted: about three times what is seen side by side. Common practice, no published source.
const colourApart = 8.0

// picturesDisagree holds what was found against colours that were read from photographs.
func (f *forming) picturesDisagree() {
	even := map[evidence.Slot]evidence.ID{}
	for _, a := range evidence.All[*evidence.Finding](f.file) {
		if a.Data.Term == "even_ageing" || a.Data.Term == "lume_mismatch" && a.Data.Severity == 0 {
			even[a.Data.Slot] = a.Item.ID
		}
	}
	if len(even) == 0 {
		return
	}
	var plots, hands []evidence.Entry[*evidence.Reading]
	for _, r := range evidence.All[*evidence.Reading](f.file) {
		switch {
		case r.Data.Lab == nil:
		case strings.HasPrefix(r.Data.What, "plot "):
			plots = append(plots, r)
		case r.Data.Slot == evidence.Hands:
			hands = append(hands, r)
		}
	}
	for _, slot := range evidence.Slots() {
		id, ok := even[slot]
		if !ok {
			continue
		}
		among := plots
		if slot == evidence.Hands {
			among = append(slices.Clone(plots), hands...)
		}
		f.evenAgainst(slot, id, among)
	}
}

func (f *forming) evenAgainst(slot evidence.Slot, id evidence.ID, among []evidence.Entry[*evidence.Reading]) {
	far, at := colourApart, -1
	var than string
	for i, a := range among {
		for _, b := range among[:i] {
			if a.Data.Photo == b.Data.Photo && colours(a, b) > far {
				far, at, than = colours(a, b), i, b.Data.What
			}
		}
	}
	if at >= 0 {
		f.against("picture", slot, say.That("disagree.picture", partOf("part", slot), say.Name("one",
			among[at].Data.What),
			say.Name("other", than), say.Fixed("apart", far, say.None, 0)), id, among[at].Item.ID)
	}
}

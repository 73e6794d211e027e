package opinion

import (
	"fmt"
	"sort"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/origin"
	"midcase/refbook"
)

// From these chances on, the words of the verdict; the same everywhere.
const (
	fitsFrom      = 0.80
	maybeFrom     = 0.40
	doesNotFitTil = 0.05
	namedRightTil = 0.80 // below this chance that the name is right, look again
	// misreadRule is what is left of the chance that a part is the first one when it
	// breaks a rule that every right watch keeps: the share of such findings that
	// were misread. Common practice, no published source.
	misreadRule = 0.02
)

// parts writes down the verdict on each slot that the book lists, then on what is
// fitted where the book lists nothing.
func (f *forming) parts(r *origin.Result) {
	inBook := map[evidence.Slot]bool{}
	for _, s := range r.Slots {
		slot := evidence.Slot(s.Name)
		inBook[slot] = true
		f.out.Parts = append(f.out.Parts, f.part(slot, s))
	}
	for _, slot := range evidence.Slots() {
		e, ok := f.fitted[slot]
		if !ok || inBook[slot] || slot == evidence.Box || slot == evidence.Papers {
			continue
		}
		f.out.Parts = append(f.out.Parts, f.unjudged(slot, e, "The book lists no versions of this part for the reference."))
	}
	sort.SliceStable(f.out.Parts, func(i, j int) bool { return slotOrder(f.out.Parts[i].Slot) < slotOrder(f.out.Parts[j].Slot) })
}

func slotOrder(s evidence.Slot) int {
	for i, t := range evidence.Slots() {
		if s == t {
			return i
		}
	}
	return len(evidence.Slots())
}

func (f *forming) partsWithoutBook() {
	for _, slot := range evidence.Slots() {
		if e, ok := f.fitted[slot]; ok && slot != evidence.Box && slot != evidence.Papers {
			f.out.Parts = append(f.out.Parts, f.unjudged(slot, e, "Without the book's dates this part cannot be judged."))
		}
	}
}

func (f *forming) unjudged(slot evidence.Slot, e evidence.Entry[*evidence.Fitted], why string) Part {
	p := Part{Slot: slot, Variant: e.Data.Variant, VariantName: or2(e.Data.Description, e.Data.Variant), Verdict: CannotTell, Words: CannotTell,
		Reasons: []string{why}, Evidence: []evidence.ID{e.Item.ID}, Basis: fromEvidence(e.Item.ID)}
	if e.Data.Absent {
		p.Verdict, p.Reasons = Missing, []string{"Looked for and not there."}
	}
	f.applyRules(&p)
	return p
}

// part is the verdict on one slot of the book.
func (f *forming) part(slot evidence.Slot, s origin.SlotResult) Part {
	book, _ := f.ref.Slot(slot)
	p := Part{Slot: slot, Reasons: []string{}, Evidence: []evidence.ID{}}
	for _, x := range s.Expected {
		if x.P < 0.005 {
			continue
		}
		name := x.Variant
		if v, ok := book.Variant(x.Variant); ok {
			name = v.Name
		}
		p.Expected = append(p.Expected, Expectation{x.Variant, name, round(x.P, 4)})
	}
	sort.SliceStable(p.Expected, func(i, j int) bool { return p.Expected[i].P > p.Expected[j].P })
	e, looked := f.fitted[slot]
	if !looked {
		p.Verdict, p.Words = CannotTell, CannotTell
		p.Reasons = append(p.Reasons, "Not looked at yet.")
		f.unknown("The %s not been looked at.", slot.Name()+verb([]string{slot.Name()}, " has", " have"))
		return p
	}
	p.Evidence = append(p.Evidence, e.Item.ID)
	p.Basis = append(fromEvidence(e.Item.ID), f.fromBook(string(slot), e.Data.Variant))
	if e.Data.Absent {
		p.Verdict, p.Words = Missing, CannotTell
		p.Reasons = append(p.Reasons, "Looked for and not there.")
		f.applyRules(&p)
		return p
	}
	p.Variant, p.VariantName = e.Data.Variant, or2(e.Data.Description, e.Data.Variant)
	chance := round(s.POriginal, 6)
	against := f.broken(slot)
	if against {
		chance = round(chance*misreadRule, 6)
	}
	p.POriginal, p.Words = &chance, estimate.Words(chance)
	v, known := book.Variant(e.Data.Variant)
	if known {
		p.VariantName, p.Service = v.Name, v.Service
	}
	switch {
	case against:
		p.Reasons = append(p.Reasons, chanceWords(chance)) // applyRules says why
	case known:
		f.judge(&p, v, s)
	default:
		f.judgeUnknown(&p, chance)
	}
	f.applyRules(&p)
	return p
}

func chanceWords(chance float64) string {
	return fmt.Sprintf("Chance that it left the factory with this watch: %s.", estimate.Percent(chance))
}

// judge gives the verdict on a variant that the book knows, with its reasons. A part
// that is out of its time if it is what it was named, may instead have been named
// wrong; where that is likely, the reader is asked to look again.
func (f *forming) judge(p *Part, v *refbook.Variant, s origin.SlotResult) {
	d, chance := f.out.Dating, *p.POriginal
	misnamed := s.NamedRight < namedRightTil && s.AsNamed < maybeFrom
	switch {
	case chance >= fitsFrom:
		p.Verdict = Fits
		p.Reasons = append(p.Reasons, fmt.Sprintf("The book expects it: %s; the watch was made %s.", windowsWords(v), within(d.Interval90)))
	case chance >= maybeFrom && misnamed:
		p.Verdict = CannotTell
		p.Reasons = append(p.Reasons, fmt.Sprintf("Fitted by the factory %s; the watch was made %s. So it is a later part, or not the version that it was taken for.", windowsWords(v), within(d.Interval90)))
	case chance >= maybeFrom && expectedShare(s, v.ID) >= 0.5:
		p.Verdict = CannotTell
		p.Reasons = append(p.Reasons, fmt.Sprintf("Right for the date (fitted by the factory %s), but this part is often replaced by another of the same version.", windowsWords(v)))
	case chance >= maybeFrom:
		p.Verdict = CannotTell
		p.Reasons = append(p.Reasons, fmt.Sprintf("Fitted by the factory %s, at the edge of what the date allows (%s).", windowsWords(v), within(d.Interval90)))
	case v.Service:
		p.Verdict = ProbablyLater
		p.Reasons = append(p.Reasons, "A service part: made by the maker for repairs, never fitted to a new watch.")
	case wholeBefore(v, d.Interval90[0]):
		p.Verdict = DoesNotFit
		p.Reasons = append(p.Reasons, fmt.Sprintf("Older than the watch: fitted by the factory %s, the watch was made %s.", windowsWords(v), within(d.Interval90)))
	case s.AsNamed < doesNotFitTil:
		p.Verdict = DoesNotFit
		p.Reasons = append(p.Reasons, fmt.Sprintf("Too late for the watch: fitted by the factory %s, the watch was made %s.", windowsWords(v), within(d.Interval90)))
	default:
		p.Verdict = ProbablyLater
		p.Reasons = append(p.Reasons, fmt.Sprintf("Fitted by the factory %s; the watch was made %s.", windowsWords(v), within(d.Interval90)))
	}
	p.Reasons = append(p.Reasons, chanceWords(chance))
	if p.Verdict != Fits && misnamed {
		p.Reasons = append(p.Reasons, fmt.Sprintf("Look again at what it is: the chance that it was named right is %s.", estimate.Percent(s.NamedRight)))
	}
	for _, w := range v.Windows {
		if w.Share > 0 && w.Share < 1 && w.Note != "" && p.Verdict == Fits {
			p.Reasons = append(p.Reasons, w.Note)
		}
	}
	if p.Verdict != Fits && len(p.Expected) > 0 {
		best := p.Expected[0]
		if best.Variant != p.Variant {
			p.Reasons = append(p.Reasons, fmt.Sprintf("At this date the book expects: %s (%s).", best.Name, estimate.Percent(best.P)))
		}
	}
}

// expectedShare is the chance that a watch of this date left the factory with the
// variant.
func expectedShare(s origin.SlotResult, variant string) float64 {
	for _, x := range s.Expected {
		if x.Variant == variant {
			return x.P
		}
	}
	return 0
}

func (f *forming) judgeUnknown(p *Part, chance float64) {
	p.Verdict = CannotTell
	if chance < 0.2 {
		p.Verdict = ProbablyLater
	}
	p.Reasons = append(p.Reasons, "The book knows no such version for this reference.")
	p.Reasons = append(p.Reasons, chanceWords(chance))
}

// broken reports whether a part breaks a rule.
func (f *forming) broken(slot evidence.Slot) bool {
	for _, r := range f.out.Rules {
		if r.Broken && r.Slot == slot {
			return true
		}
	}
	return false
}

// applyRules lets a broken rule of the book decide, whatever the chances say.
func (f *forming) applyRules(p *Part) {
	for _, r := range f.out.Rules {
		if !r.Broken || r.Slot != p.Slot {
			continue
		}
		p.Verdict = DoesNotFit
		p.Reasons = append([]string{r.Reason}, p.Reasons...)
		p.Basis = append(p.Basis, r.Basis...)
	}
	if refinished, id := f.redone(p.Slot); refinished != "" {
		if p.Verdict == Fits {
			p.Verdict = CannotTell
		}
		p.Reasons = append([]string{"The part may be the first one, but its surface is not: " + refinished + "."}, p.Reasons...)
		p.Evidence = append(p.Evidence, id)
	}
}

// redone names a finding that says the part's surface was made anew.
func (f *forming) redone(slot evidence.Slot) (string, evidence.ID) {
	for _, e := range evidence.All[*evidence.Finding](f.file) {
		if e.Data.Slot == slot && e.Data.Severity > 0 && (e.Data.Term == "refinished" || e.Data.Term == "relume" || e.Data.Term == "replated") {
			return termName(e.Data.Term), e.Item.ID
		}
	}
	return "", ""
}

// windowsWords says when a variant was fitted.
func windowsWords(v *refbook.Variant) string {
	if v.Service || len(v.Windows) == 0 {
		return "at no time in production"
	}
	var words []string
	for _, w := range v.Windows {
		first, okFirst := w.Made.FirstMonth()
		last, okLast := w.Made.LastMonth()
		switch {
		case okFirst && okLast:
			words = append(words, "from "+monthWords(first)+" to "+monthWords(last))
		case okFirst:
			words = append(words, "from "+monthWords(first)+" on")
		case okLast:
			words = append(words, "until "+monthWords(last))
		}
		if w.Works != "" && len(words) > 0 {
			words[len(words)-1] += " by " + w.Works
		}
	}
	return join(words)
}

// wholeBefore reports whether the factory had stopped fitting the variant before the
// month.
func wholeBefore(v *refbook.Variant, m edtf.Month) bool {
	for _, w := range v.Windows {
		last, ok := w.Made.LastMonth()
		if !ok || last >= m {
			return false
		}
	}
	return len(v.Windows) > 0
}

// within says in which months: "in May 1968" or "between May 1968 and July 1969".
func within(i [2]edtf.Month) string {
	if i[0] == i[1] {
		return "in " + monthWords(i[0])
	}
	return "between " + monthWords(i[0]) + " and " + monthWords(i[1])
}

func or2(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

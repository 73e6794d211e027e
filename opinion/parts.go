package opinion

import (
	"slices"
	"sort"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/origin"
	"midcase/refbook"
	"midcase/say"
)

// misreadRule is what is left of the chance that a part is the first one when it breaks
// a rule that every right watch keeps: the share of such findings that were misread.
// Common practice, no published source.
const misreadRule = 0.02

// parts writes down the verdict on each slot that the book lists, then on what is
// fitted where the book lists nothing.
func (f *forming) parts(r *origin.Result) {
	inBook := map[evidence.Slot]bool{}
	for _, s := range r.Slots {
		slot := evidence.Slot(s.Name)
		inBook[slot] = true
		if book, listed := f.ref.Slot(slot); !listed || len(book.Variants) == 0 {
			f.out.Parts = append(f.out.Parts, f.partByStamp(slot, s, !listed))
			continue
		}
		p := f.part(slot, s)
		if book, ok := f.ref.Slot(slot); ok && p.POriginal != nil && strings.Contains(book.Source, refbook.AssumedMark) {
			p.Reasons = append(p.Reasons, say.That("parts.assumed-replaced", say.Share("share", book.Replaced)))
		}
		f.out.Parts = append(f.out.Parts, p)
	}
	for _, slot := range evidence.Slots() {
		e, ok := f.fitted[slot]
		if !ok || inBook[slot] || slot == evidence.Box || slot == evidence.Papers {
			continue
		}
		p := f.unjudged(slot, e, say.That("parts.not-in-book"))
		f.applyRules(&p)
		f.out.Parts = append(f.out.Parts, p)
	}
	sort.SliceStable(f.out.Parts,
		func(i, j int) bool { return slotOrder(f.out.Parts[i].Slot) < slotOrder(f.out.Parts[j].Slot) })
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
			p := f.unjudged(slot, e, say.That("parts.no-book"))
			f.applyRules(&p)
			f.out.Parts = append(f.out.Parts, p)
		}
	}
}

func (f *forming) unjudged(slot evidence.Slot, e evidence.Entry[*evidence.Fitted], why say.Statement) Part {
	p := Part{Slot: slot, Variant: e.Data.Variant, VariantName: or2(e.Data.Description, e.Data.Variant),
		Verdict: NotJudged, Words: VerdictSays(NotJudged),
		Reasons: []say.Statement{why}, Evidence: []evidence.ID{e.Item.ID}, Basis: fromEvidence(e.Item.ID)}
	switch {
	case slot == evidence.Bracelet && f.ref != nil && f.ref.Strap && strings.EqualFold(p.Variant, refbook.Strap):
		p.Verdict, p.Words, p.Reasons = Fits, VerdictSays(Fits), []say.Statement{say.That("parts.strap")}
	case e.Data.Absent:
		p.Verdict, p.Reasons = Missing, []say.Statement{say.That("parts.missing")}
	case f.recordSpeaks(&p):
		f.byRecord(&p)
	}
	return p
}

// delivered is the book's slot with what is fitted, where the book says elsewhere that
// the reference came with it: on a strap, or on a bracelet of its list.
func (f *forming) delivered(s *refbook.Slot) *refbook.Slot {
	e, ok := f.fitted[s.Slot]
	if !ok || e.Data.Absent || s.Slot != evidence.Bracelet {
		return s
	}
	if _, known := s.Variant(e.Data.Variant); known {
		return s
	}
	v := refbook.Variant{ID: e.Data.Variant}
	switch {
	case strings.EqualFold(v.ID, refbook.Strap) && f.ref.Strap:
		v.ID, v.Name = refbook.Strap, refbook.Strap
	case containsFold(f.ref.Bracelets, v.ID):
		b, ok := f.maker.Bracelet(v.ID)
		if !ok {
			return s
		}
		v.ID, v.Name = b.ID, or2(b.Name, b.ID)
		if !b.Made.IsZero() {
			v.Windows = []refbook.Window{{Made: b.Made}}
		}
	default:
		return s
	}
	out := *s
	out.Variants = append(slices.Clone(s.Variants), v)
	return &out
}

// byRecord is the verdict on a part of which only a record of its replacement speaks.
func (f *forming) byRecord(p *Part) {
	r, _ := f.replacement(p.Slot)
	chance := 1 - recordRight
	if r.part.Kept {
		chance = 1 - recordRightKept
	}
	chance = round(chance, 6)
	p.POriginal, p.Words, p.Verdict = &chance, say.Likelihood(chance), ProbablyReplaced
	p.Reasons = append(p.Reasons, say.That("parts.chance", say.Chance("chance", chance)))
}

// partByStamp is the verdict on a part of which the book lists no version: its stamp and
// the date of the watch decide.
func (f *forming) partByStamp(slot evidence.Slot, s origin.SlotResult, assumed bool) Part {
	p := Part{Slot: slot, Reasons: []say.Statement{}, Evidence: []evidence.ID{}}
	if e, ok := f.fitted[slot]; ok {
		p = f.unjudged(slot, e, say.That("parts.not-in-book"))
		if e.Data.Absent {
			f.applyRules(&p)
			return p
		}
	}
	stamped := false
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What == evidence.MarkDateStamp && m.Data.Slot == slot {
			stamped = true
			p.Evidence, p.Basis = append(p.Evidence, m.Item.ID), append(p.Basis, fromEvidence(m.Item.ID)...)
		}
	}
	if !stamped {
		if len(p.Evidence) == 0 {
			p.Verdict, p.Words = NotExamined, VerdictSays(NotExamined)
			p.Reasons = append(p.Reasons, say.That("parts.not-examined"))
			f.unknown(say.That("unknown.part", slotArg("slot", slot)))
			return p
		}
		f.applyRules(&p)
		return p
	}
	chance := round(s.POriginal, 6)
	p.POriginal, p.Verdict, p.Words = &chance, verdictBy(chance), say.Likelihood(chance)
	says := say.That("parts.stamp-fits", made("made", f.out.Dating))
	if chance < maybeFrom {
		says = say.That("parts.stamp-far", made("made", f.out.Dating))
	}
	p.Reasons = []say.Statement{says, say.That("parts.chance", say.Chance("chance", chance))}
	if r, ok := f.replacement(slot); ok {
		p.Reasons = append([]say.Statement{r.says()}, p.Reasons...)
		if chance < maybeFrom {
			p.Verdict = ProbablyReplaced
		}
	}
	if assumed {
		p.Reasons = append(p.Reasons, say.That("parts.assumed-replaced",
			say.Share("share", refbook.UsuallyReplaced(slot))))
	}
	f.applyRules(&p)
	return p
}

// part is the verdict on one slot of the book.
func (f *forming) part(slot evidence.Slot, s origin.SlotResult) Part {
	book, _ := f.ref.Slot(slot)
	book = f.delivered(book)
	p := Part{Slot: slot, Reasons: []say.Statement{}, Evidence: []evidence.ID{}}
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
		p.Verdict, p.Words = NotExamined, VerdictSays(NotExamined)
		p.Reasons = append(p.Reasons, say.That("parts.not-examined"))
		f.unknown(say.That("unknown.part", slotArg("slot", slot)))
		if f.recordSpeaks(&p) {
			f.byRecord(&p)
		}
		return p
	}
	p.Evidence = append(p.Evidence, e.Item.ID)
	p.Basis = append(fromEvidence(e.Item.ID), f.fromBook(string(slot), e.Data.Variant))
	if e.Data.Absent {
		p.Verdict, p.Words = Missing, VerdictSays(Missing)
		p.Reasons = append(p.Reasons, say.That("parts.missing"))
		f.applyRules(&p)
		return p
	}
	p.Variant, p.VariantName = e.Data.Variant, or2(e.Data.Description, e.Data.Variant)
	chance := round(s.POriginal, 6)
	against := f.broken(slot)
	if against {
		chance = round(chance*misreadRule, 6)
	}
	p.POriginal, p.Words = &chance, say.Likelihood(chance)
	v, known := book.Variant(e.Data.Variant)
	if known {
		p.VariantName, p.Service = v.Name, v.Service
	}
	switch {
	case against:
		p.Reasons = append(p.Reasons, say.That("parts.chance", say.Chance("chance", chance))) // applyRules says why
	case known:
		f.judge(&p, v, s)
	default:
		f.judgeUnknown(&p, chance)
	}
	if f.recordSpeaks(&p) && chance < maybeFrom {
		p.Verdict = ProbablyReplaced // whether it suits the date is no longer the question
	}
	f.applyRules(&p)
	return p
}

// judge gives the verdict on a variant that the book knows, with its reasons. A part
// that is out of its time if it is what it was named, may instead have been named
// wrong; where that is likely, the reader is asked to look again.
func (f *forming) judge(p *Part, v *refbook.Variant, s origin.SlotResult) {
	d, chance := f.out.Dating, *p.POriginal
	here, elsewhere := f.here(v)
	p.Verdict = verdictBy(chance)
	misnamed := s.NamedRight < namedRightTil && s.AsNamed < maybeFrom
	older := wholeBefore(&here, d.Interval90[0])
	lessCommon := lessCommonIn(&here, d.Interval90)
	_, recorded := f.replacement(p.Slot) // then it is replaced, and no question whether it suits the date
	switch {
	case v.ID == refbook.Strap && len(v.Windows) == 0:
		p.Reasons = append(p.Reasons, say.That("parts.strap"))
	case len(here.Windows) == 0 && len(elsewhere) > 0 && chance < fitsFrom:
		if chance < doesNotFitTil {
			p.Verdict = DoesNotBelong
		}
		p.Reasons = append(p.Reasons, say.That("parts.other-market", names("markets", elsewhere),
			names("countries", f.countries())))
	case lessCommon && chance >= maybeFrom:
		p.Reasons = append(p.Reasons, say.That("parts.less-common", fitted("fitted", &here), made("made", d)))
	case chance >= fitsFrom:
		p.Reasons = append(p.Reasons, say.That("parts.as-expected", fitted("fitted", &here), made("made", d)))
	case chance >= maybeFrom && misnamed:
		p.Reasons = append(p.Reasons, say.That("parts.later-or-misnamed", fitted("fitted", v), made("made", d)))
	case chance >= maybeFrom && expectedShare(s, v.ID) >= 0.5:
		p.Reasons = append(p.Reasons, say.That("parts.often-replaced", fitted("fitted", v)))
	case older && !v.Service && s.AsNamed >= doesNotFitTil:
		p.Reasons = append(p.Reasons, say.That("parts.left-over", fitted("fitted", &here), made("made", d)))
	case chance >= maybeFrom:
		p.Reasons = append(p.Reasons, say.That("parts.at-the-edge", fitted("fitted", v), made("made", d)))
	case v.Service:
		p.Reasons = append(p.Reasons, say.That("parts.service"))
	case older:
		p.Verdict = DoesNotBelong
		p.Reasons = append(p.Reasons, say.That("parts.too-early", fitted("fitted", &here), made("made", d)))
	case lessCommon:
		p.Reasons = append(p.Reasons, say.That("parts.less-common", fitted("fitted", &here), made("made", d)))
	case s.AsNamed < doesNotFitTil && !recorded:
		p.Verdict = DoesNotBelong
		p.Reasons = append(p.Reasons, say.That("parts.too-late", fitted("fitted", v), made("made", d)))
	default:
		p.Reasons = append(p.Reasons, say.That("parts.out-of-time", fitted("fitted", v), made("made", d)))
	}
	f.addToVerdict(p, &here, s, misnamed)
}

// addToVerdict adds what is said beside the verdict on a variant that the book knows.
func (f *forming) addToVerdict(p *Part, here *refbook.Variant, s origin.SlotResult, misnamed bool) {
	d := f.out.Dating
	p.Reasons = append(p.Reasons, say.That("parts.chance", say.Chance("chance", *p.POriginal)))
	if s.FromDonor >= donorSaid {
		p.Reasons = append(p.Reasons, say.That("parts.from-donor", say.Chance("chance", s.FromDonor)))
	}
	if p.Verdict != Fits && misnamed {
		p.Reasons = append(p.Reasons, say.That("parts.check-identification", say.Chance("sure", s.NamedRight)))
	}
	for _, w := range here.Windows { // what the book says of a window counts whatever the verdict
		if w.Weight() < 1 && w.Note != "" && meets(w, d.Interval90) {
			p.Reasons = append(p.Reasons, say.Verbatim(w.Note))
		}
	}
	if p.Verdict != Fits && len(p.Expected) > 0 {
		best := p.Expected[0]
		if best.Variant != p.Variant {
			p.Reasons = append(p.Reasons, say.That("parts.expects", say.Name("variant", best.Name),
				say.Chance("chance", best.P)))
		}
	}
}

// donorSaid is the chance from which a part is said to come with others from one watch.
const donorSaid = 0.5

// lessCommonIn reports whether the watch was made while the factory went on fitting a
// variant beside a more usual one, and not while it was the usual one.
func lessCommonIn(v *refbook.Variant, made [2]edtf.Month) bool {
	most, less := 0.0, false
	for _, w := range v.Windows {
		most = max(most, w.Weight())
	}
	for _, w := range v.Windows {
		if !meets(w, made) {
			continue
		}
		if w.Weight() == most {
			return false
		}
		less = true
	}
	return less
}

// meets reports whether a window has a month of an interval.
func meets(w refbook.Window, months [2]edtf.Month) bool {
	first, _ := knownMonth(w.Made.FirstMonth())
	last, ok := knownMonth(w.Made.LastMonth())
	return first <= months[1] && (!ok || last >= months[0])
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
	p.Verdict = verdictBy(chance)
	if others := f.otherReferences(p.Slot, p.Variant); len(others) > 0 {
		p.Reasons = append(p.Reasons, say.That("parts.of-another-reference", names("references", others)))
	} else {
		p.Reasons = append(p.Reasons, say.That("parts.unknown-version"))
	}
	p.Reasons = append(p.Reasons, say.That("parts.chance", say.Chance("chance", chance)))
}

// otherReferences are the maker's references for which the book has the variant.
func (f *forming) otherReferences(slot evidence.Slot, variant string) []string {
	var out []string
	for i := range f.maker.References {
		r := &f.maker.References[i]
		s, ok := r.Slot(slot)
		if !ok || r.ID == f.ref.ID {
			continue
		}
		if _, ok := s.Variant(variant); ok {
			out = append(out, r.ID)
		}
	}
	return out
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
		p.Verdict = DoesNotBelong
		p.Reasons = append([]say.Statement{r.Reason}, p.Reasons...)
		p.Basis = append(p.Basis, r.Basis...)
	}
	if finding, ok := f.redone(p.Slot); ok {
		if p.Verdict == Fits || p.Verdict == ProbablyOriginal {
			p.Verdict = Redone
		}
		redone := say.That("parts.redone", say.Term("finding", "finding", finding.Data.Term,
			termName(finding.Data.Term)))
		p.Reasons = append([]say.Statement{redone}, p.Reasons...)
		p.Evidence = append(p.Evidence, finding.Item.ID)
	}
}

// redone is a finding that says that the part's surface was made anew.
func (f *forming) redone(slot evidence.Slot) (evidence.Entry[*evidence.Finding], bool) {
	for _, e := range evidence.All[*evidence.Finding](f.file) {
		if e.Data.Slot == slot && e.Data.Severity > 0 && (e.Data.Term == "refinished" || e.Data.Term == "relume" ||
			e.Data.Term == "replated") {
			return e, true
		}
	}
	return evidence.Entry[*evidence.Finding]{}, false
}

// fitted says when the factory fitted a variant.
func fitted(name string, v *refbook.Variant) say.Arg {
	var spans []say.Value
	for _, w := range v.Windows {
		first, _ := knownMonth(w.Made.FirstMonth())
		last, _ := knownMonth(w.Made.LastMonth())
		switch {
		case v.Service || first == 0 && last == 0:
		case len(w.Markets) > 0:
			spans = append(spans, say.That("parts.window-for", say.Span("window", first, last),
				names("markets", w.Markets)))
		case w.Works != "":
			spans = append(spans, say.That("parts.window-by", say.Span("window", first, last),
				say.Name("works", w.Works)))
		default:
			spans = append(spans, say.That("parts.window", say.Span("window", first, last)))
		}
	}
	if len(spans) == 0 {
		return say.Saying(name, say.That("parts.never"))
	}
	return say.All(name, spans...)
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

func or2(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

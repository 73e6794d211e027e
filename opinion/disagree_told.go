package opinion

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"midcase/condition"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/metal"
	"midcase/notes"
	"midcase/say"
)

// claimsDisagree holds what was told against what was seen and measured. The words of a
// claim are read as notes are.
func (f *forming) claimsDisagree() {
	for _, c := range evidence.All[*evidence.Claim](f.file) {
		f.claimedFigures(c)
		text := c.Data.Text
		if evidence.Slot(c.Data.About).Valid() {
			text = evidence.Slot(c.Data.About).Name() + ": " + text
		}
		for _, it := range notes.Read(text, notes.Options{}).Items {
			if d, ok := it.Data.(*evidence.Finding); ok {
				f.claimedPoint(c, d)
			}
		}
		f.claimedOriginal(c)
	}
}

// claimedPoint holds a good point that was told against faults and sizes.
func (f *forming) claimedPoint(c evidence.Entry[*evidence.Claim], told *evidence.Finding) {
	t, ok := condition.Lookup(told.Term)
	if !ok || !t.Good {
		return
	}
	for _, b := range evidence.All[*evidence.Finding](f.file) {
		if b.Data.Slot == told.Slot && b.Data.Severity > 0 && slices.Contains(t.Conflicts, b.Data.Term) {
			f.against("claim", told.Slot, say.That("disagree.claim-finding", say.Name("claim", c.Data.Text),
				partOf("part", told.Slot), termOf("fault", b.Data.Term), say.Count("severity", b.Data.Severity)),
				c.Item.ID, b.Item.ID)
		}
	}
	if told.Slot != evidence.Case || !slices.Contains(untouched, t.ID) {
		return
	}
	for _, m := range f.out.Measured {
		if m.PRemoved != nil && *m.PRemoved >= worn && m.Difference != nil && *m.Difference < 0 &&
			len(m.Evidence) > 0 {
			f.against("claim", told.Slot, say.That("disagree.claim-size", say.Name("claim", c.Data.Text),
				say.Saying("size", m.Name), say.Fixed("under", -*m.Difference, say.MM, 2)), c.Item.ID, m.Evidence[0])
		}
	}
}

// claimedOriginal holds a part that was told to be the first one against the verdict on it.
func (f *forming) claimedOriginal(c evidence.Entry[*evidence.Claim]) {
	for _, p := range f.out.Parts {
		if toldOriginal(c.Data, p.Slot) && (p.Verdict == DoesNotBelong || p.Verdict == ProbablyReplaced) && len(p.Evidence) > 0 {
			f.against("claim", p.Slot, say.That("disagree.claim-part", say.Name("claim", c.Data.Text),
				partOf("part", p.Slot),
				say.Term("verdict", "verdict", p.Verdict, p.Verdict)), c.Item.ID, p.Evidence[0])
		}
	}
}

// toldOriginal reports whether a claim says of a part that it is original, clause by clause: “original dial, crown
// replaced” says nothing of the sort about the crown.
func toldOriginal(c *evidence.Claim, slot evidence.Slot) bool {
	about := strings.ToLower(c.About)
	for _, clause := range strings.FieldsFunc(strings.ToLower(c.Text), func(r rune) bool {
		return strings.ContainsRune(",;.:()", r)
	}) {
		if !strings.Contains(clause, "original") || denied.MatchString(clause) {
			continue
		}
		if strings.Contains(clause, slot.Name()) || strings.Contains(clause, "all original") ||
			strings.Contains(about, slot.Name()) {
			return true
		}
	}
	return false
}

// denied finds words by which a clause says that a part is not original.
var denied = regexp.MustCompile(`\b(not|no|non|un|isn't|aren't|wasn't|replaced|changed|swapped)\b`)

// claimedFigures holds the year, the metal and the set that were told against the evidence.
func (f *forming) claimedFigures(c evidence.Entry[*evidence.Claim]) {
	t := c.Data.Told
	if d := f.out.Dating; t.Year != 0 && d.Known && len(d.Items) > 0 {
		from, to := d.Interval90[0], d.Interval90[1]
		if t.Year < from.Year()-1 || t.Year > to.Year()+1 {
			f.against("claim", "", say.That("disagree.claim-year", say.Name("year", strconv.Itoa(t.Year)),
				say.Span("made", from, to)), c.Item.ID, d.Items[0].Evidence)
		}
	}
	if e, ok := f.fitted[evidence.Case]; ok && t.Metal != "" && e.Data.Metal != "" && e.Data.Metal != t.Metal {
		f.against("claim", evidence.Case, say.That("disagree.claim-metal", f.metalSaid("told", t.Metal),
			f.metalSaid("seen", e.Data.Metal)), c.Item.ID, e.Item.ID)
	}
	for _, slot := range []evidence.Slot{evidence.Papers, evidence.Box} {
		e, ok := f.fitted[slot]
		told := t.Set == "full" || t.Set == "papers" && slot == evidence.Papers
		if ok && told && e.Data.Absent {
			f.against("claim", slot, say.That("disagree.claim-set", partOf("part", slot)), c.Item.ID, e.Item.ID)
		}
	}
}

// papersDisagree holds papers against the marks on the watch and against its date.
func (f *forming) papersDisagree() {
	serial, hasSerial := f.mark(evidence.MarkSerial)
	for _, d := range evidence.All[*evidence.Document](f.file) {
		if hasSerial && d.Data.Serial != "" && !sameNumber(d.Data.Serial, serial.Data.Text) {
			f.against("papers", evidence.Papers, say.That("disagree.papers-serial", say.Name("papers", d.Data.Serial),
				say.Name("watch", serial.Data.Text)), d.Item.ID, serial.Item.ID)
		}
		if d.Data.Reference != "" && f.file.Reference != "" && !strings.EqualFold(plainCode(d.Data.Reference),
			plainCode(f.file.Reference)) {
			if m, ok := f.mark(evidence.MarkReferenceNumber); ok {
				f.against("papers", evidence.Papers, say.That("disagree.papers-reference",
					say.Name("papers", d.Data.Reference), say.Name("watch", m.Data.Text)), d.Item.ID, m.Item.ID)
			} else {
				f.differ("papers", evidence.Papers, say.That("disagree.papers-reference",
					say.Name("papers", d.Data.Reference), say.Name("watch", f.file.Reference)),
					fromEvidence(d.Item.ID)[0], f.fromBook())
			}
		}
		f.papersBeforeStamps(d)
	}
}

// papersBeforeStamps holds the day of a sale against date stamps that are later.
func (f *forming) papersBeforeStamps(d evidence.Entry[*evidence.Document]) {
	last, ok := d.Data.Date.LastMonth()
	if !ok || f.maker == nil || d.Data.What != "papers" && d.Data.What != "receipt" {
		return
	}
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What != evidence.MarkDateStamp {
			continue
		}
		if first, ok := f.stamped(m.Data); ok && first > last {
			f.against("papers", m.Data.Slot, say.That("disagree.papers-stamp", dated("date", d.Data.Date),
				say.Name("stamp", m.Data.Text), partOf("part", m.Data.Slot), say.Month("first", first)),
				d.Item.ID, m.Item.ID)
		}
	}
}

// stamped is the first month that a date stamp may mean.
func (f *forming) stamped(m *evidence.Mark) (edtf.Month, bool) {
	for i := range f.maker.Stamps {
		if s := &f.maker.Stamps[i]; s.Slot == m.Slot {
			first, _, err := s.Read(m.Text)
			return first, err == nil
		}
	}
	return 0, false
}

// metalSaid is a metal by the book's name, or by the trade's where there is no book.
func (f *forming) metalSaid(name, id string) say.Arg {
	if f.maker == nil {
		return say.Term(name, "sold_metal", id, id)
	}
	return f.metalName(name, id)
}

// plainCode is a reference number without the signs that people write differently.
func plainCode(s string) string {
	return strings.NewReplacer(" ", "", "-", "", ".", "", "/", "").Replace(s)
}

// numbersDisagree names two numbers where a watch has one, marks that contradict each other,
// and items that say another date than the rest.
func (f *forming) numbersDisagree() {
	for _, what := range []string{evidence.MarkSerial, evidence.MarkMovementNumber, evidence.MarkCalibre} {
		var first *evidence.Entry[*evidence.Mark]
		for _, m := range evidence.All[*evidence.Mark](f.file) {
			if m.Data.What != what {
				continue
			}
			if first == nil {
				first = &m
				continue
			}
			if what == evidence.MarkCalibre && strings.EqualFold(plainCode(m.Data.Text),
				plainCode(first.Data.Text)) ||
				what != evidence.MarkCalibre && sameNumber(m.Data.Text, first.Data.Text) {
				continue
			}
			f.against("number", m.Data.Slot, say.That("disagree.numbers", mark("mark", what),
				say.Name("one", first.Data.Text), say.Name("other", m.Data.Text)), first.Item.ID, m.Item.ID)
		}
	}
	f.marksDisagree()
	f.datesDisagree()
}

// marksDisagree names hallmarks that contradict each other or the metal that was recorded.
func (f *forming) marksDisagree() {
	marks := f.marksOn(evidence.Case)
	for i, m := range marks {
		for _, other := range marks[:i] {
			if m.read.Contradicts(other.read) {
				f.against("weight", evidence.Case, say.That("metal.marks-differ", partOf("part", evidence.Case),
					say.Name("one", m.entry.Data.Text), say.Name("other", other.entry.Data.Text)),
					m.entry.Item.ID, other.entry.Item.ID)
			}
		}
	}
	c := f.claimOf(evidence.Case)
	e, seen := f.fitted[evidence.Case]
	if !seen || e.Data.Metal == "" || c.permille == 0 {
		return
	}
	for _, m := range marks {
		if m.read.Against(c.element, c.permille) == metal.Contradicts {
			f.against("weight", evidence.Case, say.That("metal.mark-against", partOf("part", evidence.Case),
				say.Name("mark", m.entry.Data.Text), f.metalSaid("metal", e.Data.Metal)), m.entry.Item.ID, e.Item.ID)
		}
	}
}

// datesDisagree names what the dating itself finds to disagree with the rest.
func (f *forming) datesDisagree() {
	var rest evidence.ID
	least := 1.0
	for _, it := range f.out.Dating.Items {
		if !it.Disagrees && it.OutlierP < least && it.Evidence != "" {
			rest, least = it.Evidence, it.OutlierP
		}
	}
	for _, it := range f.out.Dating.Items {
		if !it.Disagrees || it.Kind == "part" || it.Evidence == "" || rest == "" {
			continue
		}
		d := f.out.Dating
		f.against("date", "", say.That("disagree.date", say.Saying("item", it.Says),
			say.Span("made", d.Interval90[0], d.Interval90[1])), it.Evidence, rest)
	}
}

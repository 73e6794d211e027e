package hand

import (
	"math"
	"slices"
	"strings"

	"midcase/condition"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/notes"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// reader judges what one line says.
type reader struct {
	*checker
	line line
	said []notes.Said
}

// at is a place of the line as a place of the text.
func (r *reader) at(s notes.Span) (from, to int) { return r.line.from + s.From, r.line.from + s.To }

// against marks a place as contradicted.
func (r *reader) against(at notes.Span, grounds []telling.Ground) {
	says, ids := few(grounds)
	from, to := r.at(at)
	r.mark(from, to, Contradicts, say.That("hand.against", say.Name("said", at.Text), say.All("grounds", says...)),
		ids...)
}

// few are the first grounds, as many as a reader takes in, with the evidence of them.
func few(grounds []telling.Ground) (says []say.Value, ids []evidence.ID) {
	const named = 3
	for _, g := range grounds[:min(named, len(grounds))] {
		says, ids = append(says, g.Says), append(ids, g.Evidence...)
	}
	return says, slices.Compact(ids)
}

// nothing marks a place as borne out by nothing.
func (r *reader) nothing(at notes.Span, why say.Statement, on ...evidence.ID) {
	from, to := r.at(at)
	r.mark(from, to, Unsupported, why, on...)
}

func (r *reader) held(at notes.Span, on ...evidence.ID) {
	from, to := r.at(at)
	r.bear(from, to, on...)
}

// item judges what the reader of notes made of a few words.
func (r *reader) item(s Sentence, it notes.Item) {
	at := notes.Span{Text: it.Text, From: it.From, To: it.To}
	switch d := it.Data.(type) {
	case *evidence.Finding:
		if t, ok := condition.Lookup(d.Term); ok {
			if t.Good {
				r.good(at, t, d.Slot)
			} else {
				r.fault(at, t, d, slices.Contains(it.Open, "severity"))
			}
		}
	case *evidence.Fitted:
		r.fitted(at, d)
	case *evidence.Document:
		r.document(at, d)
	case *evidence.Work:
		r.work(at, d)
	case *evidence.Rate:
		r.rate(at, d)
	case *evidence.Dimension:
		r.size(at, d)
	case *evidence.Mark:
		r.readMark(at, d)
	case *evidence.Claim:
		if d.Price.IsZero() {
			from, to := r.at(at)
			r.mark(from, to, Private, say.That("hand.private-seller"))
		}
	}
}

// good judges a good point of a part.
func (r *reader) good(at notes.Span, t condition.Term, slot evidence.Slot) {
	if t.ID == "recently_serviced" {
		r.serviced(at)
		return
	}
	against := r.subject.Against(t, slot)
	switch {
	case slices.ContainsFunc(against, func(g telling.Ground) bool { return !g.Open }):
		r.against(at, slices.DeleteFunc(against, func(g telling.Ground) bool { return g.Open }))
		return
	case len(against) > 0:
		r.open(at, against)
		return
	}
	if part, g, ok := r.subject.OnPart(slot); ok && opinion.IsTrouble(part.Verdict) && t.ID == "as_new" {
		r.against(at, []telling.Ground{g})
		return
	}
	for _, f := range evidence.All[*evidence.Finding](r.subject.File) {
		seen, ok := condition.Lookup(f.Data.Term)
		if ok && f.Data.Slot == slot && f.Data.Severity == 0 &&
			(seen.ID == t.ID || slices.Contains(t.Conflicts, seen.ID)) {
			r.held(at, f.Item.ID)
			return
		}
	}
	r.nothing(at, say.That("hand.not-seen", say.Name("said", at.Text), say.Term("part", "slot", string(slot), "")))
}

// serviced judges that the watch was serviced lately.
func (r *reader) serviced(at notes.Span) {
	for _, f := range evidence.All[*evidence.Finding](r.subject.File) {
		if t, ok := condition.Lookup(f.Data.Term); ok && t.ID == "recently_serviced" && f.Data.Severity == 0 {
			r.held(at)
			return
		}
	}
	r.work(at, &evidence.Work{What: "service"})
}

// fault judges a fault that the text names. One on record makes good for its disclosure,
// unless the text makes it smaller.
func (r *reader) fault(at notes.Span, t condition.Term, f *evidence.Finding, open bool) {
	var looked []evidence.ID
	found := false
	for _, e := range evidence.All[*evidence.Finding](r.subject.File) {
		seen, ok := condition.Lookup(e.Data.Term)
		if !ok || seen.ID != t.ID || e.Data.Slot != f.Slot {
			continue
		}
		switch {
		case e.Data.Severity == 0:
			looked = append(looked, e.Item.ID)
		case !open && f.Severity < e.Data.Severity:
			r.against(at, r.subject.FaultOf(e))
			return
		default:
			found = true
			r.held(at, e.Item.ID)
			r.credit[disclosed{e.Item.ID, f.Slot}] = r.line.from + at.From
		}
	}
	if found || r.faultOfPart(at, t.ID, f.Slot) {
		return
	}
	looked = append(looked, r.goodBeside(t.ID, f.Slot)...)
	if len(looked) > 0 {
		from, to := r.at(at)
		r.mark(from, to, Contradicts, say.That("hand.looked-for", say.Name("said", at.Text)), looked...)
		return
	}
	r.nothing(at, say.That("hand.not-found", say.Name("said", at.Text), say.Term("part", "slot", string(f.Slot), "")))
}

// goodBeside lists the good points on record that a fault would contradict.
func (c *checker) goodBeside(fault string, slot evidence.Slot) []evidence.ID {
	var out []evidence.ID
	for _, e := range evidence.All[*evidence.Finding](c.subject.File) {
		good, ok := condition.Lookup(e.Data.Term)
		if ok && good.Good && e.Data.Slot == slot && slices.Contains(good.Conflicts, fault) {
			out = append(out, e.Item.ID)
		}
	}
	return out
}

// faultOfPart judges a fault by the verdict on the part, sizes and work: replaced,
// refinished, polished.
func (r *reader) faultOfPart(at notes.Span, term string, slot evidence.Slot) bool {
	if term == "polished" || term == "lugs_thinned" {
		for _, g := range r.subject.TakenOff(slot) {
			if g.Open {
				continue
			}
			r.held(at)
			for _, id := range g.Evidence {
				r.credit[disclosed{id, ""}] = r.line.from + at.From
			}
			return true
		}
	}
	for _, w := range evidence.All[*evidence.Work](r.subject.File) {
		if telling.WorkKind(w.Data.What) == "polish" && term == "polished" ||
			term == "replaced" && slices.ContainsFunc(w.Data.Replaced, func(x evidence.Replaced) bool {
				return x.Slot == slot
			}) {
			r.held(at)
			r.credit[disclosed{w.Item.ID, ""}] = r.line.from + at.From
			return true
		}
	}
	if term != "replaced" && term != "refinished" && term != "relume" {
		return false
	}
	part, g, ok := r.subject.OnPart(slot)
	switch {
	case ok && opinion.IsTrouble(part.Verdict):
		r.held(at, part.Evidence...)
		r.creditPart(at, part)
		return true
	case ok && part.Verdict == opinion.Fits && part.POriginal != nil && term == "replaced":
		r.against(at, []telling.Ground{g})
		return true
	}
	return false
}

// creditPart makes good for the disclosures of a part's verdict, not for those of its
// faults.
func (r *reader) creditPart(at notes.Span, part opinion.Part) {
	for _, d := range r.machine.Disclosed {
		if d.Slot == part.Slot && r.ofVerdict(d.Finding) {
			r.credit[disclosed{d.Finding, d.Slot}] = r.line.from + at.From
		}
	}
}

// ofVerdict reports whether a disclosure is of a part itself: of what sits there or the
// marks on it.
func (c *checker) ofVerdict(id evidence.ID) bool {
	for _, it := range c.subject.File.Items {
		if it.ID != id {
			continue
		}
		switch it.Data.(type) {
		case *evidence.Fitted, *evidence.Mark, *evidence.Document:
			return true
		}
		return false
	}
	return strings.HasPrefix(string(id), "part/")
}

// fitted judges that a part or a version is there, or is not.
func (r *reader) fitted(at notes.Span, d *evidence.Fitted) {
	here, known := false, false
	var ids []evidence.ID
	for _, it := range r.subject.File.Items {
		switch e := it.Data.(type) {
		case *evidence.Fitted:
			if e.Slot != d.Slot {
				continue
			}
			known, ids = true, append(ids, it.ID)
			here = here || !e.Absent
			if !e.Absent && r.otherVersion(at.Text, d, e) {
				from, to := r.at(at)
				r.mark(from, to, Contradicts, say.That("hand.other-version", say.Name("said", at.Text),
					say.Name("version", r.versionName(d.Slot, e.Variant))), it.ID)
				return
			}
		case *evidence.Finding:
			if e.Slot == d.Slot {
				known, here, ids = true, true, append(ids, it.ID)
			}
		case *evidence.Document:
			if d.Slot == evidence.Papers && e.What == "papers" {
				known, here, ids = true, true, append(ids, it.ID)
			}
		}
	}
	from, to := r.at(at)
	switch {
	case d.Absent == !here:
		r.bear(from, to)
	case here, known:
		r.mark(from, to, Contradicts, say.That("hand.seen-otherwise", say.Name("said", at.Text),
			say.Term("part", "slot", string(d.Slot), "")), ids...)
	default:
		r.nothing(at, say.That("hand.not-seen", say.Name("said", at.Text),
			say.Term("part", "slot", string(d.Slot), "")))
	}
}

// otherVersion reports whether words name a version that is not the one recorded, by a
// word that only the other one has.
func (c *checker) otherVersion(said string, d, e *evidence.Fitted) bool {
	if d.Variant == "" || d.Variant == "unknown" || e.Variant == "" || e.Variant == "unknown" ||
		d.Variant == e.Variant {
		return false
	}
	is := map[string]bool{}
	for _, w := range wordsOf(c.versionName(e.Slot, e.Variant) + " " + e.Description) {
		is[stem(w)] = true
	}
	named := wordsOf(c.versionName(d.Slot, d.Variant))
	return slices.ContainsFunc(wordsOf(said), func(w string) bool {
		return !is[stem(w)] && !c.words.plain[stem(w)] && slices.ContainsFunc(named, func(n string) bool {
			return stem(n) == stem(w)
		})
	})
}

// versionName is a version as the book names it.
func (c *checker) versionName(slot evidence.Slot, id string) string {
	w := c.subject.Opinion.Watch
	if c.subject.Book == nil {
		return id
	}
	if _, ref, ok := c.subject.Book.Reference(w.Maker, w.Reference); ok {
		for _, s := range ref.Slots {
			for _, v := range s.Variants {
				if s.Slot == slot && v.ID == id {
					return v.Name
				}
			}
		}
	}
	return id
}

// document judges that a document is there.
func (r *reader) document(at notes.Span, d *evidence.Document) {
	var other []evidence.ID
	for _, e := range evidence.All[*evidence.Document](r.subject.File) {
		if e.Data.What != d.What {
			continue
		}
		if d.Date.IsZero() || e.Data.Date.IsZero() || meet(d.Date, e.Data.Date) {
			r.held(at)
			return
		}
		other = append(other, e.Item.ID)
	}
	if len(other) > 0 {
		from, to := r.at(at)
		r.mark(from, to, Contradicts, say.That("hand.other-date", say.Name("said", at.Text)), other...)
		return
	}
	if d.What == "papers" {
		r.fitted(at, &evidence.Fitted{Slot: evidence.Papers})
		return
	}
	r.nothing(at, say.That("hand.no-document", say.Name("said", at.Text)))
}

// meet reports whether two dates can be the same.
func meet(a, b edtf.Date) bool {
	a1, ok1 := a.FirstMonth()
	a2, ok2 := a.LastMonth()
	b1, ok3 := b.FirstMonth()
	b2, ok4 := b.LastMonth()
	return !ok1 || !ok2 || !ok3 || !ok4 || a1 <= b2 && b1 <= a2
}

// lately is how many years back a service still is a recent one. Common practice, no
// published source.
const lately = 2

// work judges that something was done to the watch.
func (r *reader) work(at notes.Span, d *evidence.Work) {
	low := strings.ToLower(at.Text)
	r.worked(at, d, strings.Contains(low, "recent") || strings.Contains(low, "fresh") ||
		strings.Contains(low, "just") || strings.Contains(low, "new"))
}

// worked is work, where it is known whether the text says that it was done lately.
func (r *reader) worked(at notes.Span, d *evidence.Work, recent bool) {
	kind := telling.WorkKind(d.What)
	var other []telling.Ground
	for _, e := range evidence.All[*evidence.Work](r.subject.File) {
		if telling.WorkKind(e.Data.What) != kind {
			continue
		}
		last, ends := e.Data.Date.LastMonth()
		stale := recent && ends && yearOf(r.subject.Opinion.AsOf)-last.Year() > lately
		if !stale && (d.Date.IsZero() || e.Data.Date.IsZero() || meet(d.Date, e.Data.Date)) {
			r.held(at)
			return
		}
		other = append(other, telling.Ground{Says: telling.Worked(e.Data), Evidence: []evidence.ID{e.Item.ID}})
	}
	if len(other) > 0 {
		r.against(at, other)
		return
	}
	r.nothing(at, say.That("hand.no-work", say.Name("said", at.Text)))
}

// rate judges how the watch is said to run.
func (r *reader) rate(at notes.Span, d *evidence.Rate) {
	run := r.subject.Opinion.Running
	var ids []evidence.ID
	for _, e := range evidence.All[*evidence.Rate](r.subject.File) {
		ids = append(ids, e.Item.ID)
	}
	if run.Mean == nil {
		r.nothing(at, say.That("hand.not-timed", say.Name("said", at.Text)), ids...)
		return
	}
	near := func(said float64, measured *float64, within float64) bool {
		return measured != nil && math.Abs(said-*measured) <= within
	}
	const rateStep, angleStep, beatStep = 1, 5, 0.15 // what rounding explains
	ok := true
	if d.AmplitudeDeg > 0 {
		ok = ok && near(d.AmplitudeDeg, run.Amplitude, angleStep)
	}
	if d.BeatErrorMS != nil {
		ok = ok && near(*d.BeatErrorMS, run.BeatError, beatStep)
	}
	if d.SecPerDay != 0 || strings.ContainsAny(at.Text, "0") && d.AmplitudeDeg == 0 && d.BeatErrorMS == nil {
		se := 0.0
		if run.MeanSE != nil {
			se = *run.MeanSE
		}
		ok = ok && near(d.SecPerDay, run.Mean, max(rateStep, 2*se))
	}
	if ok {
		r.held(at)
		return
	}
	from, to := r.at(at)
	r.mark(from, to, Contradicts, say.That("hand.other-rate", say.Name("said", at.Text),
		say.Measured("rate", *run.Mean, [2]float64{}, say.SecondPerDay, 1)), ids...)
}

// size judges a size in millimetres.
func (r *reader) size(at notes.Span, d *evidence.Dimension) {
	for _, m := range r.subject.Opinion.Measured {
		if m.What != d.What {
			continue
		}
		from, to := r.at(at)
		if agrees(d.MM, at.Text, m) {
			r.bear(from, to)
			return
		}
		r.mark(from, to, Contradicts, say.That("hand.other-size", say.Name("said", at.Text),
			say.Term("what", "size", m.What, ""), say.Measured("size", m.MM, m.Interval, say.MM, 2)), m.Evidence...)
		return
	}
	r.nothing(at, say.That("hand.not-measured", say.Name("said", at.Text)))
}

// agrees reports whether a size as it is said is the one measured, to the figures said,
// or the one by which people name it.
func agrees(mm float64, said string, m opinion.Measure) bool {
	step := 0.5
	if i := strings.LastIndexAny(said, ".,"); i >= 0 && i+1 < len(said) && said[i+1] >= '0' && said[i+1] <= '9' {
		step = 0.05
	}
	half := (m.Interval[1] - m.Interval[0]) / 2
	return math.Abs(mm-m.MM) <= step+half+1e-9 || m.SpokenMM != nil && math.Abs(mm-*m.SpokenMM) < 0.01
}

// readMark judges a number or a name read off the watch. A serial or movement number is
// never told in full.
func (r *reader) readMark(at notes.Span, d *evidence.Mark) {
	from, to := r.at(at)
	if d.What == evidence.MarkSerial || d.What == evidence.MarkMovementNumber {
		r.mark(from, to, Private, say.That("hand.private-number"))
		return
	}
	var other []evidence.ID
	for _, m := range evidence.All[*evidence.Mark](r.subject.File) {
		if m.Data.What != d.What {
			continue
		}
		if strings.EqualFold(m.Data.Text, d.Text) {
			r.name(from, to)
			return
		}
		other = append(other, m.Item.ID)
	}
	if d.What == evidence.MarkReferenceNumber && strings.EqualFold(d.Text, r.subject.Opinion.Watch.Reference) {
		r.name(from, to)
		return
	}
	if len(other) > 0 {
		r.mark(from, to, Contradicts, say.That("hand.other-mark", say.Name("said", at.Text)), other...)
		return
	}
	r.nothing(at, say.That("hand.no-mark", say.Name("said", at.Text)))
}

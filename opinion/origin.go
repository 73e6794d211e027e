package opinion

import (
	"math"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/origin"
	"midcase/refbook"
	"midcase/say"
)

// How far dated things are trusted: common practice, no published source; the model
// pages name them so that a shop can argue with them.
const (
	spanSoftMonths   = 3
	papersLagMonths  = 12
	papersOutliers   = 0.05
	statedOutliers   = 0.01
	stampOutliers    = 0.03
	markConfidence   = 0.98 // where the observer stated none
	fittedConfidence = 0.95
	disagreement     = 0.02 // a part with a surprise below this is said to disagree
	outlierOdds      = 0.5  // a number, stamp or paper likelier than this to say nothing disagrees
	farMonths        = 120  // a number further than this beyond the book's is not dated in words
	windowSoftMonths = 4
	recordMargin     = 24    // months beside the maker's record where the book has no span
	openMonths       = 1200  // how far back an open beginning reaches
	recordRight      = 0.995 // a record that a part was replaced
	recordRightKept  = 0.9   // the same where the old part was kept and may be back
)

// dateAndParts runs the joint model and writes down what it says.
func (f *forming) dateAndParts() {
	if f.ref == nil && f.datedByExtract() {
		f.partsWithoutBook()
		return
	}
	if f.ref == nil {
		f.out.Dating = Dating{CannotTell: f.whyNoReference(), Months: []MonthChance{}, Items: []DatingItem{}}
		f.partsWithoutBook()
		return
	}
	subject, says := f.subject()
	subject, refused := origin.Sound(subject)
	for _, x := range refused {
		f.unknown(say.That("unknown.item", say.Name("item", x.ID), say.Saying("why", because(x.Err))))
	}
	r, err := origin.Infer(subject)
	if err != nil {
		f.out.Dating = Dating{CannotTell: because(err), Months: []MonthChance{}, Items: []DatingItem{}}
		f.partsWithoutBook()
		return
	}
	f.dating(r, says)
	f.parts(r)
}

// datedByExtract dates a watch that the book does not have by the maker's own record,
// and reports whether there is one.
func (f *forming) datedByExtract() bool {
	words := says{}
	s := origin.Subject{Span: origin.Span{SoftMonths: spanSoftMonths}}
	s.Papers, s.Stated = f.papers(words)
	s, _ = origin.Sound(s)
	for i, x := range s.Stated {
		if i == 0 || x.First < s.Span.First+recordMargin {
			s.Span.First = x.First - recordMargin
		}
		s.Span.Last = max(s.Span.Last, x.Last+recordMargin)
	}
	if len(s.Stated) == 0 {
		return false
	}
	r, err := origin.Infer(s)
	if err != nil {
		return false
	}
	f.dating(r, words)
	return true
}

func (f *forming) whyNoReference() say.Statement {
	if f.book == nil {
		return say.That("dating.no-book")
	}
	return say.That("dating.not-in-book")
}

// says keeps, for each item id of the model, what it says in words and its basis.
type says map[string]saying

type saying struct {
	text  say.Statement
	basis []Basis
}

// subject translates book and evidence for the model.
func (f *forming) subject() (origin.Subject, says) {
	words := says{}
	s := origin.Subject{Span: origin.Span{SoftMonths: spanSoftMonths}}
	s.Span.SoftMonths = softer(spanSoftMonths, f.ref.Made)
	s.Span.First, _ = f.ref.Made.FirstMonth()
	s.Span.Last, _ = f.ref.Made.LastMonth()
	if _, open := f.ref.Made.Last(); !open {
		s.Span.Last = edtf.MonthFromTime(f.asOf)
	}
	s.Serials = f.serials(words)
	s.Stamps = f.stamps(words)
	s.Papers, s.Stated = f.papers(words)
	listed := map[string]bool{}
	s.Delivered = f.delivery()
	for i := range f.ref.Slots {
		s.Slots = append(s.Slots, f.slot(f.delivered(&f.ref.Slots[i]), words))
		listed[string(f.ref.Slots[i].Slot)] = true
	}
	for _, stamp := range s.Stamps { // a stamped part may be a later one, though the book lists no versions of it
		if stamp.Slot == "" || listed[stamp.Slot] {
			continue
		}
		listed[stamp.Slot] = true
		slot := evidence.Slot(stamp.Slot)
		s.Slots = append(s.Slots, origin.Slot{Name: stamp.Slot, Replaced: refbook.UsuallyReplaced(slot),
			Recorded: f.recordedFor(&refbook.Slot{Slot: slot})})
	}
	return s, words
}

func (f *forming) stamps(words says) []origin.Stamp {
	var out []origin.Stamp
	seen := map[evidence.Slot]bool{}
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What != evidence.MarkDateStamp || seen[m.Data.Slot] {
			continue
		}
		seen[m.Data.Slot] = true
		scheme, assumed := f.scheme(m.Data.Slot), false
		if scheme == nil {
			scheme, assumed = refbook.CommonStamp(m.Data.Slot, m.Data.Text)
		}
		if scheme == nil {
			f.unknown(say.That("unknown.no-scheme", say.Name("stamp", m.Data.Text), slotArg("slot", m.Data.Slot)))
			continue
		}
		first, last, err := scheme.Read(m.Data.Text)
		if err != nil {
			f.unknown(say.That("unknown.stamp", say.Name("stamp", m.Data.Text), slotArg("slot", m.Data.Slot),
				say.Saying("why", because(err))))
			continue
		}
		id := string(m.Item.ID)
		out = append(out, origin.Stamp{ID: id, First: first, Last: last, LagMonths: scheme.LagMonths,
			OutlierShare: stampOutliers,
			Confidence:   or(m.Data.Confidence, markConfidence), Slot: string(m.Data.Slot)})
		words[id] = saying{say.That("dating.stamp", say.Name("stamp", m.Data.Text), slotArg("slot", m.Data.Slot),
			say.Span("made", first, last)),
			append(fromEvidence(m.Item.ID), f.fromBook("stamp", scheme.ID))}
		if assumed {
			words[id] = saying{words[id].text, fromEvidence(m.Item.ID)}
			f.unknown(say.That("unknown.assumed-stamp", say.Name("stamp", m.Data.Text), slotArg("slot", m.Data.Slot),
				say.Count("months", int(scheme.LagMonths))))
		}
	}
	return out
}

// scheme is the stamp scheme of a slot: that of the variant fitted, else the maker's
// for the slot.
func (f *forming) scheme(slot evidence.Slot) *refbook.Stamp {
	if e, ok := f.fitted[slot]; ok {
		if s, ok := f.ref.Slot(slot); ok {
			if v, ok := s.Variant(e.Data.Variant); ok && v.Stamp != "" {
				if st, ok := f.maker.Stamp(v.Stamp); ok {
					return st
				}
			}
		}
	}
	for i := range f.maker.Stamps {
		if f.maker.Stamps[i].Slot == slot {
			return &f.maker.Stamps[i]
		}
	}
	return nil
}

// papers reads what was written: papers and receipts of the first sale, and archive
// extracts. A copy of a document says nothing more than the document.
func (f *forming) papers(words says) (papers []origin.Papers, stated []origin.Stated) {
	type said struct{ what, date, made string }
	seen := map[said]bool{}
	for _, d := range evidence.All[*evidence.Document](f.file) {
		id := string(d.Item.ID)
		key := said{d.Data.What, d.Data.Date.String(), d.Data.MadeDate.String()}
		if d.Data.What == "archive_extract" {
			key.date = "" // when it was asked for
		}
		if !f.isSerial(d.Data.Serial) || seen[key] {
			continue // papers of another watch say nothing of this one; the rules speak of it
		}
		seen[key] = true
		if d.Data.What == "archive_extract" {
			if first, last, ok := f.months(d.Data.MadeDate); ok {
				stated = append(stated, origin.Stated{ID: id, First: first, Last: last, OutlierShare: statedOutliers})
				words[id] = saying{say.That("dating.extract", dated("made", d.Data.MadeDate)), fromEvidence(d.Item.ID)}
			}
			continue
		}
		if d.Data.Date.IsZero() || (d.Data.What != "papers" && d.Data.What != "receipt") {
			continue
		}
		slack := edtf.Month(d.Data.Date.SlackMonths())
		first, known := d.Data.Date.FirstMonth()
		if first -= slack; !known {
			first = 0
		}
		last, ok := d.Data.Date.LastMonth()
		if last += slack; !ok { // sold in that month or later, until today
			last = max(first, edtf.MonthFromTime(f.asOf))
		}
		papers = append(papers, origin.Papers{ID: id, First: first, Last: last, LagMonths: papersLagMonths,
			OutlierShare: papersOutliers})
		words[id] = saying{say.That("dating.document", document("document", d.Data.What), dated("date", d.Data.Date)),
			fromEvidence(d.Item.ID)}
	}
	return papers, stated
}

// months is the run of months that a date may mean; an open end reaches to the end of
// what can be, a hundred years back or today.
func (f *forming) months(d edtf.Date) (first, last edtf.Month, ok bool) {
	first, from := d.FirstMonth()
	last, until := d.LastMonth()
	if !until {
		last = edtf.MonthFromTime(f.asOf)
	}
	if !from {
		first = last - openMonths
	}
	slack := edtf.Month(d.SlackMonths())
	return first - slack, max(first, last) + slack, !d.IsZero() && (from || until)
}

// softer is a softness in months with what a vague date adds to it: its slack is about three scales of a logistic
// edge, and both add in squares.
func softer(soft float64, d edtf.Date) float64 {
	return math.Hypot(soft, float64(d.SlackMonths())/3)
}

func (f *forming) slot(s *refbook.Slot, words says) origin.Slot {
	out := origin.Slot{Name: string(s.Slot), Replaced: s.Replaced}
	for _, v := range s.Variants {
		ov := origin.Variant{ID: v.ID, Service: v.Service}
		if v.Service {
			ov.ServiceFirst, _ = knownMonth(v.Supplied.FirstMonth())
			ov.ServiceLast, _ = knownMonth(v.Supplied.LastMonth())
		}
		for _, w := range v.Windows {
			// A softness that the book states says already how vague the ends are.
			ow := origin.Window{SoftMonths: or(w.SoftMonths, softer(windowSoftMonths, w.Made)), Share: w.Share,
				Markets: w.Markets}
			ow.First, _ = knownMonth(w.Made.FirstMonth())
			ow.Last, _ = knownMonth(w.Made.LastMonth())
			ov.Windows = append(ov.Windows, ow)
		}
		out.Variants = append(out.Variants, ov)
	}
	out.Recorded = f.recordedFor(s)
	e, ok := f.fitted[s.Slot]
	if !ok || e.Data.Absent {
		return out
	}
	out.ID, out.Seen, out.Confidence = string(e.Item.ID), origin.Unknown, or(e.Data.Confidence, fittedConfidence)
	text := say.That("dating.unknown-part", slotArg("slot", s.Slot))
	if v, ok := s.Variant(e.Data.Variant); ok {
		out.Seen, text = v.ID, say.That("dating.part", slotArg("slot", s.Slot), say.Name("variant", v.Name))
	}
	if out.Seen == origin.Unknown && len(f.otherReferences(s.Slot, e.Data.Variant)) > 0 {
		// The factory made it, for watches of another reference.
		out.Seen = e.Data.Variant
		out.Variants = append(out.Variants, origin.Variant{ID: out.Seen,
			Windows: []origin.Window{{Markets: []string{otherReference}}}})
	}
	words[out.ID] = saying{text, append(fromEvidence(e.Item.ID), f.fromBook(string(s.Slot), e.Data.Variant))}
	return out
}

// otherReference stands for the watches of another reference where a window would name
// a market; no country has it for its code.
const otherReference = "other reference"

// knownMonth gives 0 for a month that is open, as package origin expects.
func knownMonth(m edtf.Month, ok bool) (edtf.Month, bool) {
	if !ok {
		return 0, false
	}
	return m, true
}

// dating writes the model's dates down.
func (f *forming) dating(r *origin.Result, words says) {
	d := Dating{Known: true, Median: r.Median(), Interval90: r.Interval(0.9), Items: []DatingItem{}}
	d.Interval50 = r.IntervalWithin(0.5, d.Interval90)
	for _, x := range r.Peaks(0.9) {
		d.Ranges = append(d.Ranges, DateRange{x.Interval, round(x.P, 4)})
	}
	for _, x := range r.Delivered {
		d.Delivered = append(d.Delivered, MarketChance{x.Market, round(x.P, 4)})
	}
	d.EDTF = d.Interval90[0].String() + "/" + d.Interval90[1].String()
	d.Months = chances(r.First, r.P)
	d.PriorMonths = chances(r.First, r.Prior)
	for _, it := range r.Items {
		w := words[it.ID]
		item := DatingItem{Evidence: evidence.ID(it.ID), Kind: it.Kind, Says: w.text,
			SurpriseP: round(it.Surprise, 6), OutlierP: round(it.Outlier, 6), Disagrees: disagrees(it),
			Alone: chances(r.First, it.Alone), Without: it.Without, Basis: w.basis}
		if item.Disagrees && it.Kind != origin.KindSlot {
			item.Doubt = say.That("dating.doubt", say.Chance("chance", item.OutlierP))
		}
		d.Items = append(d.Items, item)
	}
	f.out.Dating = d
}

// disagrees reports whether an item speaks against the others. What was read is so by
// the odds that it says nothing about the watch; whether a part was replaced is a
// verdict of its own, so it is by its surprise.
func disagrees(it origin.Item) bool {
	if it.Kind == origin.KindSlot {
		return it.Surprise < disagreement
	}
	return it.Outlier > outlierOdds
}

// chances lists months with their probability, leaving out the far ends where it is
// nil to six decimals.
func chances(first edtf.Month, p []float64) []MonthChance {
	const nil6 = 5e-7
	lo, hi := 0, len(p)
	for lo < hi && p[lo] < nil6 {
		lo++
	}
	for hi > lo && p[hi-1] < nil6 {
		hi--
	}
	out := make([]MonthChance, 0, hi-lo)
	for i := lo; i < hi; i++ {
		out = append(out, MonthChance{first + edtf.Month(i), round(p[i], 6)})
	}
	return out
}

package opinion

import (
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/origin"
	"midcase/refbook"
	"midcase/say"
)

// reading is one number recorded for the watch.
type reading struct {
	mark    evidence.Entry[*evidence.Mark]
	pattern refbook.Pattern
	share   float64 // of the trust in it where several numbers were recorded
	text    string  // as read, or as completed
	paper   evidence.ID
}

// How far numbers are trusted: common practice, no published source.
const (
	latestNumber   = 0.6  // the latest of several that differ
	confirmed      = 0.95 // one of several, if papers name it
	beyondRun      = 0.05 // weight of a run that the number lies beyond, beside one that it lies in
	spanSlack      = 24   // months beside the span at which a run is still named in words
	mostRunsInWord = 3
)

// numbers are the numbers of a kind that were recorded, the latest first. One read
// twice counts once, with the figures of the better reading; what papers say completes
// a number of which figures cannot be read. Numbers that cannot be used are told.
func (f *forming) numbers(what string) []reading {
	var out []reading
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What != what {
			continue
		}
		p, err := refbook.ParsePattern(m.Data.Text)
		if err != nil {
			f.unknown(say.That("unknown.number", mark("mark", what), say.Name("number", m.Data.Text),
				say.Saying("why", because(err))))
			continue
		}
		out = addReading(out, reading{mark: m, pattern: p, text: m.Data.Text})
	}
	if what == evidence.MarkSerial {
		f.byPapers(out)
	}
	f.trust(out)
	return out
}

// addReading adds a reading, or joins it with one of the same number.
func addReading(all []reading, r reading) []reading {
	for i, other := range all {
		if !other.pattern.Agrees(r.pattern) {
			continue
		}
		if r.pattern.Unread() < other.pattern.Unread() {
			all[i] = r
		}
		return all
	}
	return append(all, r)
}

// byPapers completes numbers from papers, and marks those that papers name.
func (f *forming) byPapers(all []reading) {
	for i := range all {
		r := &all[i]
		for _, d := range evidence.All[*evidence.Document](f.file) {
			p, err := refbook.ParsePattern(d.Data.Serial)
			if err != nil || !p.Agrees(r.pattern) {
				continue
			}
			r.paper = d.Item.ID
			if p.Unread() < r.pattern.Unread() {
				r.pattern, r.text = p, d.Data.Serial
			}
		}
	}
}

// trust shares the trust among numbers that differ.
func (f *forming) trust(all []reading) {
	named := 0
	for _, r := range all {
		if r.paper != "" {
			named++
		}
	}
	rest := float64(len(all) - 1)
	for i := range all {
		r := &all[i]
		switch {
		case len(all) == 1:
			r.share = 1
		case named == 1 && r.paper != "":
			r.share = confirmed
		case named == 1:
			r.share = (1 - confirmed) / rest
		case i == 0:
			r.share = latestNumber
		default:
			r.share = (1 - latestNumber) / rest
		}
	}
	if len(all) > 1 {
		var texts []say.Value
		for _, r := range all {
			texts = append(texts, say.Proper(r.text))
		}
		f.unknown(say.That("unknown.two-numbers", mark("mark", all[0].mark.Data.What), say.All("numbers", texts...)))
	}
}

func (f *forming) serials(words says) []origin.Serial {
	var out []origin.Serial
	for _, what := range []string{evidence.MarkSerial, evidence.MarkMovementNumber} {
		all := f.numbers(what)
		runs := f.runs(what)
		if len(all) > 0 && len(runs) == 0 {
			f.unknown(say.That("unknown.no-dates", mark("mark", what)))
			continue
		}
		for _, x := range runs {
			if len(all) > 0 && strings.Contains(x.book.Source, refbook.AssumedMark) {
				f.unknown(say.That("unknown.assumed-scatter", mark("mark", what),
					say.Count("months", int(x.book.ScatterMonths))))
			}
		}
		for _, r := range all {
			id := string(r.mark.Item.ID)
			s := origin.Serial{ID: id, OutlierShare: or(runs[0].book.OutlierShare, 0.02),
				Confidence: or(r.mark.Data.Confidence, markConfidence) * r.share}
			if what == evidence.MarkMovementNumber {
				s.Slot = string(evidence.Movement)
			}
			s.Readings = readings(r.pattern, runs)
			out = append(out, s)
			basis := fromEvidence(r.mark.Item.ID)
			if r.paper != "" {
				basis = append(basis, fromEvidence(r.paper)...)
			}
			for _, x := range runs {
				basis = append(basis, f.fromBook("serial", x.book.ID))
			}
			words[id] = saying{f.numberSays(r, runs), basis}
		}
	}
	return out
}

// run is a run of numbers of the book with its curve.
type run struct {
	book  *refbook.Serial
	curve *origin.Curve
}

// runs are the runs of numbers of the reference for a mark. Where the maker began to
// count anew there are several, and a number may be in more than one.
func (f *forming) runs(what string) []run {
	var out []run
	for _, id := range f.ref.Serial {
		book, ok := f.maker.Serial(id)
		if !ok || book.Mark != what {
			continue
		}
		if curve, err := curveOf(book); err == nil {
			out = append(out, run{book, curve})
		}
	}
	return out
}

func curveOf(run *refbook.Serial) (*origin.Curve, error) {
	anchors := make([]origin.Anchor, len(run.Anchors))
	for i, a := range run.Anchors {
		anchors[i] = origin.Anchor{Number: a.Number, Month: a.Month}
	}
	return origin.NewCurve(anchors)
}

// holds reports whether a number lies between the first and the last anchor of a run.
func (r run) holds(number int64) bool {
	_, _, inside := r.curve.At(number)
	return inside
}

// readings is what a number may be, for the model.
func readings(p refbook.Pattern, runs []run) []origin.Reading {
	var out []origin.Reading
	for _, x := range p.Ranges() {
		held := false
		for _, r := range runs {
			held = held || r.holds(x[0]) || r.holds(x[1])
		}
		for _, r := range runs {
			read := origin.Reading{First: x[0], Last: x[1], Curve: r.curve, ScatterMonths: r.book.ScatterMonths,
				DegreesOfFreedom: r.book.DegreesOfFreedom, Weight: 1}
			if held && !r.holds(x[0]) && !r.holds(x[1]) {
				read.Weight = beyondRun
			}
			out = append(out, read)
		}
	}
	return out
}

// numberSays is what a number comes to by its runs. One far beyond the numbers of the
// book is given no month: how they went on is not known.
func (f *forming) numberSays(r reading, runs []run) say.Statement {
	m := r.mark.Data
	if !r.pattern.Whole() {
		return f.patternSays(r, runs)
	}
	number := r.pattern.Ranges()[0][0]
	if r.text != m.Text {
		return say.That("dating.number-completed", mark("mark", m.What), say.Name("number", m.Text),
			say.Name("whole", r.text), say.All("about", f.abouts(number, runs)...))
	}
	if held := f.abouts(number, runs); len(held) > 1 {
		return say.That("dating.number-anew", mark("mark", m.What), say.Name("number", m.Text), say.All("about", held...))
	}
	x := f.likeliest(number, runs)
	at, gap, inside := x.curve.At(number)
	first, last := x.book.Anchors[0], x.book.Anchors[len(x.book.Anchors)-1]
	switch {
	case inside:
		return say.That("dating.number", mark("mark", m.What), say.Name("number", m.Text),
			say.Month("about", edtf.Month(at+0.5)))
	case gap <= farMonths:
		return say.That("dating.number-beyond", mark("mark", m.What), say.Name("number", m.Text),
			say.Month("about", edtf.Month(at+0.5)))
	case number < first.Number:
		return say.That("dating.number-far-below", mark("mark", m.What), say.Name("number", m.Text),
			say.Name("first", strconv.FormatInt(first.Number, 10)), say.Month("month", first.Month))
	}
	return say.That("dating.number-far-above", mark("mark", m.What), say.Name("number", m.Text),
		say.Name("last", strconv.FormatInt(last.Number, 10)), say.Month("month", last.Month))
}

// abouts are the months of a number by the runs that hold it, those within the span of
// the reference where there are any.
func (f *forming) abouts(number int64, runs []run) []say.Value {
	var in, any []say.Value
	for _, x := range runs {
		at, _, inside := x.curve.At(number)
		if !inside {
			continue
		}
		m := edtf.Month(at + 0.5)
		any = append(any, say.Months{First: m, Last: m})
		if f.miss(at) <= spanSlack {
			in = append(in, say.Months{First: m, Last: m})
		}
	}
	if len(in) == 0 {
		in = any
	}
	if len(in) == 0 {
		at, _, _ := f.likeliest(number, runs).curve.At(number)
		m := edtf.Month(min(max(at+0.5, 0), 12*9999))
		in = []say.Value{say.Months{First: m, Last: m}}
	}
	return in[:min(len(in), mostRunsInWord)]
}

// miss is by how many months a month lies outside the span of the reference.
func (f *forming) miss(at float64) float64 {
	first, _ := f.ref.Made.FirstMonth()
	last, ok := f.ref.Made.LastMonth()
	if !ok {
		last = edtf.MonthFromTime(f.asOf)
	}
	return max(float64(first)-at, at-float64(last), 0)
}

// likeliest is the run in which a number lies, nearest to the span of the reference.
func (f *forming) likeliest(number int64, runs []run) run {
	best, bestMiss := runs[0], 0.0
	for i, x := range runs {
		at, gap, inside := x.curve.At(number)
		miss := f.miss(at)
		if !inside {
			miss += 60 + gap
		}
		if i == 0 || miss < bestMiss {
			best, bestMiss = x, miss
		}
	}
	return best
}

// patternSays is what a number comes to of which figures cannot be read.
func (f *forming) patternSays(r reading, runs []run) say.Statement {
	all := r.pattern.Ranges()
	var first, last edtf.Month
	for _, x := range runs {
		from, _, _ := x.curve.At(all[0][0])
		to, _, _ := x.curve.At(all[len(all)-1][1])
		if f.miss(from) > 0 && f.miss(to) > 0 && len(runs) > 1 && first != 0 {
			continue
		}
		if a := edtf.Month(min(max(from+0.5, 1), 12*9999)); first == 0 || a < first {
			first = a
		}
		if b := edtf.Month(min(max(to+0.5, 1), 12*9999)); b > last {
			last = b
		}
	}
	low, _ := f.ref.Made.FirstMonth()
	high, ok := f.ref.Made.LastMonth()
	if !ok {
		high = edtf.MonthFromTime(f.asOf)
	}
	first, last = max(first, low-spanSlack), min(last, high+spanSlack)
	if last < first {
		return say.That("dating.number-partial", mark("mark", r.mark.Data.What), say.Name("number", r.text))
	}
	return say.That("dating.number-range", mark("mark", r.mark.Data.What), say.Name("number", r.text),
		say.Span("about", first, last))
}

// sameNumber compares two numbers as stamped, without regard to spaces and dots; a
// figure that cannot be read may be any.
func sameNumber(a, b string) bool {
	x, errX := refbook.ParsePattern(a)
	y, errY := refbook.ParsePattern(b)
	if errX != nil || errY != nil {
		return sameText(a, b)
	}
	return x.Agrees(y)
}

// isSerial reports whether a number on paper is one that was recorded for the watch;
// where none was, it may be.
func (f *forming) isSerial(onPaper string) bool {
	none := true
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What == evidence.MarkSerial {
			none = false
			if sameNumber(onPaper, m.Data.Text) {
				return true
			}
		}
	}
	return none || onPaper == ""
}

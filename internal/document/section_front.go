package document

import (
	"fmt"
	"strings"

	"midcase/opinion"
	"midcase/say"
)

// front is the first page: what the paper is, the sentence, and the figures that
// it sums up.
type front struct {
	in       tongue
	kind     string // what the paper is
	title    string
	sentence string
	strip    []fact // made, parts, condition, value
	paper    []fact // file number, dates, purpose
	standing string // what the paper is not
	// unlisted says that the paper has no list of what its figures rest on; apart, that
	// the list is an annex of its own.
	unlisted, apart bool
	words           *pageWords // nil for those of a report
}

// pageWords are the words around a paper that is no report.
type pageWords struct {
	lang                   string
	foot, check, noPicture string
	page                   func(n, of int) string
}

func (w *writer) front(kind say.Statement) front {
	return front{in: w.tongue, kind: w.String(kind), title: w.title(), sentence: w.sentenceOfAll(), strip: w.strip(),
		paper: w.paper(), standing: w.String(say.That("report.standing"))}
}

// reportFront is the front of the report on condition and originality.
func (w *writer) reportFront() front {
	f := w.front(say.That("report.kind-of-report"))
	f.apart = !w.annexed()
	return f
}

// metalWords is the metal of the case in words.
func (w *writer) metalWords() string {
	id := w.o.Watch.Metal
	if id == "" {
		return w.notStated()
	}
	return w.Value(say.Noun{Set: "metal", ID: id, English: underscored(id)}, "")
}

func (t tongue) notStated() string { return t.String(say.That("report.not-stated")) }

func (w *writer) title() string {
	if w.o.Watch.Title != "" {
		return w.o.Watch.Title
	}
	t := strings.Join(strings.Fields(w.o.Watch.Maker+" "+w.o.Watch.Reference), " ")
	if t == "" {
		return w.String(say.That("report.untitled"))
	}
	return t
}

// sentenceOfAll is the opinion's sentence; on a paper that leaves the shop, without
// the clause that says what the shop would pay.
func (w *writer) sentenceOfAll() string {
	s := w.o.Summary
	switch {
	case s.Sentence.IsZero() && len(s.Clauses) == 0:
		return w.String(say.That("report.nothing-yet"))
	case w.r.ForShop:
		return w.sentence(s.Sentence)
	}
	return w.sentence(s.Without("deal"))
}

func (w *writer) strip() []fact {
	return []fact{w.stripDating(), w.stripParts(), w.stripCondition(), w.stripValue()}
}

func (w *writer) stripDating() fact {
	d := w.o.Dating
	f := fact{name: w.String(say.That("report.made-in")), text: w.cannotTell()}
	if !d.Known {
		return f
	}
	from, to := d.Interval90[0], d.Interval90[1]
	f.text = fmt.Sprint(from.Year())
	f.sub = w.String(say.That("report.made", say.Month("median", d.Median), say.Span("made", from, to)))
	switch {
	case from == to:
		f.sub = w.String(say.That("report.made-month", say.Month("made", from)))
	case from.Year() != to.Year():
		f.text = fmt.Sprintf("%d–%d", from.Year(), to.Year())
	}
	return f
}

func (w *writer) stripParts() fact {
	n := w.verdicts()
	f := fact{name: w.String(say.That("report.parts-label"))}
	if len(w.o.Parts) == 0 {
		f.text = w.String(say.That("report.not-judged"))
		return f
	}
	var sub []string
	for _, v := range opinion.Verdicts() {
		if v != opinion.Fits && n[v] > 0 {
			sub = append(sub, w.String(opinion.CountSays(v, n[v])))
		}
	}
	f.text = w.String(say.That("report.parts-count", say.Count("fit", n[opinion.Fits]),
		say.Count("judged", len(w.o.Parts)-n[opinion.Missing])))
	f.sub = strings.Join(sub, ", ")
	return f
}

func (w *writer) verdicts() map[string]int {
	n := map[string]int{}
	for _, p := range w.o.Parts {
		n[p.Verdict]++
	}
	return n
}

func (w *writer) stripCondition() fact {
	c := w.o.Condition
	f := fact{name: w.String(say.That("report.condition-label"))}
	if c.Overall == nil {
		f.text = w.String(say.That("report.not-graded-label"))
		return f
	}
	f.text = strings.ReplaceAll(w.String(say.That("report.of-ten", say.Name("grade", w.grade(*c.Overall,
		c.Interval)))), " ", nbsp)
	f.sub = w.String(c.Words)
	if stated(c.Interval) {
		f.sub = w.joined(f.sub, w.span(c.Interval, 1))
	}
	return f
}

func (w *writer) stripValue() fact {
	v := w.o.Value
	f := fact{name: w.String(say.That("report.value-label")), text: w.cannotTell()}
	if v.Kind != "" {
		f.name = w.String(say.That("report.value-of-kind", kindOfValue("kind", v.Kind)))
	}
	share, i, ok := headline(v)
	if !v.Known || !ok {
		return f
	}
	f.text = w.priceRange(i, v.Currency)
	if v.Median != nil {
		f.sub = w.String(say.That("report.value-sub", say.Valued("median", *v.Median, i, ""),
			say.Share("level", share), say.Day("day", v.AsOf)))
	}
	return f
}

// kindOfValue is a kind of value as a word of the trade.
func kindOfValue(name, kind string) say.Arg { return say.Term(name, "value_kind", kind, kind) }

func (w *writer) paper() []fact {
	f := []fact{{name: w.String(say.That("report.file")), text: orDash(w.r.Number)}}
	add := func(name say.Statement, text string) {
		if text != "" {
			f = append(f, fact{name: w.String(name), text: text})
		}
	}
	add(say.That("report.paper"), w.r.Paper)
	if w.r.Assigned != nil {
		add(say.That("report.value-of"), w.dayWords(w.r.Assigned.Effective))
	} else {
		f = append(f, fact{name: w.String(say.That("report.as-of")), text: w.isoDayWords(w.o.AsOf)})
	}
	add(say.That("report.issued"), w.dayWords(w.r.Issued))
	if !w.r.ValidUntil.IsZero() {
		add(say.That("report.valid-until"), w.dayWords(w.r.ValidUntil))
	}
	add(say.That("report.for-use"), w.r.IntendedUser)
	add(say.That("report.purpose"), w.purpose())
	if w.r.ForShop {
		add(say.That("report.copy"), w.String(say.That("report.copy-for-shop")))
	}
	return f
}

// UsualPurpose is what a report is for unless something else is said. On a paper it is in the paper's language.
func UsualPurpose() string { return english.String(say.That("report.usual-purpose")) }

// purpose is what the paper is for: in the words that were typed, or the usual one.
func (w *writer) purpose() string {
	switch {
	case w.r.Assigned != nil:
		return w.valuing().purposeWords()
	case w.r.Purpose == UsualPurpose():
		return w.String(say.That("report.usual-purpose"))
	}
	return w.r.Purpose
}

func orDash(s string) string { return orElse(s, "–") }

func orElse(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}

// grade writes a grade to what its interval allows, never finer than a tenth.
func (t tongue) grade(g float64, i [2]float64) string {
	if !stated(i) {
		return t.rounded(g, 1)
	}
	_, _, _, r := say.Rounded(g, i[0], i[1], 1)
	return t.rounded(g, r.Decimals)
}

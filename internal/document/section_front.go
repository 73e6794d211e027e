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
	kind     string // what the paper is
	title    string
	sentence string
	strip    []fact // made, parts, condition, value
	paper    []fact // file number, dates, purpose
	standing string // what the paper is not
	// unlisted says that the paper has no list of what its figures rest on; apart, that
	// the list is an annex of its own.
	unlisted, apart bool
	words           *pageWords // nil for English
}

// pageWords are the words around a paper that is not in English.
type pageWords struct {
	lang                   string
	foot, check, noPicture string
	page                   func(n, of int) string
}

const standing = "An opinion formed from the evidence on record, the shop's reference book and its records of sales, as of the day stated. " +
	"It is not a licensed appraisal, a guarantee, a certificate of any maker or authority, or advice on tax or law."

func (w *writer) front(kind string) front {
	return front{kind: kind, title: w.title(), sentence: w.sentence(), strip: w.strip(), paper: w.paper(),
		standing: standing}
}

// reportFront is the front of the report on condition and originality.
func (w *writer) reportFront() front {
	f := w.front("Report on condition and originality")
	f.apart = !w.annexed()
	return f
}

// metalWords is the metal of the case in words.
func (w *writer) metalWords() string {
	id := w.o.Watch.Metal
	if id == "" {
		return "not stated"
	}
	return english.Value(say.Noun{Set: "metal", ID: id, English: strings.ReplaceAll(id, "_", " ")}, "")
}

func (w *writer) title() string {
	if w.o.Watch.Title != "" {
		return w.o.Watch.Title
	}
	t := strings.Join(strings.Fields(w.o.Watch.Maker+" "+w.o.Watch.Reference), " ")
	if t == "" {
		return "Watch without a title"
	}
	return t
}

// sentence is the opinion's sentence; on a paper that leaves the shop, without
// the clause that says what the shop would pay.
func (w *writer) sentence() string {
	s := w.o.Summary
	if s.Sentence.IsZero() && len(s.Clauses) == 0 {
		return "Nothing can be said yet."
	}
	if w.r.ForShop {
		return opening(s.Sentence.String())
	}
	return opening(s.Without("deal").String())
}

func (w *writer) strip() []fact {
	return []fact{w.stripDating(), w.stripParts(), w.stripCondition(), w.stripValue()}
}

func (w *writer) stripDating() fact {
	d := w.o.Dating
	if !d.Known {
		return fact{name: "Made", text: "cannot tell"}
	}
	from, to := d.Interval90[0], d.Interval90[1]
	f := fact{name: "Made", text: fmt.Sprint(from.Year()),
		sub: english.String(say.That("report.made", say.Month("median", d.Median), say.Span("made", from, to)))}
	switch {
	case from == to:
		f.sub = english.String(say.That("report.made-month", say.Month("made", from)))
	case from.Year() != to.Year():
		f.text = fmt.Sprintf("%d–%d", from.Year(), to.Year())
	}
	return f
}

func (w *writer) stripParts() fact {
	n := w.verdicts()
	if len(w.o.Parts) == 0 {
		return fact{name: "Parts", text: "not judged"}
	}
	var sub []string
	for _, v := range opinion.Verdicts() {
		if v != opinion.Fits && n[v] > 0 {
			sub = append(sub, english.String(opinion.CountSays(v, n[v])))
		}
	}
	return fact{name: "Parts", text: english.String(say.That("report.parts-count", say.Count("fit", n[opinion.Fits]),
		say.Count("judged", len(w.o.Parts)-n[opinion.Missing]))), sub: strings.Join(sub, ", ")}
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
	if c.Overall == nil {
		return fact{name: "Condition", text: "not graded"}
	}
	f := fact{name: "Condition", text: grade(*c.Overall, c.Interval) + nbsp + "of" + nbsp + "10", sub: c.Words.String()}
	if stated(c.Interval) {
		f.sub = strings.TrimPrefix(f.sub+"; "+span(c.Interval, 1), "; ")
	}
	return f
}

func (w *writer) stripValue() fact {
	v := w.o.Value
	name := "Value"
	if v.Kind != "" {
		name += ", " + kindWords(v.Kind)
	}
	level, i := headline(v)
	if !v.Known || level == "" {
		return fact{name: name, text: "cannot tell"}
	}
	f := fact{name: name, text: priceRange(i, v.Currency)}
	if v.Median != nil {
		f.sub = "median " + priced(*v.Median, i, "", "value") + "; " + level + " range; as of " + isoDayWords(v.AsOf)
	}
	return f
}

func (w *writer) paper() []fact {
	f := []fact{{name: "File", text: orDash(w.r.Number)}}
	if w.r.Paper != "" {
		f = append(f, fact{name: "Paper", text: w.r.Paper})
	}
	asOf := fact{name: "As of", text: isoDayWords(w.o.AsOf)}
	if w.r.Assigned != nil {
		asOf = fact{name: "Value of", text: dayWords(w.r.Assigned.Effective)}
	}
	f = append(f, asOf, fact{name: "Issued", text: dayWords(w.r.Issued)})
	if !w.r.ValidUntil.IsZero() {
		f = append(f, fact{name: "Valid until", text: dayWords(w.r.ValidUntil)})
	}
	for _, one := range []fact{{name: "For the use of", text: w.r.IntendedUser}, {name: "Purpose", text: w.r.Purpose}} {
		if one.text != "" {
			f = append(f, one)
		}
	}
	if w.r.ForShop {
		f = append(f, fact{name: "Copy", text: "for the shop only; do not hand over"})
	}
	return f
}

func orDash(s string) string { return orElse(s, "–") }

func orElse(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}

// grade writes a grade to what its interval allows, never finer than a tenth.
func grade(g float64, i [2]float64) string {
	if !stated(i) {
		return rounded(g, 1)
	}
	_, _, _, r := say.Rounded(g, i[0], i[1], 1)
	return rounded(g, r.Decimals)
}

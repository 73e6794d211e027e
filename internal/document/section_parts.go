package document

import (
	"strings"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

func (w *writer) parts() section {
	s := section{id: "parts", title: w.String(say.That("report.whether-parts-belong"))}
	if len(w.o.Parts) == 0 {
		s.finding = w.String(say.That("report.parts-not-judged"))
		return s
	}
	s.finding = w.partsFinding()
	s.blocks = []block{figure{drawing: chart.Parts(w.o.Parts, chart.Paper, w.Writer)}, w.partsTable(),
		para{note: true, text: w.String(say.That("report.what-fits-means"))}}
	return s
}

func (w *writer) partsFinding() string {
	by := map[string]say.List{}
	for _, p := range w.o.Parts {
		by[p.Verdict] = append(by[p.Verdict], say.Noun{Set: "slot", ID: string(p.Slot)})
	}
	clauses := say.List{}
	if n := len(by[opinion.Fits]); n > 0 {
		clauses = append(clauses, say.That("report.parts-fit",
			say.Count("judged", len(w.o.Parts)-len(by[opinion.Missing])), say.Count("fit", n)))
	}
	for _, verdict := range opinion.Verdicts() {
		if slots := by[verdict]; verdict != opinion.Fits && len(slots) > 0 {
			clauses = append(clauses, opinion.PartsSay(verdict, slots))
		}
	}
	return w.told(say.That("summary.sentence", say.Saying("clauses", say.That("summary.clauses",
		say.All("clauses", clauses...)))))
}

func (w *writer) partsTable() table {
	t := table{columns: []column{{w.String(say.That("report.part-column")), 34, left},
		{w.String(say.That("report.verdict-column")), 31, left},
		{w.String(say.That("report.reason-column")), 63, left}}}
	for i, p := range w.o.Parts {
		name := cell{text: w.slotName(p.Slot), sub: w.variant(p), mark: p.Verdict, number: i + 1}
		verdict := cell{text: w.String(opinion.VerdictSays(p.Verdict))}
		if p.POriginal != nil {
			verdict.sub = w.String(say.That("report.how-original", say.Saying("words", p.Words),
				say.Chance("chance", *p.POriginal)))
		}
		if p.Service {
			verdict.sub = w.joined(verdict.sub, w.String(say.That("report.service-part")))
		}
		t.rows = append(t.rows, row{
			cells: []cell{name, verdict, {text: w.sentences(p.Reasons, say.That("report.no-reason")),
				sub: w.expectedWords(p)}},
			cites:  w.refs.cite(p.Evidence, p.Basis...),
			strong: opinion.IsTrouble(p.Verdict) && p.Verdict != opinion.Missing,
		})
	}
	return t
}

// variant is the version of a part by the name that the book gives it.
func (t tongue) variant(p opinion.Part) string {
	v := orElse(p.VariantName, p.Variant)
	if v == evidence.Unknown {
		return t.String(say.That("report.unknown-version"))
	}
	return v
}

// expectedWords names what the book expects where that differs from what is there.
func (t tongue) expectedWords(p opinion.Part) string {
	if p.Verdict == opinion.Fits || len(p.Expected) == 0 || mentions(say.Strings(p.Reasons), "expects") {
		return ""
	}
	var out say.List
	for i, e := range p.Expected {
		if i == 3 || e.P < 0.05 {
			break
		}
		out = append(out, say.That("report.expected-one", say.Name("variant", orElse(e.Name, e.Variant)),
			say.Chance("chance", e.P)))
	}
	if len(out) == 0 {
		return ""
	}
	return t.String(say.That("report.expected", say.All("variants", out...)))
}

// sentences are statements one after the other, or another one where there are none.
func (t tongue) sentences(says []say.Statement, otherwise say.Statement) string {
	var out []string
	for _, s := range t.all(says) {
		if s != "" {
			out = append(out, s)
		}
	}
	return orElse(strings.Join(out, " "), t.String(otherwise))
}

func (w *writer) rules() section {
	s := section{id: "rules", title: w.String(say.That("report.rules-of-book"))}
	if len(w.o.Rules) == 0 {
		s.finding = w.String(say.That("report.no-rule"))
		return s
	}
	broken := 0
	t := table{columns: []column{{w.String(say.That("report.rule-column")), 44, left}, {"", 18, left},
		{w.String(say.That("report.why-column")), 66, left}}}
	for _, order := range []bool{true, false} {
		for _, r := range w.o.Rules {
			if r.Broken != order {
				continue
			}
			word := say.That("report.rule-met")
			if r.Broken {
				word = say.That("report.rule-broken")
				broken++
			}
			t.rows = append(t.rows, row{cells: []cell{{text: w.told(r.Rule), sub: w.slotName(r.Slot)},
				{text: w.String(word)}, {text: w.sentence(r.Reason)}},
				cites: w.refs.cite(r.Evidence, r.Basis...), strong: r.Broken})
		}
	}
	s.finding = w.told(say.That("report.rules", say.Count("n", len(w.o.Rules))))
	if broken > 0 {
		s.finding = w.told(say.That("report.rules-broken", say.Count("broken", broken),
			say.Count("n", len(w.o.Rules))))
	}
	s.blocks = []block{t, para{note: true, text: w.String(say.That("report.what-rules-are"))}}
	return s
}

func (w *writer) condition() section {
	c := w.o.Condition
	s := section{id: "condition", title: w.String(say.That("report.condition-by-part"))}
	if c.Overall == nil && len(c.Slots) == 0 {
		s.finding = w.String(say.That("report.condition-not-graded"))
		return s
	}
	s.finding = w.conditionFinding(c)
	t := table{columns: []column{{w.String(say.That("report.part-column")), 26, left},
		{w.String(say.That("report.grade-column")), 22, right},
		{w.String(say.That("report.words-column")), 24, left}, {w.String(say.That("report.seen-column")), 56, left}},
		empty: w.String(say.That("report.no-part-graded"))}
	for _, g := range c.Slots {
		text, sub, words := "–", "", w.String(g.Words)
		if g.Grade != nil {
			text = w.grade(*g.Grade, g.Interval)
			if stated(g.Interval) {
				sub = w.span(g.Interval, 1)
			}
		}
		t.rows = append(t.rows, row{cells: []cell{{text: w.slotName(g.Slot)}, {text: text, sub: sub},
			{text: orElse(words, w.String(say.That("report.not-graded-label")))},
			{text: w.sentences(g.Reasons, say.That("report.nothing-recorded"))}},
			cites: w.refs.cite(g.Evidence, g.Basis...), strong: g.Slot == evidence.Slot(c.Held)})
	}
	s.blocks = []block{t, para{note: true, text: w.String(say.That("report.what-grades-are"))}}
	if d := w.details(); len(d.photos) > 0 {
		s.blocks = append(s.blocks, d)
	}
	return s
}

func (t tongue) conditionFinding(c opinion.Condition) string {
	var out string
	if c.Overall == nil {
		why := c.Words
		if why.IsZero() {
			why = say.That("report.too-little")
		}
		out = t.sentence(say.That("report.no-overall", say.Saying("why", why)))
	} else {
		out = t.sentence(say.That("report.overall", say.Saying("words", c.Words),
			say.Name("grade", t.gradeRange(*c.Overall, c.Interval))))
		if c.Held != "" {
			out += " " + t.String(say.That("report.held-by", say.Term("slot", "slot", c.Held, "")))
		}
	}
	if r := c.Rank; r != nil {
		out += " " + t.String(r.Says)
	}
	return out
}

func (t tongue) gradeRange(g float64, i [2]float64) string {
	if !stated(i) {
		return t.rounded(g, 1)
	}
	return t.grade(g, i) + nbsp + "(" + t.span(i, 1) + ")"
}

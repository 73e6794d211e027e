package document

import (
	"strings"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

func (w *writer) parts() section {
	s := section{id: "parts", title: "Whether the parts belong"}
	if len(w.o.Parts) == 0 {
		s.finding = "Not judged."
		return s
	}
	s.finding = w.partsFinding()
	s.blocks = []block{figure{drawing: chart.Parts(w.o.Parts, chart.Paper, english)}, w.partsTable(), para{note: true, text: "“Fits” means that the part is of a kind that the maker fitted to this reference at that time. " +
		"It does not prove that this very part left the factory with this watch. The percentage is how likely that is, given all the evidence."}}
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
	return told(say.That("summary.sentence", say.Saying("clauses", say.That("summary.clauses",
		say.All("clauses", clauses...)))))
}

func (w *writer) partsTable() table {
	t := table{columns: []column{{"Part", 34, left}, {"Verdict", 31, left}, {"Reason", 63, left}}}
	for i, p := range w.o.Parts {
		name := cell{text: p.Slot.Name(), sub: orElse(p.VariantName, p.Variant), mark: p.Verdict, number: i + 1}
		verdict := cell{text: p.Verdict}
		if p.POriginal != nil {
			verdict.sub = "original: " + p.Words.String() + ", " + percent(*p.POriginal)
		}
		if p.Service {
			verdict.sub = strings.TrimPrefix(verdict.sub+"; the maker's later service part", "; ")
		}
		t.rows = append(t.rows, row{
			cells: []cell{name, verdict, {text: sentences(say.Strings(p.Reasons), "No reason recorded."),
				sub: expectedWords(p)}},
			cites:  w.refs.cite(p.Evidence, p.Basis...),
			strong: opinion.IsTrouble(p.Verdict) && p.Verdict != opinion.Missing,
		})
	}
	return t
}

// expectedWords names what the book expects where that differs from what is there.
func expectedWords(p opinion.Part) string {
	if p.Verdict == opinion.Fits || len(p.Expected) == 0 || mentions(say.Strings(p.Reasons), "expects") {
		return ""
	}
	var out []string
	for i, e := range p.Expected {
		if i == 3 || e.P < 0.05 {
			break
		}
		out = append(out, orElse(e.Name, e.Variant)+" ("+percent(e.P)+")")
	}
	if len(out) == 0 {
		return ""
	}
	return "Expected: " + strings.Join(out, ", ") + "."
}

func sentences(reasons []string, otherwise string) string {
	var out []string
	for _, r := range reasons {
		if r = opening(r); r != "" {
			out = append(out, r)
		}
	}
	return orElse(strings.Join(out, " "), otherwise)
}

func (w *writer) rules() section {
	s := section{id: "rules", title: "Rules of the book"}
	if len(w.o.Rules) == 0 {
		s.finding = "No rule of the book applies."
		return s
	}
	broken := 0
	t := table{columns: []column{{"Rule", 44, left}, {"", 18, left}, {"Why", 66, left}}}
	for _, order := range []bool{true, false} {
		for _, r := range w.o.Rules {
			if r.Broken != order {
				continue
			}
			word := "met"
			if r.Broken {
				word = "broken"
				broken++
			}
			t.rows = append(t.rows, row{cells: []cell{{text: say.Capital(r.Rule.String()), sub: slotName(r.Slot)},
				{text: word}, {text: opening(r.Reason.String())}},
				cites: w.refs.cite(r.Evidence, r.Basis...), strong: r.Broken})
		}
	}
	s.finding = told(say.That("report.rules", say.Count("n", len(w.o.Rules))))
	if broken > 0 {
		s.finding = told(say.That("report.rules-broken", say.Count("broken", broken), say.Count("n", len(w.o.Rules))))
	}
	s.blocks = []block{t, para{note: true, text: "These rules say what can never be together on one watch, such as end pieces that do not fit the bracelet. They are reported separately from the chances above."}}
	return s
}

func slotName(s evidence.Slot) string { return s.Name() }

func (w *writer) condition() section {
	c := w.o.Condition
	s := section{id: "condition", title: "Condition by part"}
	switch {
	case c.Overall == nil && len(c.Slots) == 0:
		s.finding = "Not graded."
		return s
	case c.Overall == nil:
		s.finding = opening("no overall grade: " + orElse(c.Words.String(), "too little was examined"))
	default:
		s.finding = opening(after("", c.Words.String()) + after(" – ", "grade "+gradeRange(*c.Overall,
			c.Interval)+" of 10"))
		if c.Held != "" {
			s.finding += " The " + evidence.Slot(c.Held).Name() + " holds the grade down."
		}
	}
	if r := c.Rank; r != nil {
		s.finding += " " + r.Says.String()
	}
	t := table{columns: []column{{"Part", 26, left}, {"Grade", 22, right}, {"In words", 24, left},
		{"What was seen", 56, left}}, empty: "No part was graded."}
	for _, g := range c.Slots {
		text := "–"
		var sub string
		if g.Grade != nil {
			text = grade(*g.Grade, g.Interval)
			if stated(g.Interval) {
				sub = span(g.Interval, 1)
			}
		}
		t.rows = append(t.rows, row{cells: []cell{{text: g.Slot.Name()}, {text: text, sub: sub},
			{text: orElse(g.Words.String(), "not graded")}, {text: sentences(say.Strings(g.Reasons),
				"Nothing recorded.")}},
			cites: w.refs.cite(g.Evidence, g.Basis...), strong: g.Slot == evidence.Slot(c.Held)})
	}
	s.blocks = []block{t, para{note: true, text: "Grades run from 1 (unusable) to 10 (as it left the factory). The smaller figures are the 90" + nbsp + "% range. A single bad part can hold the overall grade down."}}
	if d := w.details(); len(d.photos) > 0 {
		s.blocks = append(s.blocks, d)
	}
	return s
}

func gradeRange(g float64, i [2]float64) string {
	if !stated(i) {
		return rounded(g, 1)
	}
	return grade(g, i) + nbsp + "(" + span(i, 1) + ")"
}

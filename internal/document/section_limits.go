package document

import (
	"fmt"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

func (w *writer) unknown() section {
	s := section{id: "unknown", title: w.String(say.That("report.what-not-examined"))}
	if len(w.o.Unknown) == 0 {
		s.finding = w.String(say.That("report.nothing-unexamined"))
		return s
	}
	s.finding = w.told(say.That("report.unexamined", say.Count("n", len(w.o.Unknown))))
	s.blocks = []block{w.bullets(w.o.Unknown)}
	return s
}

func (w *writer) cautions() section {
	s := section{id: "cautions", title: w.String(say.That("report.cautions")),
		finding: w.String(say.That("report.local-rules-first"))}
	b := w.bullets(w.o.Cautions)
	if !mentions(say.Strings(append(w.o.Unknown[:len(w.o.Unknown):len(w.o.Unknown)], w.o.Cautions...)),
		"not water resistant") {
		b = append(b, cited{text: w.String(say.That("report.not-water-resistant"))})
	}
	if !mentions(say.Strings(w.o.Cautions), "radi", "lumin", "tritium") {
		b = append(b, cited{text: w.String(say.That("report.luminous-paint"))})
	}
	s.blocks = []block{b}
	return s
}

// mentions reports whether English texts have one of some words.
func mentions(texts []string, words ...string) bool {
	all := strings.ToLower(strings.Join(texts, "\n"))
	for _, w := range words {
		if strings.Contains(all, w) {
			return true
		}
	}
	return false
}

// scope says what was done, by counting the evidence.
func (w *writer) scope() section {
	s := section{id: "scope", title: w.String(say.That("report.what-was-done"))}
	if len(w.r.Items) == 0 {
		s.finding = w.String(say.That("report.no-evidence"))
		return s
	}
	count := map[evidence.Kind]int{}
	for _, it := range w.r.Items {
		count[it.Kind()]++
	}
	var kinds say.List
	for _, k := range evidence.Kinds() {
		if n := count[k]; n > 0 {
			kinds = append(kinds, say.That("report.kind", say.Name("kind", string(k)), say.Count("n", n)))
		}
	}
	s.finding = w.told(say.That("report.evidence", say.Count("n", len(w.r.Items)), say.All("kinds", kinds...)))
	if m := w.method(count[evidence.KindClaim] > 0); m != "" {
		s.blocks = []block{para{text: m}}
	}
	return s
}

// method says how the opinion came about: nothing of what was not done.
func (w *writer) method(claims bool) string {
	var out []string
	if w.o.Dating.Known && len(w.o.Parts) > 0 {
		out = append(out, w.String(say.That("report.how-dated")))
	}
	if w.o.Condition.Overall != nil {
		out = append(out, w.String(say.That("report.how-graded")))
	}
	if w.o.Value.Known {
		out = append(out, w.String(say.That("report.how-valued")))
	}
	if claims {
		out = append(out, w.String(say.That("report.claims-no-fact")))
	}
	return strings.Join(out, " ")
}

// limits are the limiting conditions: what the reader may not take the paper for.
func (w *writer) limits() section {
	opened := say.That("report.not-opened")
	if ids := w.openedBy(); len(ids) > 0 {
		opened = say.That("report.opened")
	}
	v := w.o.Value
	money := say.That("report.no-value")
	switch {
	case v.Known && v.Currency == "":
		money = say.That("report.prices-unnamed")
	case v.Known:
		money = say.That("report.prices-in", say.Name("currency", string(v.Currency)))
	}
	valid := say.That("report.valid-that-day")
	if !w.r.ValidUntil.IsZero() {
		valid = say.That("report.valid-until-day", say.Day("day", w.r.ValidUntil.Format(time.DateOnly)))
	}
	s := section{id: "limits", title: w.String(say.That("report.limiting-conditions")),
		finding: w.String(say.That("report.read-limits"))}
	b := w.bullets([]say.Statement{opened, say.That("report.originality-judged"), say.That("report.water-untested"),
		say.That("report.title-unexamined"), say.That("report.photographs-show"), say.That("report.hallmark-no-assay"),
		money, valid, say.That("report.valid-whole"), say.That("report.signer-may-sell")})
	b[0].cites = w.refs.cite(w.openedBy())
	s.blocks = []block{b}
	if w.r.Assigned == nil { // else the certification is signed
		s.blocks = append(s.blocks, w.signature())
	}
	return s
}

// signature is the line for the person who answers for the paper.
func (w *writer) signature() signing {
	return signing{w.String(say.That("report.for-issuer", say.Name("issuer", orElse(w.r.Shop.Name,
		w.String(say.That("report.issuer-unnamed")))), say.Name("day", w.dayWords(w.r.Issued)))),
		orElse(w.r.Shop.SignedBy, w.String(say.That("report.name-and-signature")))}
}

// openedBy finds the evidence that needs an open case.
func (w *writer) openedBy() (ids []evidence.ID) {
	for _, it := range w.r.Items {
		inside := false
		switch d := it.Data.(type) {
		case *evidence.Photo:
			inside = d.View == "movement" || d.View == "case_back_inside"
		case *evidence.Mark:
			inside = d.Slot == evidence.Movement || d.What == evidence.MarkMovementNumber
		case *evidence.Fitted:
			inside = d.Slot == evidence.Movement && d.Variant != evidence.Unknown
		case *evidence.Finding:
			inside = d.Slot == evidence.Movement
		}
		if inside {
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// basis lists what every number in the margin points to.
func (w *writer) basis() section {
	s := section{id: "basis", title: w.String(say.That("report.what-figures-rest-on")),
		finding: w.String(say.That("report.how-list-reads"))}
	s.blocks = append(s.blocks, w.evidenceTable())
	if b := w.refs.lists["book"]; len(b) > 0 {
		s.blocks = append(s.blocks, newIndex(w.String(say.That("report.reference-book")), "B", b))
	}
	if len(w.refs.lists["sale"]) > 0 {
		s.blocks = append(s.blocks, w.salesTable())
	}
	if g := w.refs.lists["setting"]; len(g) > 0 {
		s.blocks = append(s.blocks, newIndex(w.String(say.That("report.given")), "G", g))
	}
	s.blocks = append(s.blocks, w.logHead()...)
	return s
}

// logHead names the state of the evidence log that the paper was made from.
func (w *writer) logHead() []block {
	if w.r.LogHead == "" {
		return nil
	}
	return []block{para{note: true, text: w.String(say.That("report.log-head", say.Name("head", w.r.LogHead)))}}
}

func (w *writer) evidenceTable() table {
	t := table{caption: w.String(say.That("report.evidence-caption")), full: true, columns: []column{{"", 8, right},
		{w.String(say.That("report.what-column")), 83, left}, {w.String(say.That("report.item-column")), 44, left},
		{w.String(say.That("report.recorded-column")), 20, left}, {w.String(say.That("report.by-column")), 19, left}},
		empty: w.String(say.That("report.no-evidence-listed"))}
	for _, it := range w.r.Items {
		n := w.refs.number(opinion.Basis{Source: "evidence", ID: string(it.ID)})
		what := w.told(evidence.Described(it, w.r.ForShop)) + "."
		if it.Note != "" && w.r.ForShop {
			what += " " + opening(it.Note)
		}
		t.rows = append(t.rows, row{cells: []cell{{text: fmt.Sprint(n)}, {text: what}, {sub: string(it.ID)},
			{sub: w.dayShort(it.At)}, {sub: it.By}}})
	}
	listed := map[string]bool{}
	for _, it := range w.r.Items {
		listed[string(it.ID)] = true
	}
	for i, id := range w.refs.lists["evidence"] {
		if !listed[id] {
			t.rows = append(t.rows, row{cells: []cell{{text: fmt.Sprint(i + 1)},
				{text: w.String(say.That("report.cited-only"))}, {sub: id}, {text: "–"}}})
		}
	}
	return t
}

func newIndex(caption, letter string, ids []string) index {
	x := index{caption: caption, texts: ids}
	for i := range ids {
		x.codes = append(x.codes, fmt.Sprintf("%s%d", letter, i+1))
	}
	return x
}

func (w *writer) salesTable() table {
	by := map[string]opinion.Comparable{}
	for _, c := range w.o.Value.Comparables {
		by[c.Sale] = c
	}
	t := table{caption: w.String(say.That("report.sales-caption")), full: true, columns: []column{{"", 10, right},
		{w.String(say.That("report.sale-column")), 60, left}, {w.String(say.That("report.date-column")), 22, left},
		{w.String(say.That("report.watch-column")), 60, left}, {w.String(say.That("report.price-column")), 22, right}}}
	for i, id := range w.refs.lists["sale"] {
		c := by[id]
		price := "–"
		if c.Price != 0 {
			price = w.rounded(c.Price, 0)
		}
		t.rows = append(t.rows, row{cells: plain(fmt.Sprintf("S%d", i+1), id, orDash(w.Locale.Day(c.Date)),
			orDash(c.Title), price)})
	}
	return t
}

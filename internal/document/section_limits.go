package document

import (
	"fmt"
	"strings"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

func (w *writer) unknown() section {
	s := section{id: "unknown", title: "What was not examined"}
	if len(w.o.Unknown) == 0 {
		s.finding = "Nothing is recorded as unexamined. Whatever the list of evidence does not name was not examined."
		return s
	}
	s.finding = told(say.That("report.unexamined", say.Count("n", len(w.o.Unknown))))
	s.blocks = []block{says(say.Strings(w.o.Unknown))}
	return s
}

func (w *writer) cautions() section {
	s := section{id: "cautions", title: "Cautions", finding: "Local rules and licensed professionals come first."}
	b := says(say.Strings(w.o.Cautions))
	if !mentions(say.Strings(append(w.o.Unknown[:len(w.o.Unknown):len(w.o.Unknown)], w.o.Cautions...)),
		"not water resistant") {
		b = append(b,
			cited{text: "Treat the watch as not water resistant. Seals age; only a test on the day says more."})
	}
	if !mentions(say.Strings(w.o.Cautions), "radi", "lumin", "tritium") {
		b = append(b, cited{text: "Luminous material of this age may hold radium, promethium or tritium. Do not open the case, scrape or brush the material, or eat beside it; only a measurement tells what it is. Transport and disposal follow local rules."})
	}
	s.blocks = []block{b}
	return s
}

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
	s := section{id: "scope", title: "What was done"}
	if len(w.r.Items) == 0 {
		s.finding = "No evidence came with this report."
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
	s.finding = told(say.That("report.evidence", say.Count("n", len(w.r.Items)), say.All("kinds", kinds...)))
	if m := w.method(count[evidence.KindClaim] > 0); m != "" {
		s.blocks = []block{para{text: m}}
	}
	return s
}

// method says how the opinion came about: nothing of what was not done.
func (w *writer) method(claims bool) string {
	var out []string
	if w.o.Dating.Known && len(w.o.Parts) > 0 {
		out = append(out,
			"Date and parts were judged together, in one model over the months of the reference's production.")
	}
	if w.o.Condition.Overall != nil {
		out = append(out, "Condition was graded from the findings by a published rubric.")
	}
	if w.o.Value.Known {
		out = append(out, "Value follows the sales comparison approach beside a model of recorded sales.")
	}
	if claims {
		out = append(out, "Claims are kept on the record and never counted as fact.")
	}
	return strings.Join(out, " ")
}

// limits are the limiting conditions: what the reader may not take the paper for.
func (w *writer) limits() section {
	opened := "Nothing in the evidence shows that the case was opened; what lies inside was not seen."
	if ids := w.openedBy(); len(ids) > 0 {
		opened = "The case was open when what lies inside was recorded; nothing was taken apart for this report unless the evidence says so."
	}
	v := w.o.Value
	money := "No value is stated."
	if v.Known {
		money = "Prices are in " + orElse(string(v.Currency), "the currency stated") + ". The kind of value decides whether tax, premium or fees are included; tax was not assessed."
	}
	valid := "The opinion is valid on its effective date. Prices move, and further evidence can change any part of it."
	if !w.r.ValidUntil.IsZero() {
		valid = "The report is valid until " + dayWords(w.r.ValidUntil) + ". Prices move, and further evidence can change any part of it."
	}
	list := []string{
		opened,
		"Originality of parts is judged by comparison and probability; it is not proved.",
		"Water resistance was not tested unless the evidence holds a test, and is not warranted.",
		"Title was not examined and is not warranted. A register check is valid for its day only.",
		"Photographs show colour and surface only as far as light and camera allow.",
		"A hallmark is a mark, not an assay. Cases can be altered, re-marked or built from parts of several watches.",
		money,
		valid,
		"Valid only as a whole. Only the persons named may rely on it, and only for the stated purpose.",
		"This is not a licensed appraisal. The person who signs may be the seller of the watch.",
	}
	s := section{id: "limits", title: "Limiting conditions", finding: "Read these limits before you rely on this paper."}
	var b bullets
	for i, t := range list {
		c := cited{text: t}
		if i == 0 {
			c.cites = w.refs.cite(w.openedBy())
		}
		b = append(b, c)
	}
	s.blocks = []block{b}
	if w.r.Assigned == nil { // else the certification is signed
		s.blocks = append(s.blocks, w.signed())
	}
	return s
}

// signed is the line for the person who answers for the paper.
func (w *writer) signed() signing {
	return signing{orElse(w.r.Shop.Name, "the issuer, not stated"), orElse(w.r.Shop.SignedBy, "Name and signature"),
		dayWords(w.r.Issued)}
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
	s := section{id: "basis", title: "What the figures rest on", finding: "The numbers in the margin refer to this list: plain numbers are evidence, B is the reference book, S sales, G given settings."}
	s.blocks = append(s.blocks, w.evidenceTable())
	if b := w.refs.lists["book"]; len(b) > 0 {
		s.blocks = append(s.blocks, newIndex("Reference book", "B", b))
	}
	if len(w.refs.lists["sale"]) > 0 {
		s.blocks = append(s.blocks, w.salesTable())
	}
	if g := w.refs.lists["setting"]; len(g) > 0 {
		s.blocks = append(s.blocks, newIndex("Given", "G", g))
	}
	s.blocks = append(s.blocks, w.logHead()...)
	return s
}

// logHead names the state of the evidence log that the paper was made from.
func (w *writer) logHead() []block {
	if w.r.LogHead == "" {
		return nil
	}
	return []block{para{note: true, text: "Signed head of the evidence log: " + w.r.LogHead}}
}

func (w *writer) evidenceTable() table {
	t := table{caption: "Evidence, latest first", full: true, columns: []column{{"", 8, right},
		{"What was seen, measured or received", 83, left}, {"Item", 44, left}, {"Recorded", 20, left}, {"By", 19,
			left}}, empty: "No evidence is listed."}
	for _, it := range w.r.Items {
		n := w.refs.number(opinion.Basis{Source: "evidence", ID: string(it.ID)})
		what := told(evidence.Described(it, w.r.ForShop)) + "."
		if it.Note != "" && w.r.ForShop {
			what += " " + opening(it.Note)
		}
		t.rows = append(t.rows, row{cells: []cell{{text: fmt.Sprint(n)}, {text: what}, {sub: string(it.ID)},
			{sub: dayWords(it.At)}, {sub: it.By}}})
	}
	listed := map[string]bool{}
	for _, it := range w.r.Items {
		listed[string(it.ID)] = true
	}
	for i, id := range w.refs.lists["evidence"] {
		if !listed[id] {
			t.rows = append(t.rows, row{cells: []cell{{text: fmt.Sprint(i + 1)},
				{text: "Cited, but not part of the evidence given with this report."}, {sub: id}, {text: "–"}}})
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
	t := table{caption: "Sales", full: true, columns: []column{{"", 10, right}, {"Sale", 60, left}, {"Date", 22, left},
		{"Watch", 60, left}, {"Price", 22, right}}}
	for i, id := range w.refs.lists["sale"] {
		c := by[id]
		price := "–"
		if c.Price != 0 {
			price = rounded(c.Price, 0)
		}
		t.rows = append(t.rows, row{cells: plain(fmt.Sprintf("S%d", i+1), id, orDash(isoDayWords(c.Date)),
			orDash(c.Title), price)})
	}
	return t
}

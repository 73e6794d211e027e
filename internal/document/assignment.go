package document

import (
	"slices"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/say"
)

// Assignment is what a valuation is made for. Without it a figure of value has no reader who may rely on it.
type Assignment struct {
	Purpose     string        // one of Purposes
	Users       string        // who may rely on it
	Basis       market.Basis  // the kind of value
	Effective   time.Time     // the day that the value is of
	Assumptions []string      // what else was taken as given, one sentence each
	Interest    say.Statement // what the issuer has to do with the watch, a sentence
}

// Use is a purpose of a valuation.
type Use struct {
	ID     string
	Name   say.Statement
	Basis  market.Basis  // the kind of value that is usual for it
	Advice say.Statement // what the reader should know
}

// Uses are the purposes for which a valuation is made. The kind of value usual for each is common practice, no
// published source; local rules and whoever asks for the paper decide.
func Uses() []Use {
	return []Use{
		{"insurance", say.That("valuation.insurance"), market.Insurance, say.That("valuation.insurance-advice")},
		{"estate", say.That("valuation.estate"), market.AuctionHammer, say.That("valuation.estate-advice")},
		{"sale", say.That("valuation.sale"), market.Retail, say.That("valuation.sale-advice")},
		{"loan", say.That("valuation.loan"), market.Trade, say.That("valuation.loan-advice")},
	}
}

// UseOf is the use of an id; false where there is none.
func UseOf(id string) (Use, bool) {
	all := Uses()
	i := slices.IndexFunc(all, func(u Use) bool { return u.ID == id })
	if i < 0 {
		return Use{}, false
	}
	return all[i], true
}

// Usual is the assignment with what is usual where nothing was said: the kind of value of its purpose, and today.
func (a Assignment) Usual(today time.Time) Assignment {
	if use, ok := UseOf(a.Purpose); ok && a.Basis == "" {
		a.Basis = use.Basis
	}
	if a.Effective.IsZero() {
		a.Effective = today
	}
	return a
}

// Check says what an assignment lacks or has wrong. today bounds the effective day.
func (a Assignment) Check(today time.Time) (out evidence.Problems) {
	_, known := UseOf(a.Purpose)
	if !known {
		var ids []string
		for _, u := range Uses() {
			ids = append(ids, u.ID)
		}
		out = append(out, evidence.Problem{Field: "purpose", Found: orElse(a.Purpose, "nothing"),
			Want: "one of " + strings.Join(ids, ", ")})
	}
	if strings.TrimSpace(a.Users) == "" {
		out = append(out, evidence.Problem{Field: "for", Found: "nothing",
			Want: "who may rely on it, such as “the owner and the insurer of the household”"})
	}
	if a.Basis.Definition().IsZero() && (known || a.Basis != "") { // the usual one follows from the purpose
		out = append(out, evidence.Problem{Field: "basis", Found: orElse(string(a.Basis), "nothing"),
			Want: "a kind of value: retail, trade, private, auction-hammer, auction-all-in or insurance"})
	}
	switch {
	case a.Effective.IsZero():
		out = append(out, evidence.Problem{Field: "effective", Found: "nothing",
			Want: "the day that the value is of, such as 2026-03-01"})
	case a.Effective.After(today):
		out = append(out, evidence.Problem{Field: "effective", Found: a.Effective.Format(time.DateOnly),
			Want: "today or a day before: nobody can state what a day to come will bring"})
	}
	return out
}

// valuing writes what a valuation says beyond the value.
type valuing struct {
	*writer
	a   Assignment
	use Use
}

func (w *writer) valuing() valuing {
	u, _ := UseOf(w.r.Assigned.Purpose)
	return valuing{w, *w.r.Assigned, u}
}

func (w valuing) purposeWords() string { return w.String(w.use.Name) }

// assigned is what the valuation is for, before any figure.
func (w valuing) assigned() section {
	a := w.a
	s := section{id: "assigned", title: w.String(say.That("valuation.made-for")),
		finding: w.String(say.That("valuation.for-whom", say.Saying("purpose", w.use.Name),
			say.Name("users", a.Users)))}
	f := facts{
		{name: w.String(say.That("report.purpose")), text: w.purposeWords()},
		{name: w.String(say.That("valuation.who-may-rely")), text: a.Users},
		{name: w.String(say.That("report.kind-of-value")),
			text: say.Capital(w.Value(kindOfValue("", string(a.Basis)).Value, ""))},
		{name: w.String(say.That("report.meaning")), text: w.told(a.Basis.Definition())},
		{name: w.String(say.That("valuation.market")), text: w.String(say.That("valuation.market-is"))},
		{name: w.String(say.That("valuation.day-of-value")), text: w.dayWords(a.Effective)},
		{name: w.String(say.That("valuation.day-of-paper")), text: w.dayWords(w.r.Issued)},
		{name: w.String(say.That("valuation.examined")), text: w.examined()},
		{name: w.String(say.That("report.interest-valued")), text: w.String(say.That("report.full-ownership"))},
	}
	s.blocks = []block{f, para{note: true, text: w.String(w.use.Advice)}}
	return s
}

// examining are the kinds of evidence that somebody had the watch in his hands for.
var examining = []evidence.Kind{evidence.KindFinding, evidence.KindFitted, evidence.KindMark, evidence.KindDimension,
	evidence.KindWeighing, evidence.KindRate, evidence.KindRecording}

// inspected is who recorded what was seen or measured, and from which day to which.
func (w valuing) inspected() (by []string, first, last time.Time) {
	for _, it := range w.r.Items {
		if !slices.Contains(examining, it.Kind()) {
			continue
		}
		if it.By != "" && !slices.Contains(by, it.By) {
			by = append(by, it.By)
		}
		if first.IsZero() || it.At.Before(first) {
			first = it.At
		}
		if it.At.After(last) {
			last = it.At
		}
	}
	slices.Sort(by)
	return by, first, last
}

func (w valuing) examined() string {
	by, first, last := w.inspected()
	if last.IsZero() {
		return w.String(say.That("valuation.not-examined"))
	}
	on := w.dayWords(last)
	if from := w.dayWords(first); from != on {
		on = w.String(say.That("report.from-to", say.Name("low", from), say.Name("high", on)))
	}
	if len(by) == 0 {
		return on
	}
	return w.String(say.That("valuation.recorded-by", say.Name("days", on), say.Name("by", strings.Join(by, ", "))))
}

// approaches says which ways to a value were taken, and why not the others.
func (w valuing) approaches() section {
	s := section{id: "approaches", title: w.String(say.That("valuation.how-reached")),
		finding: w.String(say.That("valuation.by-comparing"))}
	s.blocks = []block{facts{
		{name: w.String(say.That("valuation.comparing")), text: w.String(say.That("valuation.comparing-used"))},
		{name: w.String(say.That("valuation.making")), text: w.String(say.That("valuation.making-unused"))},
		{name: w.String(say.That("valuation.income")), text: w.String(say.That("valuation.income-unused"))},
	}}
	return s
}

// assumed are the assumptions, those first that could change the figure if they are not so.
func (w valuing) assumed() section {
	a := w.a
	s := section{id: "assumed", title: w.String(say.That("valuation.what-assumed")),
		finding: w.String(say.That("valuation.if-not-so"))}
	var all []say.Statement
	_, _, last := w.inspected()
	effective, seen := a.Effective.Format(time.DateOnly), last.Format(time.DateOnly)
	switch {
	case last.IsZero():
		all = append(all, say.That("valuation.as-described"))
	case effective == seen:
	case a.Effective.Before(last):
		all = append(all, say.That("valuation.was-as-found", say.Day("effective", effective), say.Day("seen", seen)))
	default:
		all = append(all, say.That("valuation.unchanged-since", say.Day("seen", seen), say.Day("effective", effective)))
	}
	if len(w.openedBy()) == 0 {
		all = append(all, say.That("valuation.inside-as-it-should"))
	}
	all = append(all, say.That("valuation.papers-true"), say.That("valuation.may-sell"))
	for _, t := range a.Assumptions {
		all = append(all, say.Verbatim(strings.TrimSpace(t)))
	}
	s.blocks = []block{w.bullets(append(all, say.That("valuation.nothing-untrue")))}
	return s
}

// certified is what the person who signs answers for.
func (w valuing) certified() section {
	s := section{id: "certified", title: w.String(say.That("valuation.certification")), whole: true,
		finding: w.String(say.That("valuation.to-be-signed"))}
	interest := w.a.Interest
	if interest.IsZero() {
		interest = say.That("valuation.interest-blank")
	}
	seen := say.That("valuation.i-examined")
	if by, _, _ := w.inspected(); len(by) == 0 {
		seen = say.That("valuation.i-did-not-examine")
	}
	s.blocks = []block{w.bullets([]say.Statement{say.That("valuation.facts-true"), say.That("valuation.opinions-own"),
		interest, say.That("valuation.fee-apart"), seen, say.That("valuation.by-program"),
		say.That("valuation.no-licence")}), w.signature()}
	return s
}

// element is what published standards ask of a valuation, and the id of the section in which it stands.
type element struct {
	asked   say.Statement
	section string
}

// valuationElements is what published standards ask of such a report, and the section in which each stands. The
// clauses are those of USPAP, standards rule 8-2, and of the International Valuation Standards on reporting, from
// memory; read the edition in force. Their names in other languages are from memory, too.
var valuationElements = []element{
	{say.That("valuation.element-users"), "assigned"},
	{say.That("valuation.element-purpose"), "assigned"},
	{say.That("valuation.element-object"), "identity"},
	{say.That("valuation.element-interest"), "assigned"},
	{say.That("valuation.element-kind"), "assigned"},
	{say.That("valuation.element-days"), "assigned"},
	{say.That("valuation.element-market"), "assigned"},
	{say.That("valuation.element-value"), "value"},
	{say.That("valuation.element-ways"), "approaches"},
	{say.That("valuation.element-data"), "value"},
	{say.That("valuation.element-extent"), "scope"},
	{say.That("valuation.element-unexamined"), "unknown"},
	{say.That("valuation.element-assumptions"), "assumed"},
	{say.That("valuation.element-limits"), "limits"},
	{say.That("valuation.element-signed"), "certified"},
}

// elements says where a reader finds what published standards ask for.
func (w valuing) elements(sections []section) section {
	s := section{id: "elements", title: w.String(say.That("valuation.where-to-find")),
		finding: w.String(say.That("valuation.what-standards-ask"))}
	t := table{columns: []column{{w.String(say.That("valuation.element-column")), 70, left},
		{w.String(say.That("valuation.section-column")), 66, left}}}
	for _, e := range valuationElements {
		for _, in := range sections {
			if in.id == e.section {
				t.rows = append(t.rows, row{cells: plain(w.String(e.asked), in.title)})
			}
		}
	}
	s.blocks = []block{t}
	return s
}

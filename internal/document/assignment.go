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
	Purpose     string       // one of Purposes
	Users       string       // who may rely on it
	Basis       market.Basis // the kind of value
	Effective   time.Time    // the day that the value is of
	Assumptions []string     // what else was taken as given, one sentence each
	Interest    string       // what the issuer has to do with the watch, a sentence
}

// Use is a purpose of a valuation.
type Use struct {
	ID     string
	Name   string
	Basis  market.Basis // the kind of value that is usual for it
	Advice string       // what the reader should know
}

// Uses are the purposes for which a valuation is made. The kind of value usual for each is common practice, no
// published source; local rules and whoever asks for the paper decide.
func Uses() []Use {
	return []Use{
		{"insurance", "Insurance", market.Insurance,
			"An insurer's terms say which value it pays by; an agreed value is agreed by the policy, not by this paper."},
		{"estate", "Estate or gift", market.AuctionHammer,
			"Which value a tax office accepts, and of which day, follows local law; ask who settles the estate."},
		{"sale", "Sale", market.Retail,
			"A buyer or seller may come to another price: it is no offer and binds nobody to buy or sell."},
		{"loan", "Loan on the watch", market.Trade,
			"What a forced sale brings can lie under it; a lender makes his own deduction."},
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

// assigned is what the valuation is for, before any figure.
func (w valuing) assigned() section {
	a, use := w.a, w.use
	s := section{id: "assigned", title: "What it is made for",
		finding: use.Name + ", for " + a.Users + ". Nobody else may rely on it, nor for anything else."}
	f := facts{
		{name: "Purpose", text: use.Name},
		{name: "Who may rely on it", text: a.Users},
		{name: "Kind of value", text: say.Capital(kindWords(string(a.Basis)))},
		{name: "Meaning", text: told(a.Basis.Definition())},
		{name: "Market", text: "the recorded sales that stand under “What it is worth”, each with its day and place"},
		{name: "Day of the value", text: dayWords(a.Effective)},
		{name: "Day of the paper", text: dayWords(w.r.Issued)},
		{name: "Examined", text: w.examined()},
		{name: "Interest valued", text: "full ownership, assumed free of claims; title was not examined"},
	}
	s.blocks = []block{f, para{note: true, text: use.Advice}}
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
		return "not: nothing was recorded from the watch itself"
	}
	on := dayWords(first) + " to " + dayWords(last)
	if dayWords(first) == dayWords(last) {
		on = dayWords(last)
	}
	return on + after(", recorded by ", strings.Join(by, ", "))
}

// approaches says which ways to a value were taken, and why not the others.
func (w valuing) approaches() section {
	s := section{id: "approaches", title: "How the value was reached",
		finding: "By comparing sales. The other two ways to a value say nothing of an old watch."}
	s.blocks = []block{facts{
		{name: "Comparing sales", text: "used: recorded sales of the reference and of watches like it, each moved to this watch's metal, condition, parts and papers and to the day of the value, beside a model of all recorded sales"},
		{name: "Cost of making one", text: "not used: nobody makes it any more, and what it would cost to make is not what it is bought for"},
		{name: "Income", text: "not used: a watch earns none"},
	}}
	return s
}

// assumed are the assumptions, those first that could change the figure if they are not so.
func (w valuing) assumed() section {
	a := w.a
	s := section{id: "assumed", title: "What was assumed",
		finding: "If one of these is not so, the value can be another."}
	var b bullets
	_, _, last := w.inspected()
	switch {
	case last.IsZero():
		b = append(b, cited{text: "The watch is as it was described; it was not seen for this valuation."})
	case sameDay(last, a.Effective):
	case a.Effective.Before(last):
		b = append(b, cited{text: "On " + dayWords(a.Effective) + " the watch was as it was found when it was examined, up to " +
			dayWords(last) + "."})
	default:
		b = append(b, cited{text: "Nothing about the watch has changed from " + dayWords(last) +
			", when it was last examined, to " + dayWords(a.Effective) + "."})
	}
	if len(w.openedBy()) == 0 {
		b = append(b, cited{text: "What lies inside the case, which was not opened, is as it should be for the reference and runs as it sounds."})
	}
	b = append(b, cited{text: "What the papers and receipts say is true, where nothing in the watch speaks against it."},
		cited{text: "The owner may sell it, and nobody else has a claim on it."})
	for _, t := range a.Assumptions {
		if t = opening(strings.TrimSpace(t)); t != "" {
			b = append(b, cited{text: t})
		}
	}
	b = append(b, cited{text: "Nothing was assumed that is known to be untrue."})
	s.blocks = []block{b}
	return s
}

func sameDay(a, b time.Time) bool { return a.Format(time.DateOnly) == b.Format(time.DateOnly) }

// certified is what the person who signs answers for.
func (w valuing) certified() section {
	a := w.a
	s := section{id: "certified", title: "Certification", whole: true,
		finding: "To be signed by the person who answers for the value. Strike out what is not so before you sign."}
	interest := orElse(a.Interest, "What I or my firm have to do with the watch beyond this paper: ____________________.")
	seen := "I have examined the watch myself on the days given, or rely on the records of those named."
	if by, _, _ := w.inspected(); len(by) == 0 {
		seen = "I have not examined the watch."
	}
	var b bullets
	for _, t := range []string{
		"What this paper states as fact is true to the best of my knowledge.",
		"The opinions are my own, and only the assumptions and limits stated here bound them.",
		opening(interest),
		"My fee does not depend on the value, nor on what comes of this paper.",
		seen,
		"The figures and ranges were computed by a program from recorded sales and from the evidence listed; I have read them and stand by them.",
		"I am not a licensed appraiser unless it is written under my name.",
	} {
		b = append(b, cited{text: t})
	}
	s.blocks = []block{b, w.signed()}
	return s
}

// valuationElements is what published standards ask of such a report, and the section in which each stands. The
// clauses are those of USPAP, standards rule 8-2, and of the International Valuation Standards on reporting, from
// memory; read the edition in force.
var valuationElements = [][2]string{
	{"Client and who may rely on it", "assigned"},
	{"Purpose and use", "assigned"},
	{"The object, so that it is known again", "identity"},
	{"The interest valued", "assigned"},
	{"Kind of value, with its definition", "assigned"},
	{"Day of the value and day of the paper", "assigned"},
	{"Market in which", "assigned"},
	{"Value, with its currency", "value"},
	{"How it was reached, and ways not taken", "approaches"},
	{"Data it rests on", "value"},
	{"Extent of the examination", "scope"},
	{"What was not examined", "unknown"},
	{"Assumptions, extraordinary and hypothetical", "assumed"},
	{"Limiting conditions", "limits"},
	{"Certification, signed", "certified"},
}

// elements says where a reader finds what published standards ask for.
func (w valuing) elements(sections []section) section {
	s := section{id: "elements", title: "Where to find it",
		finding: "What USPAP (standards rule 8-2) and the International Valuation Standards ask of such a paper, and where it stands. That it stands here does not make it a licensed appraisal."}
	t := table{columns: []column{{"Element", 70, left}, {"Section", 66, left}}}
	for _, e := range valuationElements {
		for _, in := range sections {
			if in.id == e[1] {
				t.rows = append(t.rows, row{cells: plain(e[0], in.title)})
			}
		}
	}
	s.blocks = []block{t}
	return s
}

package opinion

import (
	"slices"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/say"
)

// summarise writes the one sentence and its parts.
func (f *forming) summarise() {
	var c []Clause
	add := func(section string, text say.Statement) {
		if !text.IsZero() {
			c = append(c, Clause{section, text})
		}
	}
	add("dating", f.dateClause())
	add("parts", f.partsClause())
	add("value", f.valueClause())
	add("deal", f.dealClause())
	f.out.Summary = Summary{Clauses: c}
	f.out.Summary.Sentence = f.out.Summary.Without()
}

// Without is the sentence without the clauses on some sections, such as "deal" on a
// paper that leaves the shop.
func (s Summary) Without(sections ...string) say.Statement {
	var all say.List
	for _, c := range s.Clauses {
		if !slices.Contains(sections, c.Section) {
			all = append(all, c.Text)
		}
	}
	if len(all) == 0 {
		return s.Sentence
	}
	clauses := say.That("summary.clauses", say.All("clauses", all...))
	return say.That("summary.sentence", say.Saying("clauses", clauses))
}

func (f *forming) dateClause() say.Statement {
	d := f.out.Dating
	if !d.Known {
		return say.That("summary.date-unknown")
	}
	for _, it := range d.Items {
		if it.Disagrees && it.Kind == "serial" {
			return say.That("summary.made-serial-disagrees", made("made", d))
		}
	}
	if len(d.Ranges) > 1 {
		return say.That("summary.made-either", say.All("ranges", RangesSay(d)...))
	}
	return say.That("summary.made", made("made", d))
}

// RangesSay are the ranges that the evidence leaves open, each with its chance.
func RangesSay(d Dating) []say.Value {
	var out []say.Value
	for _, x := range d.Ranges {
		out = append(out, say.That("dating.range", say.Span("made", x.Interval[0], x.Interval[1]),
			say.Chance("chance", x.P)))
	}
	return out
}

// made is when a watch was made.
func made(name string, d Dating) say.Arg { return say.Span(name, d.Interval90[0], d.Interval90[1]) }

func (f *forming) partsClause() say.Statement {
	by := map[string]say.List{}
	judged := 0
	for _, p := range f.out.Parts {
		by[p.Verdict] = append(by[p.Verdict], slotNoun(p.Slot))
		if p.POriginal != nil {
			judged++
		}
	}
	var out say.List
	for _, verdict := range Troubles() {
		if len(by[verdict]) > 0 {
			out = append(out, PartsSay(verdict, by[verdict]))
		}
	}
	if len(out) > 0 {
		return say.That("summary.troubles", say.All("troubles", out...))
	}
	return partsThatFit(judged, by)
}

// PartsSay says of parts, which all have the verdict, what that is.
func PartsSay(verdict string, slots say.List) say.Statement {
	switch verdict {
	case DoesNotBelong:
		return say.That("summary.wrong", say.All("slots", slots...))
	case ProbablyReplaced:
		return say.That("summary.later", say.All("slots", slots...))
	case Redone:
		return say.That("summary.redone", say.All("slots", slots...))
	case Missing:
		return say.That("summary.missing", say.All("slots", slots...))
	case CannotTell:
		return say.That("summary.all-open", say.All("slots", slots...))
	case ProbablyOriginal:
		return say.That("summary.probably-original", say.All("slots", slots...))
	case NotExamined:
		return say.That("summary.not-examined", say.All("slots", slots...))
	case NotJudged:
		return say.That("summary.not-judged", say.All("slots", slots...))
	}
	return say.That("summary.fit", say.All("slots", slots...))
}

// partsThatFit speaks of parts with which nothing is wrong.
func partsThatFit(judged int, by map[string]say.List) say.Statement {
	open := by[CannotTell]
	switch {
	case judged == 0:
		return say.That("summary.none-judged")
	case len(open) == judged:
		return PartsSay(CannotTell, open)
	case len(by[Fits]) < judged:
		return say.That("summary.some-open", say.Count("fit", len(by[Fits])), say.Count("judged", judged),
			say.Count("open", judged-len(by[Fits])))
	}
	return say.That("summary.all-fit", say.Count("judged", judged))
}

// slotNoun is the name of a slot.
func slotNoun(slot evidence.Slot) say.Noun { return say.Noun{Set: "slot", ID: string(slot)} }

// slotArg is the name of a slot as an argument.
func slotArg(name string, slot evidence.Slot) say.Arg {
	return say.Arg{Name: name, Value: slotNoun(slot)}
}

func (f *forming) valueClause() say.Statement {
	v := f.out.Value
	if !v.Known {
		return say.That("summary.value-unknown")
	}
	i := v.Interval["80"]
	return say.That("summary.worth", say.Valued("value", *v.Median, estimate.Interval{i[0], i[1]}, v.Currency),
		say.Term("basis", "basis", v.Kind, ""))
}

func (f *forming) dealClause() say.Statement {
	d := f.out.Deal
	switch {
	case !d.Known || d.HighestPrice == nil:
		return say.Statement{}
	case d.HighestPrice.Sign() <= 0:
		return say.That("summary.no-price")
	}
	return say.That("summary.pay", say.Money("price", *d.HighestPrice))
}

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
	return say.That("summary.made", made("made", d))
}

// made is when a watch was made.
func made(name string, d Dating) say.Arg { return say.Span(name, d.Interval90[0], d.Interval90[1]) }

func (f *forming) partsClause() say.Statement {
	var later, wrong, missing, open say.List
	judged := 0
	for _, p := range f.out.Parts {
		slot := slotNoun(p.Slot)
		switch p.Verdict {
		case ProbablyLater:
			later = append(later, slot)
		case DoesNotFit:
			wrong = append(wrong, slot)
		case Missing:
			missing = append(missing, slot)
		}
		if p.POriginal != nil {
			judged++
			if p.Verdict == CannotTell {
				open = append(open, slot)
			}
		}
	}
	var out say.List
	if len(wrong) > 0 {
		out = append(out, say.That("summary.wrong", say.All("slots", wrong...)))
	}
	if len(later) > 0 {
		out = append(out, say.That("summary.later", say.All("slots", later...)))
	}
	if len(missing) > 0 {
		out = append(out, say.That("summary.missing", say.All("slots", missing...)))
	}
	if len(out) > 0 {
		return say.That("summary.troubles", say.All("troubles", out...))
	}
	return partsThatFit(judged, open)
}

// partsThatFit speaks of parts with which nothing is wrong.
func partsThatFit(judged int, open say.List) say.Statement {
	switch {
	case judged == 0:
		return say.That("summary.none-judged")
	case len(open) == judged:
		return say.That("summary.all-open", say.All("slots", open...))
	case len(open) > 0:
		return say.That("summary.some-open", say.Count("fit", judged-len(open)), say.Count("judged", judged),
			say.Count("open", len(open)))
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

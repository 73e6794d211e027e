package opinion

import (
	"fmt"
	"strings"

	"midcase/evidence"
)

// summarise writes the one sentence and its parts.
func (f *forming) summarise() {
	var c []Clause
	add := func(section, text string) {
		if text != "" {
			c = append(c, Clause{section, text})
		}
	}
	add("dating", f.dateClause())
	add("parts", f.partsClause())
	add("value", f.valueClause())
	add("deal", f.dealClause())
	texts := make([]string, len(c))
	for i := range c {
		texts[i] = c[i].Text
	}
	s := strings.Join(texts, "; ")
	if s != "" {
		s = strings.ToUpper(s[:1]) + s[1:] + "."
	}
	f.out.Summary = Summary{Sentence: s, Clauses: c}
}

func (f *forming) dateClause() string {
	d := f.out.Dating
	if !d.Known {
		return "date not known"
	}
	text := "made " + within(d.Interval90)
	for _, it := range d.Items {
		if it.Disagrees && it.Kind == "serial" {
			return text + ", but the serial number disagrees with the parts"
		}
	}
	return text
}

func (f *forming) partsClause() string {
	var later, wrong, missing []string
	var open []string
	judged := 0
	for _, p := range f.out.Parts {
		switch p.Verdict {
		case ProbablyLater:
			later = append(later, p.Slot.Name())
		case DoesNotFit:
			wrong = append(wrong, p.Slot.Name())
		case Missing:
			missing = append(missing, p.Slot.Name())
		}
		if p.POriginal != nil {
			judged++
			if p.Verdict == CannotTell {
				open = append(open, p.Slot.Name())
			}
		}
	}
	var out []string
	if len(wrong) > 0 {
		out = append(out, join(wrong)+verb(wrong, " does not fit", " do not fit"))
	}
	if len(later) > 0 {
		out = append(out, join(later)+verb(later, " is probably later", " are probably later"))
	}
	if len(missing) > 0 {
		out = append(out, join(missing)+verb(missing, " is missing", " are missing"))
	}
	if len(out) == 0 {
		switch {
		case judged == 0:
			return "no part has been judged yet"
		case len(open) == judged:
			return "whether " + join(open) + verb(open, " belongs", " belong") + " cannot be told"
		case len(open) > 0:
			return fmt.Sprintf("%d of the %d parts looked at fit, %d cannot be told", judged-len(open), judged, len(open))
		case judged == 1:
			return "the one part looked at fits"
		}
		return fmt.Sprintf("all %d parts looked at fit", judged)
	}
	return strings.Join(out, ", ")
}

// verb picks the singular or plural; slots named in the plural count as plural.
func verb(slots []string, one, many string) string {
	if len(slots) > 1 {
		return many
	}
	switch slots[0] {
	case evidence.Hands.Name(), evidence.Pushers.Name(), evidence.EndPieces.Name(), evidence.Papers.Name():
		return many
	}
	return one
}

func (f *forming) valueClause() string {
	v := f.out.Value
	if !v.Known {
		return "value not known"
	}
	i := v.Interval["80"]
	return fmt.Sprintf("worth %s to %s %s %s", amount(i[0]), amount(i[1]), v.Currency, basisWords(v.Kind))
}

func (f *forming) dealClause() string {
	d := f.out.Deal
	if !d.Known || d.HighestPrice == nil {
		return ""
	}
	if d.HighestPrice.Sign() <= 0 {
		return "no price leaves the wanted margin"
	}
	return "pay no more than " + amount(d.HighestPrice.Float())
}

func basisWords(kind string) string {
	switch kind {
	case "retail":
		return "at retail"
	case "trade":
		return "in the trade"
	case "private":
		return "between private people"
	case "auction-hammer":
		return "at auction, hammer price"
	case "auction-all-in":
		return "at auction with the buyer's premium"
	case "insurance":
		return "to replace at retail"
	}
	return ""
}

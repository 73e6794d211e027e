package cli

import (
	"fmt"
	"strings"

	"midcase/estimate"
	"midcase/opinion"
	"midcase/say"
)

// printOpinion writes an opinion for reading in a terminal: the sentence, then each
// finding with its grounds.
func (a *app) printOpinion(o opinion.Opinion) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	head := func(s string) { line("\n%s", a.bold(s)) }
	line("%s", a.bold(o.Watch.Title))
	line("as of %s\n", o.AsOf)
	line("%s", o.Summary.Sentence)

	if len(o.Disagreements) > 0 {
		head("What disagrees")
		for _, x := range o.Disagreements {
			line("   %s  [%s, %s]", x.Says, x.One.ID, x.Other.ID)
		}
	}

	head("Date")
	if !o.Dating.Known {
		line("  Cannot tell: %s.", o.Dating.CannotTell)
	}
	if len(o.Dating.Ranges) > 1 {
		for _, x := range opinion.RangesSay(o.Dating) {
			line("  %v", x)
		}
	}
	for _, it := range o.Dating.Items {
		mark, word := " ", "agrees"
		if it.Disagrees {
			mark, word = "!", "disagrees"
		}
		line(" %s %s  (%s, %s)  [%s]", mark, it.Says, word, estimate.Percent(it.SurpriseP), it.Evidence)
		if !it.Doubt.IsZero() {
			line("     %s", it.Doubt)
		}
	}

	head("Parts")
	var unseen []string
	for _, p := range o.Parts {
		if len(p.Evidence) == 0 {
			unseen = append(unseen, p.Slot.Name())
			continue
		}
		chance := ""
		if p.POriginal != nil {
			chance = ", " + estimate.Percent(*p.POriginal)
		}
		line("   %-11s %-22s %s", p.Slot.Name(), p.Verdict+chance, p.VariantName)
		if p.Verdict != opinion.Fits {
			for _, r := range p.Reasons {
				line("               %s", r)
			}
		}
	}
	if len(unseen) > 0 {
		line("   not examined yet: %s", strings.Join(unseen, ", "))
	}
	a.printRest(&b, o)
	_, err := fmt.Fprint(a.out, b.String())
	return err
}

func (a *app) printRest(b *strings.Builder, o opinion.Opinion) {
	line := func(format string, args ...any) { fmt.Fprintf(b, format+"\n", args...) }
	head := func(s string) { line("\n%s", a.bold(s)) }
	head("Condition")
	if c := o.Condition; c.Overall != nil {
		line("   %s of 10 (%s): %s", figure(*c.Overall, 1), span(c.Interval[0], c.Interval[1], 1), c.Words)
	} else {
		line("   Cannot tell overall.")
	}
	for _, s := range o.Condition.Slots {
		if s.Grade != nil {
			line("   %-11s %.1f  %s", s.Slot.Name(), *s.Grade, strings.Join(say.Strings(s.Reasons), "; "))
		}
	}
	head("Value")
	if v := o.Value; v.Known {
		i := v.Interval["80"]
		line("   %s, 80 %% range %s (%s; median; from %s sales, %s of this reference)",
			price(*v.Median, i, v.Currency, "value"), price(*v.Median, i, "", "range"), v.Kind,
			figure(float64(v.SalesUsed), 0), figure(float64(v.SalesOfReference), 0))
	} else {
		line("   Cannot tell: %s.", v.CannotTell)
	}
	if d := o.Deal; d.Known {
		for _, s := range d.Says {
			line("   %s", s)
		}
	}
	if !o.Metal.Says.IsZero() {
		head("Metal")
		line("   %s", o.Metal.Says)
	}
	if len(o.Unknown) > 0 {
		head("What is not known")
	}
	for _, u := range o.Unknown {
		line("   %s", u)
	}
	head("Cautions")
	for _, c := range o.Cautions {
		line("   %s", c)
	}
}

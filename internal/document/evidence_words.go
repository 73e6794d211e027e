package document

import (
	"fmt"
	"strings"

	"midcase/evidence"
)

// itemWords says in one line what an item of evidence holds. What a seller asks
// and what work cost is kept inside the shop.
func itemWords(it evidence.Item, inside bool) string {
	var s string
	switch d := it.Data.(type) {
	case *evidence.Mark:
		s = markWords(d)
	case *evidence.Fitted:
		s = fittedWords(d)
	case *evidence.Finding:
		s = findingWords(d)
	case *evidence.Dimension:
		s = dimensionWords(d)
	case *evidence.Weighing:
		s = fmt.Sprintf("%s weighed in %s: %s", underscored(d.What), d.In,
			within(d.G, around(d.G, d.PlusMinusG), "g", 2))
	case *evidence.Rate:
		s = rateWords(d)
	case *evidence.Recording:
		s = "sound of the tick" + after(", ", positionWords(d.Position)) + nonzero(", lift angle %s°", d.LiftAngleDeg,
			0)
	case *evidence.Photo:
		s = photoWords(d)
	case *evidence.Reading:
		s = readingWords(d)
	case *evidence.Document:
		s = documentWords(d)
	case *evidence.Claim:
		s = claimWords(d, inside)
	case *evidence.Work:
		s = workWords(d, inside)
	case *evidence.Comparison:
		s = fmt.Sprintf("%s: %s, compared with the %s of watch %s", d.Slot.Name(), d.Result, d.Slot.Name(), d.Other)
	case *evidence.Check:
		s = fmt.Sprintf("register check, %s: %s", d.Register, d.Result) + after(", on ",
			d.Date.String()) + after(", number ", d.Reference)
	case *evidence.Withdrawal:
		s = fmt.Sprintf("withdrawal of %s: %s", d.Of, d.Reason)
	default:
		s = "item of an unknown kind"
	}
	return s
}

func after(sep, s string) string {
	if s == "" {
		return ""
	}
	return sep + s
}

func nonzero(format string, x float64, places int) string {
	if x == 0 {
		return ""
	}
	return fmt.Sprintf(format, rounded(x, places))
}

func around(x, plusMinus float64) [2]float64 { return [2]float64{x - plusMinus, x + plusMinus} }

func underscored(s string) string { return strings.ReplaceAll(s, "_", " ") }

// photoWords names what a photograph shows once.
func photoWords(p *evidence.Photo) string {
	if view := viewWords(p.View); !strings.EqualFold(view, p.Caption) {
		return "photograph, " + view + after(": ", p.Caption)
	}
	return "photograph, " + p.Caption
}

func viewWords(view string) string {
	if view == "" {
		return "view not stated"
	}
	return underscored(view)
}

func markWords(m *evidence.Mark) string {
	s := underscored(m.What)
	if m.Slot != "" {
		s += " on the " + m.Slot.Name()
	}
	s += ": “" + m.Text + "”"
	if m.Confidence > 0 {
		s += " (" + percent(m.Confidence) + " sure)"
	}
	return s
}

func fittedWords(f *evidence.Fitted) string {
	if f.Absent {
		return f.Slot.Name() + ": checked, missing"
	}
	s := f.Slot.Name() + " fitted: "
	if f.Variant == evidence.Unknown {
		s += "version not identified"
	} else {
		s += f.Variant
	}
	s += after(", ", f.Description) + after(", in ", f.Metal)
	if f.Confidence > 0 {
		s += " (" + percent(f.Confidence) + " sure)"
	}
	return s
}

func findingWords(f *evidence.Finding) string {
	s := f.Slot.Name() + ": " + underscored(f.Term)
	if f.Severity == 0 {
		s += ", good"
	} else {
		s += fmt.Sprintf(", severity %d of 4", f.Severity)
	}
	if f.Extent > 0 {
		s += ", " + percent(f.Extent) + " of the part"
	}
	return s + after(", ", f.Where) + after("; ", f.Note)
}

func dimensionWords(d *evidence.Dimension) string {
	s := underscored(d.What) + ": " + within(d.MM, around(d.MM, d.PlusMinusMM), "mm", 2)
	s += nonzero(" over a free length of %s"+nbsp+"mm", d.FreeLengthMM, 0)
	if d.Links > 0 {
		s += " over " + rounded(float64(d.Links), 0) + " links"
	}
	return s + nonzero(" under a pull of %s"+nbsp+"N", d.PullN, 1) + after(", ", d.Instrument)
}

func rateWords(r *evidence.Rate) string {
	s := fmt.Sprintf("rate, %s: %s%ss/day", positionWords(r.Position), signed(r.SecPerDay, 1), nbsp)
	s += nonzero(", amplitude %s°", r.AmplitudeDeg, 0) + nonzero(", beat error %s"+nbsp+"ms", r.BeatErrorMS, 1)
	return s + nonzero(", lift angle %s°", r.LiftAngleDeg, 0) + hoursAfter(r.HoursSinceWind) +
		nonzero(", %s"+nbsp+"°C", r.TempC, 0) + after(", ", r.Instrument)
}

func hoursAfter(h float64) string {
	if h == 0 {
		return ""
	}
	return ", " + hours(h) + nbsp + "h after winding"
}

// positionWords names a position of ISO 3158 in words.
func positionWords(p string) string {
	return english.String(evidence.SayPosition(p))
}

func readingWords(r *evidence.Reading) string {
	s := "read from a photograph: " + r.What
	if r.Lab != nil {
		s += fmt.Sprintf(", L* %s, a* %s, b* %s", rounded(r.Lab[0], 0), rounded(r.Lab[1], 0), rounded(r.Lab[2], 0))
	}
	if r.LengthMM > 0 {
		s += ", " + within(r.LengthMM, around(r.LengthMM, r.PlusMinus), "mm", 1)
	}
	return s
}

func documentWords(d *evidence.Document) string {
	s := "document: " + underscored(d.What) + after(", dated ", d.Date.String()) + after(", made ", d.MadeDate.String())
	return s + after(", serial ", d.Serial) + after(", reference ", d.Reference)
}

func claimWords(c *evidence.Claim, inside bool) string {
	s := "claim about " + c.About + after(", by ", c.From)
	if !inside && (!c.Price.IsZero() || strings.Contains(strings.ToLower(c.About), "price")) {
		return "claim about " + c.About + ": on file in the shop"
	}
	s += ": “" + c.Text + "”"
	if !c.Price.IsZero() {
		s += ", " + amount(&c.Price)
	}
	return s + ", not counted as fact"
}

func workWords(w *evidence.Work, inside bool) string {
	s := "work: " + w.What + after(", by ", w.By) + after(", ", w.Date.String())
	var parts []string
	for _, r := range w.Replaced {
		p := r.Slot.Name()
		if r.Kept {
			p += " (old part kept)"
		}
		parts = append(parts, p)
	}
	if len(parts) > 0 {
		s += ", replaced " + series(parts)
	}
	if inside && !w.Cost.IsZero() {
		s += ", cost " + amount(&w.Cost)
	}
	return s + after("; ", w.Text)
}

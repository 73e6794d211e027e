package gate

import (
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// How far outside the book's run, and how far from the years of the reference, a number
// may lie before it is asked about. Common practice, no published source.
const (
	mostBeyondMonths = 120
	mostApartMonths  = 120
	yearsAround      = 3
)

func (k Known) mark(m *evidence.Mark) []Doubt {
	switch m.What {
	case evidence.MarkSerial:
		return append(k.second(m), k.number(m)...)
	case evidence.MarkMovementNumber:
		return k.number(m)
	case evidence.MarkDateStamp:
		return k.stamp(m)
	}
	return nil
}

// second doubts a serial number where the file, or another one, has one.
func (k Known) second(m *evidence.Mark) []Doubt {
	var out []Doubt
	for _, other := range evidence.All[*evidence.Mark](k.File) {
		if other.Data.What == m.What && !SameNumber(other.Data.Text, m.Text) {
			out = append(out, Doubt{Field: "text",
				Says: say.That("gate.serial-second", say.Name("number", m.Text), say.Name("other", other.Data.Text))})
			break
		}
	}
	if k.Elsewhere != "" {
		out = append(out, Doubt{Field: "text",
			Says: say.That("gate.serial-elsewhere", say.Name("number", m.Text), say.Name("file", k.Elsewhere))})
	}
	return out
}

// SameNumber reports whether two numbers as stamped may be the same one.
func SameNumber(a, b string) bool {
	p, err := refbook.ParsePattern(a)
	q, err2 := refbook.ParsePattern(b)
	if err != nil || err2 != nil {
		return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
	}
	return p.Agrees(q)
}

// number doubts a number that lies far from all runs that may be meant.
func (k Known) number(m *evidence.Mark) []Doubt {
	n, err := refbook.ParseNumber(m.Text)
	if err != nil || k.Reference == nil {
		return nil
	}
	var out []Doubt
	for _, id := range k.Reference.Serial {
		run, ok := k.Maker.Serial(id)
		if !ok || run.Mark != m.What || len(run.Anchors) < 2 {
			continue
		}
		d, odd := k.held(n, m, run)
		if !odd {
			return nil
		}
		out = append(out, d)
	}
	if len(out) > 1 {
		out = out[:1]
	}
	return out
}

// Numbered is about when the book puts the number of a mark, by the first run of the reference (of the maker, where the
// reference is not known) for such numbers; ok is false where it has none.
func (k Known) Numbered(m *evidence.Mark) (at edtf.Month, run *refbook.Serial, ok bool) {
	n, err := refbook.ParseNumber(m.Text)
	if err != nil || k.Maker == nil {
		return 0, nil, false
	}
	for i := range k.Maker.Serials {
		run = &k.Maker.Serials[i]
		if run.Mark != m.What || len(run.Anchors) < 2 || k.Reference != nil && !contains(k.Reference.Serial, run.ID) {
			continue
		}
		at = monthOf(n, run.Anchors)
		first, last := run.Anchors[0].Month, run.Anchors[len(run.Anchors)-1].Month
		return at, run, at >= first-mostBeyondMonths && at <= last+mostBeyondMonths
	}
	return 0, nil, false
}

func (k Known) held(n int64, m *evidence.Mark, run *refbook.Serial) (Doubt, bool) {
	first, last := run.Anchors[0], run.Anchors[len(run.Anchors)-1]
	at := monthOf(n, run.Anchors)
	meant := k.numberMeant(n, run)
	d := Doubt{Field: "text", Meant: meant}
	switch {
	case at > last.Month+mostBeyondMonths:
		d.Says = say.That("gate.number-above", say.Term("mark", "mark", m.What, ""), say.Name("number", m.Text),
			say.Name("last", strconv.FormatInt(last.Number, 10)), say.Month("month", last.Month))
	case at < first.Month-mostBeyondMonths:
		d.Says = say.That("gate.number-below", say.Term("mark", "mark", m.What, ""), say.Name("number", m.Text),
			say.Name("first", strconv.FormatInt(first.Number, 10)), say.Month("month", first.Month))
	default:
		from, to, ok := span(k.Reference.Made)
		if !ok || at >= from-mostApartMonths && at <= to+mostApartMonths {
			return Doubt{}, false
		}
		d.Says = say.That("gate.number-apart", say.Term("mark", "mark", m.What, ""), say.Name("number", m.Text),
			say.Month("month", at),
			say.Span("made", from, to))
	}
	if meant != "" {
		d.Says = say.That("gate.meant", say.Saying("doubt", d.Says), say.Name("meant", meant))
	}
	return d, true
}

// numberMeant is the one slip of a number that lies in the years of the reference: two
// figures transposed, or one too many. It is empty where none or several do.
func (k Known) numberMeant(n int64, run *refbook.Serial) string {
	from, to, ok := span(k.Reference.Made)
	if !ok {
		return ""
	}
	typed := strconv.FormatInt(n, 10)
	candidates := map[string]bool{}
	for _, s := range swapped(typed) {
		candidates[s] = true
	}
	for i := range typed {
		candidates[typed[:i]+typed[i+1:]] = true
	}
	out := ""
	for c := range candidates {
		v, err := strconv.ParseInt(c, 10, 64)
		if err != nil || v == 0 {
			continue
		}
		if at := monthOf(v, run.Anchors); at >= from && at <= to {
			if out != "" {
				return ""
			}
			out = c
		}
	}
	return out
}

// furthest keeps an extrapolated month within what a date can say.
const furthest = 12 * 2000

// monthOf is the month of a number by the straight lines between the known pairs, and by
// the nearest of those lines outside them.
func monthOf(n int64, a []refbook.Anchor) edtf.Month {
	i := 1
	for i < len(a)-1 && n > a[i].Number {
		i++
	}
	low, high := a[i-1], a[i]
	if high.Number == low.Number {
		return low.Month
	}
	share := float64(n-low.Number) / float64(high.Number-low.Number)
	months := share * float64(high.Month-low.Month)
	return low.Month + edtf.Month(max(-furthest, min(furthest, months)))
}

func span(d edtf.Date) (from, to edtf.Month, ok bool) {
	from, ok = d.FirstMonth()
	to, ok2 := d.LastMonth()
	return from, to, ok && ok2
}

// stamp doubts a date stamp that reads as years before or after the reference.
func (k Known) stamp(m *evidence.Mark) []Doubt {
	if k.Reference == nil {
		return nil
	}
	from, to, ok := span(k.Reference.Made)
	for i := range k.Maker.Stamps {
		s := &k.Maker.Stamps[i]
		if s.Slot != m.Slot || !ok {
			continue
		}
		first, last, err := s.Read(m.Text)
		if err != nil || last >= from-mostApartMonths && first <= to+mostApartMonths {
			return nil
		}
		return []Doubt{{Field: "text", Says: say.That("gate.stamp", say.Name("stamp", m.Text),
			say.Span("read", first, last), say.Span("made", from, to))}}
	}
	return nil
}

// year doubts a year in which the reference was not made.
func (k Known) year(field string, year int) []Doubt {
	if k.Reference == nil || year == 0 {
		return nil
	}
	from, to, ok := span(k.Reference.Made)
	if !ok || year >= from.Year()-yearsAround && year <= to.Year()+yearsAround {
		return nil
	}
	return []Doubt{{Field: field,
		Says: say.That("gate.year", say.Name("year", strconv.Itoa(year)), say.Span("made", from, to))}}
}

// dated doubts papers older than the reference, and a date of making outside its years.
func (k Known) dated(d *evidence.Document) []Doubt {
	if k.Reference == nil {
		return nil
	}
	from, to, ok := span(k.Reference.Made)
	if !ok {
		return nil
	}
	if last, known := d.Date.LastMonth(); known && (d.What == "papers" || d.What == "receipt") && last < from-12 {
		return []Doubt{{Field: "date", Says: say.That("gate.papers-early",
			say.Term("what", "document", d.What, ""), say.Name("date", d.Date.String()), say.Span("made", from, to))}}
	}
	if first, known := d.MadeDate.FirstMonth(); known {
		return k.year("made_date", first.Year())
	}
	return nil
}

// paperNumber doubts a number on papers that is one slip away from that of the watch.
func (k Known) paperNumber(d *evidence.Document) []Doubt {
	if d.Serial == "" {
		return nil
	}
	for _, m := range evidence.All[*evidence.Mark](k.File) {
		if m.Data.What != evidence.MarkSerial || SameNumber(m.Data.Text, d.Serial) {
			continue
		}
		for _, s := range swapped(d.Serial) {
			if SameNumber(s, m.Data.Text) {
				return []Doubt{{Field: "serial", Meant: s, Says: say.That("gate.papers-number",
					say.Name("number", d.Serial), say.Name("watch", m.Data.Text))}}
			}
		}
	}
	return nil
}

// metal doubts a metal that the reference never had.
func (k Known) metal(field string, slot evidence.Slot, metal string) []Doubt {
	outside := slot == evidence.Case || slot == evidence.Bezel || slot == evidence.CaseBack
	if k.Reference == nil || metal == "" || !outside || k.Reference.Metal == "" {
		return nil
	}
	has := Metals(k.Reference)
	var named []say.Value
	for _, m := range has {
		if m == metal || m == "two_tone" {
			return nil
		}
		named = append(named, k.metalNamed(m))
	}
	return []Doubt{{Field: field, Says: say.That("gate.metal",
		say.Saying("metal", k.metalNamed(metal)), say.Name("reference", k.Reference.ID),
		say.All("has", named...))}}
}

// Metals are those in which the book has a reference: its own and those of its outer parts.
func Metals(r *refbook.Reference) []string {
	out := []string{r.Metal}
	for _, s := range r.Slots {
		if s.Slot != evidence.Case && s.Slot != evidence.Bezel && s.Slot != evidence.CaseBack {
			continue
		}
		for _, v := range s.Variants {
			if v.Metal != "" && !contains(out, v.Metal) {
				out = append(out, v.Metal)
			}
		}
	}
	return out
}

func contains(all []string, one string) bool {
	for _, a := range all {
		if a == one {
			return true
		}
	}
	return false
}

// metalNamed is a metal by the name that the maker's book gives it.
func (k Known) metalNamed(id string) say.Statement {
	if m, ok := k.Maker.Metal(id); ok && m.Name != "" {
		return say.Verbatim(strings.ToLower(m.Name[:1]) + m.Name[1:])
	}
	return say.Verbatim(strings.ReplaceAll(id, "_", " "))
}

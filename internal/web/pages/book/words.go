package book

import (
	"fmt"
	"sort"
	"strings"

	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	"midcase/refbook"
)

func family(m refbook.Maker, id string) string {
	if f, ok := m.Family(id); ok {
		return f.Name
	}
	return wording.Underscored(id)
}

func sortedKeys(m map[string]string) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// metal is a metal as the maker's book names it.
func metal(m *refbook.Maker, id string) string {
	for _, x := range m.Metals {
		if x.ID == id && x.Name != "" {
			return x.Name
		}
	}
	return wording.Underscored(id)
}

// whole is the time from a maker's first reference to its last.
func whole(m *refbook.Maker) plot.Span {
	var s plot.Span
	for i := range m.References {
		r := span(&m.References[i])
		if s.Last == 0 || r.First < s.First {
			s.First = r.First
		}
		s.Last = max(s.Last, r.Last)
	}
	return s
}

// span is the time of a reference's production.
func span(r *refbook.Reference) plot.Span { return plot.Whole(r.Made) }

// spans are the windows of a version.
func spans(r *refbook.Reference, v refbook.Variant) []plot.Span {
	var out []plot.Span
	for _, w := range v.Windows {
		out = append(out, plot.NewSpan(w.Made, span(r), w.Share))
	}
	return out
}

func yearsOf(s plot.Span) string {
	if s.Last <= s.First {
		return ""
	}
	return fmt.Sprintf("%d to %d", s.First.Year(), s.Last.Year())
}

// fitted says when a version was fitted.
func fitted(v refbook.Variant) string {
	var out []string
	if v.Service {
		out = append(out, "service part")
	}
	for _, w := range v.Windows {
		text := wording.Span(w.Made.String())
		if w.Share > 0 && w.Share < 1 {
			text += fmt.Sprintf(", %.0f %%", 100*w.Share)
		}
		if w.Works != "" {
			text += ", by " + w.Works
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

// stamps are the schemes that the parts of a reference carry: those that its
// versions name, and the maker's for a slot.
func stamps(m *refbook.Maker, r *refbook.Reference) []refbook.Stamp {
	var out []refbook.Stamp
	for _, st := range m.Stamps {
		carried := false
		for _, s := range r.Slots {
			carried = carried || s.Slot == st.Slot
			for _, v := range s.Variants {
				carried = carried || v.Stamp == st.ID
			}
		}
		if carried {
			out = append(out, st)
		}
	}
	return out
}

// stampWords say how to read a stamp.
func stampWords(st refbook.Stamp) string {
	says := map[string]string{
		"quarter-year": "The quarter in Roman figures, then the year: III 62 is the third quarter of 1962.", "letter-year": "A letter for the year.",
		"year-month": "Year and month: 68-05 is May 1968.", "table": "A code of a list.",
	}[st.Form]
	var pairs []string
	for letter, year := range st.Letters {
		pairs = append(pairs, fmt.Sprintf("%s %d", letter, year))
	}
	for code, period := range st.Codes {
		pairs = append(pairs, code+" "+wording.Span(period))
	}
	sort.Strings(pairs)
	if len(pairs) > 0 {
		says += " " + strings.Join(pairs, ", ") + "."
	}
	if st.LagMonths > 0 {
		says += fmt.Sprintf(" The watch was finished %.0f months later on average.", st.LagMonths)
	}
	if st.Source != "" {
		says += " Source: " + st.Source + "."
	}
	return says
}

func degrees(v float64) string {
	if v == 0 {
		return "–"
	}
	return fmt.Sprintf("%.0f°", v)
}

func counted(n int) string {
	if n == 0 {
		return "–"
	}
	return fmt.Sprint(n)
}

func tolerance(d refbook.Dimension) float64 {
	if d.ToleranceMM == 0 {
		return 0.1
	}
	return d.ToleranceMM
}

func spoken(d refbook.Dimension) string {
	if d.SpokenMM == 0 {
		return "–"
	}
	return fmt.Sprintf("%.0f", d.SpokenMM)
}

func source(a refbook.Anchor, s refbook.Serial) string {
	if a.Source != "" {
		return a.Source
	}
	return s.Source
}

package booknotes

import (
	"sort"
	"strings"

	"midcase/evidence"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	"midcase/notes"
	"midcase/say"
)

// Data is what the page shows: a form to paste notes into, or what was understood of them.
type Data struct {
	Frame frame.Data
	Form  *form.View

	Text, Named, Maker, Why string
	Nothing                 bool // the text was read and nothing understood

	Stretches []Stretch
	Rows      []Row
	Groups    []Group
	Assumed   []string
	Problems  []string
}

// Stretch is a piece of the text, understood, not understood, or in between.
type Stretch struct {
	Text         string
	Read, Unread bool
}

// Row is one proposal.
type Row struct {
	ID, About, What, Text, Value, When string
	HasValue, HasWhen, Assumed, Keep   bool
}

// Group is what was understood of one reference.
type Group struct {
	About string
	Rows  []Row
}

// RowOf shows a proposal.
func RowOf(p notes.Proposal) Row {
	what := strings.ReplaceAll(p.What, "_", " ")
	if evidence.Slot(p.What).Valid() {
		what = evidence.Slot(p.What).Name()
	}
	return Row{ID: p.ID, About: p.About, What: what, Text: p.Text, Value: p.Value, When: p.When, Assumed: p.Assumed,
		HasValue: p.Value != "", HasWhen: p.When != "", Keep: true}
}

// Grouped puts the rows of one reference together.
func Grouped(rows []Row) []Group {
	var out []Group
	for _, r := range rows {
		if n := len(out); n > 0 && out[n-1].About == r.About {
			out[n-1].Rows = append(out[n-1].Rows, r)
			continue
		}
		out = append(out, Group{About: r.About, Rows: []Row{r}})
	}
	return out
}

// Cut cuts a text into stretches that were understood and others.
func Cut(text string, read []notes.Proposal, unread []notes.Span) []Stretch {
	type span struct {
		from, to int
		read     bool
	}
	var spans []span
	for _, p := range read {
		spans = append(spans, span{p.From, p.To, true})
	}
	for _, u := range unread {
		spans = append(spans, span{u.From, u.To, false})
	}
	sort.SliceStable(spans, func(i, j int) bool { return spans[i].from < spans[j].from })
	runes, at := []rune(text), 0
	var out []Stretch
	for _, s := range spans {
		if s.to <= at || s.to > len(runes) {
			continue
		}
		from := max(s.from, at)
		if from > at {
			out = append(out, Stretch{Text: string(runes[at:from])})
		}
		out = append(out, Stretch{Text: string(runes[from:s.to]), Read: s.read, Unread: !s.read})
		at = s.to
	}
	return append(out, Stretch{Text: string(runes[at:])})
}

func (d Data) summary() say.Statement {
	headings := map[string]bool{}
	for _, g := range d.Groups {
		headings[g.About] = true
	}
	return say.That("bringing.notes", say.Count("lines", len(d.Rows)), say.Count("headings", len(headings)))
}

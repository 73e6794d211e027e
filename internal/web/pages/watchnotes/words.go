package watchnotes

import (
	"encoding/json"
	"fmt"
	"slices"
	"sort"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	"midcase/notes"
	assets "midcase/web"
)

// Data is what the page shows: a form to paste notes into, or what was read in them.
type Data struct {
	Frame    frame.Data
	Watch    shop.Watch
	Text     string
	Seller   bool
	Nothing  bool // the text was read and nothing found
	Rows     []Row
	Unread   []Left
	Problems []string
	Learns   []notes.Own // what was mended to another finding
}

// Row is one proposal, with the words that it stands on.
type Row struct {
	N            int
	Words        string
	Says         string // those that alone make it this finding
	Kind         evidence.Kind
	Data         evidence.Data
	Fields       []Field
	Keep         bool
	Sure         float64
	Open         []string
	Odd          []gate.Doubt
	From, To     int
	Named, Wrong string
}

// Field is a value of a proposal, to be mended.
type Field struct {
	Name, Label, Value string
	Options            []form.Option
	Open               bool
}

// Left is a part of the text that was not read.
type Left struct {
	N    int
	Text string
	From int
	To   int
	Keep bool
}

// RowOf shows a proposal.
func RowOf(n int, it notes.Item) Row {
	return Row{N: n, Words: it.Text, Says: it.Says, Kind: it.Data.Kind(), Data: it.Data, Sure: it.Sure, Open: it.Open,
		From: it.From, To: it.To,
		Fields: FieldsOf(it.Data, it.Open)}
}

// FieldsOf are the values of an entry as they are typed.
func FieldsOf(d evidence.Data, open []string) []Field {
	b, err := json.Marshal(d)
	if err != nil {
		return nil
	}
	var values map[string]any
	if err := json.Unmarshal(b, &values); err != nil {
		return nil
	}
	for _, f := range open {
		if f != "severity" {
			values[f] = ""
		}
	}
	names := make([]string, 0, len(values))
	for name := range values {
		names = append(names, name)
	}
	sort.Strings(names)
	var out []Field
	for _, name := range names {
		f := Field{Name: name, Label: strings.ReplaceAll(name, "_", " "), Open: slices.Contains(open, name)}
		switch v := values[name].(type) {
		case string:
			f.Value = v
		case float64, bool:
			f.Value = fmt.Sprint(v)
		default:
			text, _ := json.Marshal(v)
			f.Value = string(text)
			if m, ok := v.(map[string]any); ok && m["currency"] != nil {
				f.Value = fmt.Sprint(m["amount"], " ", m["currency"])
			}
		}
		f.Options = choices(d, name)
		out = append(out, f)
	}
	return out
}

// choices are the values that a field can have, where they are a list.
func choices(d evidence.Data, name string) []form.Option {
	switch {
	case name == "severity":
		return form.Plain("0", "1", "2", "3", "4")
	case name == "position":
		return append([]form.Option{{Value: "", Text: "choose"}}, form.Plain(evidence.Positions()...)...)
	case name == "slot":
		var out []form.Option
		for _, s := range evidence.Slots() {
			out = append(out, form.Option{Value: string(s), Text: s.Name()})
		}
		return out
	case name == "term":
		f, ok := d.(*evidence.Finding)
		if !ok {
			return nil
		}
		var out []form.Option
		for _, t := range condition.TermsFor(string(f.Slot)) {
			out = append(out, form.Option{Value: t.ID, Text: t.Name})
		}
		return out
	}
	return nil
}

// stretch is a piece of the text: on it stands a proposal, nothing was read in it, or neither.
type stretch struct {
	text   string
	row    int // −1 where none
	unread bool
}

// cut cuts the text where proposals begin and end; of two on the same words the first counts.
func cut(d Data) []stretch {
	type span struct {
		from, to, row int
		unread        bool
	}
	var spans []span
	for _, r := range d.Rows {
		spans = append(spans, span{r.From, r.To, r.N, false})
	}
	for _, u := range d.Unread {
		spans = append(spans, span{u.From, u.To, -1, true})
	}
	sort.SliceStable(spans, func(i, j int) bool { return spans[i].from < spans[j].from })
	runes, at := []rune(d.Text), 0
	var out []stretch
	for _, s := range spans {
		if s.to <= at || s.to > len(runes) {
			continue
		}
		from := max(s.from, at)
		if from > at {
			out = append(out, stretch{string(runes[at:from]), -1, false})
		}
		out = append(out, stretch{string(runes[from:s.to]), s.row, s.unread})
		at = s.to
	}
	return append(out, stretch{string(runes[at:]), -1, false})
}

func base(d Data) string { return "/watches/" + string(d.Watch.ID) }

func script() (string, bool) {
	return "/assets/watchnotes.js?v=" + assets.Version(), assets.Built("watchnotes.js")
}

func id(n int, field string) string { return fmt.Sprintf("r%d.%s", n, field) }

func open(fields []string) string { return strings.ReplaceAll(strings.Join(fields, ", "), "_", " ") }

// clause begins a sentence.
func clause(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

package bookwrite

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/plot"
	"midcase/notes"
	"midcase/refbook"
	assets "midcase/web"
)

// Data is a reference while it is written.
type Data struct {
	Frame frame.Data
	Draft notes.Draft
	Maker *refbook.Maker // nil for a maker that the book does not have
	Edits bool           // the reference is in the book and is changed
	Base  string         // SHA-256 of the maker's file as it was read; empty for a new one
	Why   string

	Problems []notes.DraftProblem
	Refused  []string // what the check of the whole book found
	Assumed  []notes.Assumption
	Looked   bool // the draft was checked and is right; nothing is saved yet
	Changed  bool // somebody else changed the file meanwhile
	Text     string
	Effects  []Effect
	Seen, Of int // watches on which the effect was computed, and how many there are
}

// Effect is a watch on which the opinion becomes another.
type Effect struct {
	Watch   shop.Watch
	Changes []string
}

func (d Data) title() string {
	switch {
	case d.Edits:
		return "Change " + d.Draft.Maker + " " + d.Draft.Reference
	case d.Maker != nil:
		return "A further reference of " + d.Maker.Name
	}
	return "A new maker and a first reference"
}

// problem is what is wrong with a field.
func (d Data) problem(field string) string {
	for _, p := range d.Problems {
		if p.Field == field {
			return p.Says
		}
	}
	return ""
}

// slots are the parts that the page offers, and those that the reference has beside them.
func (d Data) slots() []evidence.Slot {
	out := []evidence.Slot{evidence.Dial, evidence.Hands, evidence.Bezel, evidence.Crystal, evidence.Crown,
		evidence.Pushers, evidence.Case, evidence.CaseBack, evidence.Movement, evidence.Bracelet, evidence.EndPieces,
		evidence.Clasp}
	for _, p := range d.Draft.Parts {
		if !slices.Contains(out, p.Slot) {
			out = append(out, p.Slot)
		}
	}
	return out
}

func (d Data) part(slot evidence.Slot) notes.DraftPart {
	for _, p := range d.Draft.Parts {
		if p.Slot == slot {
			return p
		}
	}
	return notes.DraftPart{Slot: slot}
}

// spare gives a list empty rows to write in: one at least, n at the beginning.
func spare[T any](rows []T, n int) []T {
	return append(slices.Clone(rows), make([]T, max(1, n-len(rows)))...)
}

// word is a choice with what it is called.
type word struct{ value, text string }

func replacedWords(now string) []word {
	out := []word{{"", "as usual for this part (assumed)"}}
	var all []string
	for w := range refbook.GeneralKnowledge().ReplacedWords {
		all = append(all, w)
	}
	slices.SortFunc(all, func(a, b string) int {
		g := refbook.GeneralKnowledge().ReplacedWords
		switch {
		case g[a] < g[b]:
			return -1
		case g[a] > g[b]:
			return 1
		}
		return strings.Compare(a, b)
	})
	for _, w := range all {
		out = append(out, word{w, w})
	}
	if now != "" && !slices.Contains(all, now) {
		share, _ := strconv.ParseFloat(now, 64)
		out = append(out, word{now, fmt.Sprintf("%g in 100", 100*share)})
	}
	return out
}

func (d Data) metals() []word {
	var out []word
	if d.Maker != nil {
		for _, m := range d.Maker.Metals {
			out = append(out, word{m.ID, m.Name})
		}
	}
	for _, m := range notes.KnownMetals() {
		if !slices.ContainsFunc(out, func(w word) bool { return w.value == m.ID }) {
			out = append(out, word{m.ID, m.Name})
		}
	}
	return out
}

func sizeKinds() []word {
	var out []word
	for _, k := range evidence.DimensionKinds() {
		out = append(out, word{k, strings.ReplaceAll(k, "_", " ")})
	}
	return out
}

func lumes() []word {
	out := []word{{"", "not said"}}
	for _, l := range refbook.Lumes() {
		out = append(out, word{l, l})
	}
	return out
}

func (d Data) families() []string {
	var out []string
	if d.Maker != nil {
		for _, f := range d.Maker.Families {
			out = append(out, f.Name)
		}
	}
	return out
}

// whole is the time of the reference; ok is false before it is said.
func (d Data) whole() (plot.Span, bool) {
	made, ok := d.Draft.MadeWithin()
	if !ok {
		return plot.Span{}, false
	}
	return plot.Whole(made), true
}

// bars are the times of a version within the reference's.
func bars(words string, whole plot.Span) []plot.Span {
	read, err := notes.ReadTimes(words, whole.First.String()+"/"+whole.Last.String())
	if err != nil {
		return nil
	}
	var out []plot.Span
	for _, w := range read {
		if made, err := edtf.Parse(w.Made); err == nil {
			out = append(out, plot.NewSpan(made, whole, w.Share))
		}
	}
	return out
}

// Row is the name of a field in a row, as in parts.dial.2.when.
func Row(parts ...any) string {
	var out []string
	for _, p := range parts {
		out = append(out, fmt.Sprint(p))
	}
	return strings.Join(out, ".")
}

func script() (string, bool) {
	return "/assets/bookwrite.js?v=" + assets.Version(), assets.Built("bookwrite.js")
}

// runs are the tables of numbers: those that the book has, else one for each kind of number.
func (d Data) runs() []run {
	var out []run
	if d.Maker != nil {
		for _, s := range d.Maker.Serials {
			out = append(out, run{id: s.ID, mark: s.Mark, title: strings.ReplaceAll(s.Mark, "_", " ") + "s, " + s.ID})
		}
	}
	if len(out) == 0 {
		out = []run{{mark: evidence.MarkSerial, title: "serial numbers"},
			{mark: evidence.MarkMovementNumber, title: "movement numbers"}}
	}
	for i := range out {
		for _, n := range d.Draft.Numbers {
			if n.Run == out[i].id && (n.Run != "" || n.Mark == out[i].mark) {
				out[i].rows = append(out[i].rows, n)
			}
		}
	}
	return out
}

type run struct {
	id, mark, title string
	rows            []notes.DraftNumber
}

package bringin

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strconv"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/wording"
	"midcase/market"
	"midcase/say"
	"midcase/tables"
	assets "midcase/web"
)

// Data is the page on which a file is dropped.
type Data struct {
	Frame   frame.Data
	Batches []shop.Batch
	Problem string
}

// Preview is what was understood of a file that was not brought in yet.
type Preview struct {
	Frame           frame.Data
	Token, File, As string
	Answers         map[string]string
	Read            imports.Preview
	Problem         string
}

// Rates is a file of exchange rates that was not added yet.
type Rates struct {
	Frame           frame.Data
	Token, File, As string
	Base            string
	Latest          []market.Quote
}

func script() (string, bool) {
	return "/assets/bringin.js?v=" + assets.Version(), assets.Built("bringin.js")
}

// Batch is one file that was brought in.
type Batch struct {
	Frame frame.Data
	Batch shop.Batch
}

// shownOut is how many kept-out cells a page lists; shownRows how many rows.
const (
	shownOut  = 200
	shownRows = 12
)

// Seen stands for the answers that a preview was made with.
func Seen(as tables.Kind, answers map[string]string) string {
	var b strings.Builder
	b.WriteString(string(as))
	for _, id := range slices.Sorted(maps.Keys(answers)) {
		fmt.Fprintf(&b, "\n%s=%s", id, answers[id])
	}
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:8])
}

// inWords are the answers as the page repeats them.
func (d Preview) inWords() string {
	var parts []string
	for _, id := range d.answered() {
		parts = append(parts, id+" = "+d.Answers[id])
	}
	return strings.Join(parts, "; ")
}

// carried are the answers that no field of the page shows.
func (d Preview) carried() []string {
	shown := map[string]bool{}
	for _, q := range d.Read.Questions {
		shown[q.ID] = true
	}
	for i := range d.Read.Columns {
		shown[columnID(i)] = true
	}
	for _, k := range d.Read.Batch.KeptOut[:min(len(d.Read.Batch.KeptOut), shownOut)] {
		shown[cellID(k)] = true
		if k.Odd {
			shown[oddID(k)] = true
		}
		if k.There {
			shown[thereID(k)] = true
		}
	}
	var out []string
	for _, id := range d.answered() {
		if !shown[id] {
			out = append(out, id)
		}
	}
	return out
}

func columnID(i int) string { return tables.AskColumn + strconv.Itoa(i+1) }

func oddID(k shop.OutRow) string { return imports.AskOdd + "." + strconv.Itoa(k.Line) }

func thereID(k shop.OutRow) string { return imports.AskThere + "." + strconv.Itoa(k.Line) }

func cellID(k shop.OutRow) string { return tables.EditCell + strconv.Itoa(k.Line) + "." + k.Field }

// editable reports whether what was kept out is a cell that can be typed anew.
func (d Preview) editable(k shop.OutRow) bool {
	return (!k.Waits || k.Odd || k.There) && slices.Contains(tables.Fields(tables.Kind(d.As)), k.Field)
}

// fieldName is a field as the page shows it.
func fieldName(field string) string { return strings.ReplaceAll(field, "_", " ") }

// leftOpen says what becomes of rows whose question has no answer.
func leftOpen(id string) string {
	switch id {
	case tables.AskSeverity:
		return "leave open: they stay notes"
	case tables.AskRange:
		return "leave open: these prices stay out"
	case tables.AskConsent:
		return "leave open: no consent"
	}
	return "leave open: these rows wait"
}

func (d Preview) answered() []string { return slices.Sorted(maps.Keys(d.Answers)) }

func (d Preview) summary() say.Statement {
	b := d.Read.Batch
	return say.That("bringing.preview", say.Count("rows", len(d.Read.Rows)), say.Count("added", b.Added()),
		say.Count("known", b.Repeated), say.Count("waiting", b.RowsWaiting()), say.Count("out", b.RowsOut()),
		say.Count("cells", b.CellsOut()))
}

func (d Batch) summary() say.Statement {
	b := d.Batch
	return say.That("bringing.batch", say.Count("added", b.Added()), say.Count("known", b.Repeated),
		say.Count("waiting", b.RowsWaiting()), say.Count("out", b.RowsOut()), say.Count("cells", b.CellsOut()))
}

// action is what the button does.
func (d Preview) action() say.Statement {
	n, changed := d.Read.Batch.Added(), len(d.Read.Batch.Changed)
	switch tables.Kind(d.As) {
	case tables.Stock:
		in := say.That("bringing.stock", say.Count("n", n))
		switch {
		case changed > 0 && n == 0:
			return say.That("bringing.change", say.Count("n", changed))
		case changed > 0:
			return say.That("bringing.both", say.Saying("first", in), say.Count("n", changed))
		}
		return in
	case tables.Sales:
		return say.That("bringing.sales", say.Count("n", n))
	}
	return say.That("bringing.clients", say.Count("n", n))
}

func (d Preview) first() []tables.Row { return d.Read.Rows[:min(len(d.Read.Rows), shownRows)] }

// fields are those that the rows shown have.
func (d Preview) fields() []string {
	seen := map[string]bool{}
	for _, r := range d.first() {
		for f := range r.Fields {
			seen[f] = true
		}
	}
	out := slices.Collect(maps.Keys(seen))
	order := map[string]int{"date": 1, "bought": 1, "name": 1, "maker": 2, "reference": 3, "serial": 4, "price": 5,
		"cost": 5, "asking": 6}
	sort.Slice(out, func(i, j int) bool {
		a, b := order[out[i]], order[out[j]]
		if a == 0 {
			a = 99
		}
		if b == 0 {
			b = 99
		}
		if a != b {
			return a < b
		}
		return out[i] < out[j]
	})
	return out
}

// cell shows a value as understood: an amount with its currency.
func cell(v any) string {
	if v == nil {
		return ""
	}
	return fmt.Sprint(v)
}

// firstOdd reports whether none of the cells before it in the list is an odd one of the same line.
func firstOdd(before []shop.OutRow, line int) bool {
	return !slices.ContainsFunc(before, func(k shop.OutRow) bool { return k.Odd && k.Line == line })
}

// firstThere reports whether none of the cells before it in the list is one of a watch in the shop, of the same line.
func firstThere(before []shop.OutRow, line int) bool {
	return !slices.ContainsFunc(before, func(k shop.OutRow) bool { return k.There && k.Line == line })
}

// changed says what a file changed of a watch: "asking 4,900 EUR → 5,200 EUR".
func changed(ctx context.Context, c shop.WatchChange) string {
	var parts []string
	if c.Asking.String() != c.AskingBefore.String() {
		was := "no price"
		if !c.AskingBefore.IsZero() {
			was = wording.Money(ctx, c.AskingBefore)
		}
		parts = append(parts, "asking "+was+" → "+wording.Money(ctx, c.Asking))
	}
	if c.State != c.StateBefore {
		parts = append(parts, strings.ReplaceAll(string(c.StateBefore)+" → "+string(c.State), "_", " "))
	}
	return strings.Join(parts, ", ")
}

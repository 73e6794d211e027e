package bringin

import (
	"fmt"
	"maps"
	"slices"
	"sort"

	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/internal/web/pages/frame"
	"midcase/say"
	"midcase/tables"
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
	n := d.Read.Batch.Added()
	switch tables.Kind(d.As) {
	case tables.Stock:
		return say.That("bringing.stock", say.Count("n", n))
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

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

func (d Preview) summary() string {
	b := d.Read.Batch
	return fmt.Sprintf("%d rows, %d of them new, %d there already, %d cells or rows kept out.", len(d.Read.Rows),
		b.Added(), b.Repeated, len(b.KeptOut))
}

func (d Batch) summary() string {
	return fmt.Sprintf("%d added, %d there already, %d kept out.", d.Batch.Added(), d.Batch.Repeated,
		len(d.Batch.KeptOut))
}

func (d Preview) action() string {
	n := d.Read.Batch.Added()
	noun := map[string]string{"stock": "watches", "sales": "sales", "clients": "clients"}[d.As]
	if n == 1 {
		noun = map[string]string{"stock": "watch", "sales": "sale", "clients": "client"}[d.As]
	}
	return fmt.Sprintf("Bring in %d %s", n, noun)
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

func capital(s string) string { return say.Capital(s) }

package library

import (
	"bytes"
	"context"
	"maps"
	"slices"

	"midcase/evidence"
	"midcase/examples"
	"midcase/internal/shop"
	"midcase/refbook"
)

// ownExamples are the watches of the shop as examples of their references: those in stock, offered and sold.
func (r *Room) ownExamples(ctx context.Context, f shop.Filter) ([]examples.Example, error) {
	all, err := r.stores.Watches.Watches(ctx, f)
	if err != nil {
		return nil, err
	}
	now := r.shop.Now()
	var out []examples.Example
	for _, w := range all {
		if w.State == shop.TakenBack {
			continue
		}
		log, err := r.shop.Log(ctx, w.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, examples.Of(w.Title, evidence.Fold(log, now)))
	}
	return out, nil
}

// BookProposal is a file of the book with what examples speak for.
type BookProposal struct {
	Name      string
	Text, Now []byte   // as it would be, and as it stands
	Left      []string // what has to be written by hand
	Effects   []BookEffect
	Looked    int // watches of the references concerned that were looked at
}

// Propose writes what was learned into the files of the book and says what each would do to opinions on the stock.
// Nothing is saved.
func (r *Room) Propose(ctx context.Context, learned []examples.Learned) ([]BookProposal, error) {
	files, err := r.BookFiles(ctx)
	if err != nil {
		return nil, err
	}
	var out []BookProposal
	for _, name := range slices.Sorted(maps.Keys(files)) {
		text := files[name]
		m, _ := refbook.ReadMaker(name, text)
		var of []examples.Learned
		for _, l := range learned {
			if l.Maker == m.Name {
				of = append(of, l)
			}
		}
		p := BookProposal{Name: name, Now: text}
		if p.Text, p.Left = examples.Edit(text, of); bytes.Equal(p.Text, text) && len(p.Left) == 0 {
			continue
		}
		book, err := r.CheckBookFile(ctx, name, p.Text)
		if err != nil {
			return nil, err
		}
		if p.Effects, p.Looked, _, err = r.BookEffects(ctx, m.ID, book); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

package library

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/opinion"
	"midcase/refbook"
)

// BookFiles are the texts of the book's files by name.
func (r *Room) BookFiles(ctx context.Context) (map[string][]byte, error) {
	return r.stores.Book.Files(ctx)
}

// CheckBookFile reads the book as it would be with a text in place of a file. What is
// wrong comes back as refbook.Problems.
func (r *Room) CheckBookFile(ctx context.Context, name string, text []byte) (*refbook.Book, error) {
	files, err := r.BookFiles(ctx)
	if err != nil {
		return nil, err
	}
	files[name] = text
	book, err := refbook.LoadTexts(files)
	if err != nil {
		return nil, err
	}
	if m, _ := refbook.ReadMaker(name, text); m.ID+".yaml" != name {
		return nil, refbook.Problems{{File: name, Line: 1, Path: "id", Found: fmt.Sprintf("%q", m.ID),
			Hint: fmt.Sprintf("want %s, the name of the file: a maker keeps its id",
				strings.TrimSuffix(name, ".yaml"))}}
	}
	return book, nil
}

// SaveBookFile writes a file of the book, if the book is right with it; every running program uses
// the new book from its next request on. base is the SHA-256 of the text that was edited; where somebody
// else was quicker it is ErrConflict.
func (r *Room) SaveBookFile(
	ctx context.Context,
	name, base string,
	text []byte,
	why, by string,
) (shop.BookVersion, error) {
	const what = "edit the book"
	if strings.TrimSpace(why) == "" {
		return shop.BookVersion{}, shop.Refuse(what, "why", "nothing",
			"why the book changes, such as: a dated guarantee card was seen")
	}
	var v shop.BookVersion
	err := r.stores.Revisions.EditBook(ctx, func() error {
		if _, err := r.CheckBookFile(ctx, name, text); err != nil {
			return err
		}
		var err error
		v, err = r.stores.Book.Write(ctx, name, base, text, shop.BookNote{At: r.shop.Now(), By: by,
			Why: strings.TrimSpace(why)})
		return err
	})
	return v, err
}

// BookVersions are the kept versions of a file of the book, the oldest first.
func (r *Room) BookVersions(ctx context.Context, name string) ([]shop.BookVersion, error) {
	return r.stores.Book.Versions(ctx, name)
}

// BookVersion is the text of a kept version.
func (r *Room) BookVersion(ctx context.Context, name string, n int) ([]byte, shop.BookVersion, error) {
	return r.stores.Book.Version(ctx, name, n)
}

// BookEffect is a watch on which a changed book gives another opinion.
type BookEffect struct {
	Watch       shop.Watch
	Before, Now opinion.Opinion
}

// effectsFormed is on how many watches the effect of a changed book is reckoned.
const effectsFormed = 24

// BookEffects forms opinions with a book that is not in force, on the watches of the
// references in which it differs. It says how many of those it looked at, and how many
// there are. It reckons without the market, which the book does not change.
func (r *Room) BookEffects(ctx context.Context, maker string, book *refbook.Book) (effects []BookEffect, looked, of int,
	err error) {
	touched := touchedReferences(r.shop.Book(ctx), book, maker)
	all, err := r.stores.Watches.Watches(ctx, shop.Filter{})
	if err != nil {
		return nil, 0, 0, err
	}
	all = slices.DeleteFunc(all, func(w shop.Watch) bool {
		m, ok := book.Maker(w.Maker)
		return !ok || m.ID != maker || !touched[strings.ToLower(w.Reference)]
	})
	set, err := r.shop.Settings(ctx)
	if err != nil {
		return nil, 0, 0, err
	}
	now := r.shop.Now()
	for _, w := range all[:min(len(all), effectsFormed)] {
		log, err := r.shop.Log(ctx, w.ID)
		if err != nil {
			return nil, 0, 0, err
		}
		file := evidence.Fold(log, now)
		var o [2]opinion.Opinion
		for i, b := range []*refbook.Book{r.shop.Book(ctx), book} {
			if o[i], err = opinion.Form(file, b, nil, set.ForOpinion(opinion.Settings{}), now); err != nil {
				return nil, 0, 0, fmt.Errorf("opinion on %s: %w", w.Title, err)
			}
		}
		looked++
		if !sameOpinion(o[0], o[1]) {
			effects = append(effects, BookEffect{w, o[0], o[1]})
		}
	}
	return effects, looked, len(all), nil
}

// touchedReferences are the references of a maker, in small letters, of which the two
// books say different things: all, where the maker's own entries differ.
func touchedReferences(before, now *refbook.Book, maker string) map[string]bool {
	out := map[string]bool{}
	a, okA := before.Maker(maker)
	b, okB := now.Maker(maker)
	if !okB {
		return out
	}
	whole := !okA || !sameButReferences(*a, *b)
	for _, r := range b.References {
		was, had := (*refbook.Reference)(nil), false
		if okA {
			was, had = a.Reference(r.ID)
		}
		if whole || !had || !reflect.DeepEqual(*was, r) {
			out[strings.ToLower(r.ID)] = true
		}
	}
	return out
}

// sameButReferences compares what two makers say beside their references.
func sameButReferences(a, b refbook.Maker) bool {
	return reflect.DeepEqual([]any{a.Serials, a.Stamps, a.Metals, a.Calibres, a.Families, a.Bracelets, a.EndPieces},
		[]any{b.Serials, b.Stamps, b.Metals, b.Calibres, b.Families, b.Bracelets, b.EndPieces})
}

// sameOpinion compares what a reader sees first: date, parts, rules, sizes.
func sameOpinion(a, b opinion.Opinion) bool {
	if a.Dating.EDTF != b.Dating.EDTF || a.Dating.Known != b.Dating.Known || len(a.Parts) != len(b.Parts) ||
		a.Metal.Says.String() != b.Metal.Says.String() {
		return false
	}
	for i := range a.Parts {
		if a.Parts[i].Slot != b.Parts[i].Slot || a.Parts[i].Verdict != b.Parts[i].Verdict ||
			a.Parts[i].VariantName != b.Parts[i].VariantName {
			return false
		}
	}
	return reflect.DeepEqual(a.Rules, b.Rules) && reflect.DeepEqual(a.Measured, b.Measured)
}

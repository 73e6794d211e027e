package library

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"midcase/evidence"
	"midcase/examples"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/photo"
)

// Seen is a watch seen elsewhere, to be added as an example.
type Seen struct {
	shop.SeenExample
	File io.Reader // its picture; nil for none
}

// Alike is the answer to an example whose picture is like that of one on record: whether both are one watch is for
// people to say. Set Another to the id of that one to add it all the same.
type Alike struct{ Of shop.SeenExample }

func (a *Alike) Error() string {
	return fmt.Sprintf("the picture is like that of %s %s, %s: if it is another watch, say so and save again",
		a.Of.Maker, a.Of.Reference, seenWords(a.Of))
}

func seenWords(e shop.SeenExample) string {
	switch {
	case e.Serial != "":
		return "number " + e.Serial
	case e.Source != "":
		return "seen in " + e.Source
	}
	return "added on " + e.At.Format("2006-01-02")
}

// AddExample records a watch seen elsewhere. One whose number is on record is refused; one whose picture is like
// another's is *Alike.
func (r *Room) AddExample(ctx context.Context, s Seen, by string) (shop.SeenExample, error) {
	const what = "add an example"
	all, err := r.records(ctx)
	if err != nil {
		return shop.SeenExample{}, fmt.Errorf("%s: %w", what, err)
	}
	e, err := r.prepared(ctx, s.SeenExample, by, all)
	if err != nil {
		return e, err
	}
	var file []byte
	if s.File != nil {
		if file, e.Likeness, err = likeness(ctx, s.File); err != nil {
			return e, err
		}
		if len(file) > 0 {
			if of, ok := alike(all, e); ok {
				return e, &Alike{of}
			}
			if e.Picture, _, err = r.stores.Blobs.Put(ctx, bytes.NewReader(file), picture.MaxBytes); err != nil {
				return e, fmt.Errorf("%s: %w", what, err)
			}
		}
	}
	kept, err := r.stores.Examples.AddExamples(ctx, []shop.SeenExample{e})
	if err != nil {
		return e, fmt.Errorf("%s: %w", what, err)
	}
	return kept[0], nil
}

// likeness reads a picture, and what it is recognised by.
func likeness(ctx context.Context, file io.Reader) ([]byte, string, error) {
	b, _, err := picture.Take(ctx, file)
	if err == nil && len(b) == 0 {
		return nil, "", nil
	}
	if err != nil {
		if !picture.Faulty(err) {
			return nil, "", fmt.Errorf("add an example: %w", err)
		}
		found, _, _ := strings.Cut(err.Error(), "; ")
		return nil, "", shop.Refuse("add an example", "picture", found, "a whole JPEG, PNG, WebP, AVIF, HEIC or TIFF picture")
	}
	img, _, err := picture.Decode(ctx, b)
	if err != nil {
		return nil, "", fmt.Errorf("add an example: %w", err)
	}
	return b, photo.LikenessOf(img).String(), nil
}

// alike is an example of the maker whose picture is like this one's, and of which nobody said that it is another.
func alike(all []shop.SeenExample, e shop.SeenExample) (shop.SeenExample, bool) {
	l, err := photo.ParseLikeness(e.Likeness)
	if err != nil {
		return shop.SeenExample{}, false
	}
	for _, x := range all {
		m, err := photo.ParseLikeness(x.Likeness)
		if err == nil && l.Alike(m) && x.ID != e.Another {
			return x, true
		}
	}
	return shop.SeenExample{}, false
}

// records are the examples on record that stand.
func (r *Room) records(ctx context.Context) ([]shop.SeenExample, error) {
	all, err := r.stores.Examples.Examples(ctx)
	return shop.StandingExamples(all), err
}

// prepared is an example as it would be kept: in the book's names, checked, and not on record yet.
func (r *Room) prepared(ctx context.Context, e shop.SeenExample, by string, all []shop.SeenExample) (shop.SeenExample,
	error) {
	e.ID, e.At, e.By = r.shop.NewID("x"), r.shop.Now(), strings.TrimSpace(by)
	if m, ok := r.shop.Book(ctx).Maker(e.Maker); ok {
		e.Maker = m.Name
		if ref, ok := m.Reference(e.Reference); ok {
			e.Reference = ref.ID
			parts := map[evidence.Slot]string{}
			for slot, version := range e.Parts {
				parts[slot] = examples.Named(ref, slot, version)
			}
			e.Parts = parts
		}
	}
	if err := e.Check(r.shop.Now()); err != nil {
		return e, err
	}
	for _, x := range all {
		if strings.EqualFold(x.Maker, e.Maker) && examples.SameSerial(x.Serial, e.Serial) {
			return e, shop.Refuse("add an example", "serial", fmt.Sprintf("“%s”, on record as “%s” since %s", e.Serial,
				x.Serial, x.At.Format("2006-01-02")), "another watch, or withdraw the one on record first")
		}
	}
	return e, nil
}

// Taken is what became of a table of examples.
type Taken struct {
	Added   []shop.SeenExample `json:"added"`
	KeptOut []examples.KeptOut `json:"kept_out"`
}

// AddExamples records the examples of a table or of watch files: those that can be, all at once. Each of the others
// is returned with the reason.
func (r *Room) AddExamples(ctx context.Context, seen []examples.Example, by string) (Taken, error) {
	out := Taken{Added: []shop.SeenExample{}, KeptOut: []examples.KeptOut{}}
	all, err := r.records(ctx)
	if err != nil {
		return out, fmt.Errorf("add examples: %w", err)
	}
	numbers, same := index(all)
	for _, s := range seen {
		e, err := r.prepared(ctx, record(s), by, numbers.of(s.Serial))
		if says := saidOf(e); err == nil && same[says] > 0 {
			same[says]--
			out.KeptOut = append(out.KeptOut, examples.KeptOut{ID: s.ID, Reason: "on record already"})
			continue
		}
		if err == nil {
			numbers.note(e)
			out.Added = append(out.Added, e)
			continue
		}
		var invalid *shop.Invalid
		if !errors.As(err, &invalid) {
			return out, err
		}
		out.KeptOut = append(out.KeptOut, examples.KeptOut{ID: s.ID, Reason: err.Error()})
	}
	if out.Added, err = r.stores.Examples.AddExamples(ctx, out.Added); err != nil {
		return out, fmt.Errorf("add examples: %w", err)
	}
	return out, nil
}

// byNumber finds examples by the forms of their number, so that a long table is read in one go.
type byNumber map[string][]shop.SeenExample

// index also counts what examples without a number say: a table that is read again adds none of them again, and two
// of one fair that say the same stay two.
func index(all []shop.SeenExample) (numbers byNumber, same map[string]int) {
	numbers, same = byNumber{}, map[string]int{}
	for _, e := range all {
		numbers.note(e)
		if e.Serial == "" {
			same[saidOf(e)]++
		}
	}
	return numbers, same
}

// saidOf is all that an example says, without when and by whom it was recorded.
func saidOf(e shop.SeenExample) string {
	return fmt.Sprint(e.Maker, "\n", e.Reference, "\n", e.Serial, "\n", e.Made, "\n", e.Parts, "\n", e.Source, "\n",
		e.Place, "\n", e.Country)
}

func (b byNumber) note(e shop.SeenExample) {
	for _, k := range examples.SerialKeys(e.Serial) {
		b[k] = append(b[k], e)
	}
}

func (b byNumber) of(serial string) []shop.SeenExample {
	var out []shop.SeenExample
	for _, k := range examples.SerialKeys(serial) {
		out = append(out, b[k]...)
	}
	return out
}

func record(e examples.Example) shop.SeenExample {
	place := e.Place
	if place == examples.Own {
		place = ""
	}
	return shop.SeenExample{Maker: e.Maker, Reference: e.Reference, Serial: e.Serial, Made: e.Made, DatedBy: e.DatedBy,
		Parts: e.Parts, Metal: e.Metal, Country: e.Country, Place: place, Source: e.Source, Sure: e.Sure}
}

// WithdrawExample takes an example back, with the reason. It stays on record.
func (r *Room) WithdrawExample(ctx context.Context, id, why, by string) (shop.SeenExample, error) {
	const what = "withdraw an example"
	all, err := r.records(ctx)
	if err != nil {
		return shop.SeenExample{}, fmt.Errorf("%s: %w", what, err)
	}
	for _, e := range all {
		if e.ID != id {
			continue
		}
		gone := shop.SeenExample{ID: r.shop.NewID("x"), At: r.shop.Now(), By: strings.TrimSpace(by), Withdraws: id,
			Why: strings.TrimSpace(why)}
		if err := gone.Check(r.shop.Now()); err != nil {
			return e, err
		}
		if _, err := r.stores.Examples.AddExamples(ctx, []shop.SeenExample{gone}); err != nil {
			return e, fmt.Errorf("%s: %w", what, err)
		}
		return e, nil
	}
	return shop.SeenExample{}, shop.NotFound(fmt.Sprintf("there is no example “%s”; ‘midcase example list’ shows them", id))
}

// SeenExamples are the examples on record of a maker and a reference, or all where both are empty, the latest first.
func (r *Room) SeenExamples(ctx context.Context, maker, reference string) ([]shop.SeenExample, error) {
	all, err := r.records(ctx)
	if err != nil {
		return nil, fmt.Errorf("examples: %w", err)
	}
	var out []shop.SeenExample
	for i := len(all) - 1; i >= 0; i-- {
		e := all[i]
		if (maker == "" || strings.EqualFold(e.Maker, maker)) &&
			(reference == "" || strings.EqualFold(e.Reference, reference)) {
			out = append(out, e)
		}
	}
	return out, nil
}

// Example is what a record comes to as an example.
func Example(e shop.SeenExample) examples.Example {
	id := e.Source
	if e.Serial != "" {
		id = strings.TrimSpace("no. " + e.Serial + " " + e.Source)
	}
	if e.Serial == "" && !e.Made.IsZero() {
		id = strings.TrimPrefix(id+", made "+e.Made.String(), ", ")
	}
	if id == "" {
		id = "seen on " + e.At.Format("2006-01-02")
	}
	return examples.Example{ID: id, Key: e.ID, Maker: e.Maker, Reference: e.Reference, Serial: e.Serial, Made: e.Made,
		DatedBy: e.DatedBy, Source: e.Source, Place: e.Place, Country: e.Country, Metal: e.Metal, Sure: e.Sure,
		Parts: e.Parts}
}

// AllExamples are the watches of the shop and those seen elsewhere, of one reference or of all where it is empty. Its
// own come first: of the same watch seen twice the one that was examined counts.
func (r *Room) AllExamples(ctx context.Context, maker, reference string) ([]examples.Example, error) {
	out, err := r.ownExamples(ctx, shop.Filter{Maker: maker, Reference: reference})
	if err != nil {
		return nil, err
	}
	seen, err := r.SeenExamples(ctx, maker, reference)
	if err != nil {
		return nil, err
	}
	for i := len(seen) - 1; i >= 0; i-- { // the first seen first
		out = append(out, Example(seen[i]))
	}
	return out, nil
}

package intake

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/refbook"
)

// Holder holds entries against the book and the files of the shop, as both were when it was
// made. It is for one goroutine.
type Holder struct {
	book    *refbook.Book
	files   []shop.Watch
	numbers map[string][]shop.Watch // files by maker and serial number; nil before one is asked for
	unclear []shop.Watch            // files whose serial number has figures that cannot be read

	seen func() []shop.SeenExample // those seen elsewhere, read when one is asked for
}

// Holder reads what entries are held against.
func (r *Room) Holder(ctx context.Context) (*Holder, error) {
	list, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, fmt.Errorf("hold entries against the files: %w", err)
	}
	return &Holder{book: r.shop.Book(ctx), files: list, seen: func() []shop.SeenExample {
		all, err := r.stores.Examples.Examples(ctx)
		if err != nil {
			return nil // then none is known, which is asked about
		}
		return all
	}}, nil
}

// Doubts are those about entries for a file, which may not be open yet. The doubts of each
// entry stand at its place; an entry is also held against those before it.
func (h *Holder) Doubts(file evidence.File, data ...evidence.Data) [][]gate.Doubt {
	known := gate.Known{File: file}
	if m, ref, ok := h.book.Reference(file.Maker, file.Reference); ok {
		known.Maker, known.Reference = m, ref
	}
	out := make([][]gate.Doubt, len(data))
	for i, d := range data {
		known.Elsewhere, known.Compared = "", gate.Other{}
		switch d := d.(type) {
		case *evidence.Comparison:
			known.Compared = h.named(d.Other)
		case *evidence.Mark:
			if d.What == evidence.MarkSerial {
				known.Elsewhere = h.elsewhere(file, d.Text)
			}
		}
		out[i] = gate.Doubts(d, known)
		known.File.Items = append([]evidence.Item{{Data: d}}, known.File.Items...)
	}
	return out
}

// First holds the first evidence of a file against book and files and returns what is odd about
// it. Where a reason is given, it is written beside each odd item.
func (h *Holder) First(w shop.Watch, items []evidence.Item, reason string) []gate.Doubt {
	data := make([]evidence.Data, len(items))
	for i, it := range items {
		data[i] = it.Data
	}
	var all []gate.Doubt
	file := evidence.File{ID: string(w.ID), Maker: w.Maker, Reference: w.Reference}
	reason = strings.TrimSpace(reason)
	for i, doubts := range h.Doubts(file, data...) {
		all = append(all, doubts...)
		if len(doubts) > 0 && reason != "" {
			items[i].Note = strings.TrimPrefix(items[i].Note+"; ", "; ") + keptAllTheSame + reason
		}
	}
	return all
}

// Opens makes a file count for the entries after it, before it is written.
func (h *Holder) Opens(w shop.Watch) {
	h.index()
	h.add(w)
}

// named is the watch of the shop with an id, a file number or a serial number, or the example with an id.
func (h *Holder) named(key string) gate.Other {
	key = strings.TrimSpace(key)
	for _, w := range h.files {
		if string(w.ID) == key || strconv.Itoa(w.Number) == key || w.Serial != "" && strings.EqualFold(w.Serial, key) {
			return gate.Other{ID: string(w.ID), Title: fmt.Sprintf("file %d, %s", w.Number, w.Title)}
		}
	}
	for _, e := range shop.StandingExamples(h.seen()) {
		if e.ID == key {
			return gate.Other{ID: key, Title: e.Title()}
		}
	}
	return gate.Other{}
}

// elsewhere names another file of the same maker with a serial number; empty where there is none.
func (h *Holder) elsewhere(file evidence.File, serial string) string {
	if strings.Contains(serial, "?") {
		return ""
	}
	h.index()
	for _, w := range append(slices.Clone(h.numbers[numberKey(file.Maker, serial)]), h.unclear...) {
		if string(w.ID) == file.ID || !strings.EqualFold(w.Maker, file.Maker) || !gate.SameNumber(w.Serial, serial) {
			continue
		}
		if w.Number == 0 { // a row of the same list
			return "Another row, " + w.Title
		}
		return fmt.Sprintf("File %d, %s", w.Number, w.Title)
	}
	return ""
}

func (h *Holder) index() {
	if h.numbers != nil {
		return
	}
	h.numbers = map[string][]shop.Watch{}
	for _, w := range h.files {
		h.add(w)
	}
}

func (h *Holder) add(w shop.Watch) {
	if w.Serial == "" {
		return
	}
	if p, err := refbook.ParsePattern(w.Serial); err == nil && !p.Whole() {
		h.unclear = append(h.unclear, w)
		return
	}
	key := numberKey(w.Maker, w.Serial)
	h.numbers[key] = append(h.numbers[key], w)
}

// numberKey is the same for all ways to write one number of a maker.
func numberKey(maker, number string) string {
	if n, err := refbook.ParseNumber(number); err == nil {
		number = strconv.FormatInt(n, 10)
	}
	return strings.ToLower(maker + "|" + strings.TrimSpace(number))
}

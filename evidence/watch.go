package evidence

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"sort"
	"time"
	"unicode/utf8"

	"midcase/typed"
)

// Watch is a watch with everything recorded about it, in the order of recording:
// the form of a watch file on disk.
type Watch struct {
	ID        string `json:"id,omitempty"`
	Schema    int    `json:"schema,omitempty"`
	Title     string `json:"title,omitempty"`
	Maker     string `json:"maker"`
	Reference string `json:"reference"`
	Evidence  []Item `json:"evidence" typed:"-"`
}

// maxWatchBytes is the most that a watch file may hold; pictures and sounds are
// kept beside it, so no honest one comes near.
const maxWatchBytes = 64 << 20

// ReadWatch reads a watch file and checks every item as of now. An error names the
// file, the item, the field, what was found and what would be right.
func ReadWatch(r io.Reader, name string, now time.Time) (Watch, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxWatchBytes+1))
	if err != nil {
		return Watch{}, fmt.Errorf("%s: %w", name, err)
	}
	if len(b) > maxWatchBytes {
		return Watch{}, fmt.Errorf("%s: more than 64 MB; a watch file keeps pictures and sounds beside it, not in it",
			name)
	}
	if !utf8.Valid(b) {
		return Watch{}, fmt.Errorf("%s: not UTF-8 text; save the file as UTF-8", name)
	}
	if len(bytes.TrimSpace(b)) == 0 {
		return Watch{}, fmt.Errorf("%s: the file is empty; give a watch file with maker, reference and evidence", name)
	}
	if err := typed.JSON(b); err != nil {
		return Watch{}, fmt.Errorf("%s: %w", name, err)
	}
	var w Watch
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&w); err != nil {
		err = inWords(err, &w)
		return Watch{}, fmt.Errorf("%s%s: %w", name, position(b, err), err)
	}
	if rest := bytes.TrimLeft(b[dec.InputOffset():], " \t\r\n"); len(rest) > 0 {
		return Watch{}, fmt.Errorf("%s%s: there is text after the end of the watch file", name,
			lineColumn(b, len(b)-len(rest)+1))
	}
	if err := w.Check(now); err != nil {
		return Watch{}, fmt.Errorf("%s: %w", name, err)
	}
	return w, nil
}

// Check reports everything wrong with the watch and its items.
func (w Watch) Check(now time.Time) error {
	var p Problems
	if w.Schema > SchemaVersion {
		p.add("schema", fmt.Sprint(w.Schema), fmt.Sprintf("at most %d; use a newer midcase", SchemaVersion))
	}
	for _, f := range typed.Check(w) {
		p.add(f.Field, f.Found, f.Want)
	}
	p.need("maker", w.Maker, "the maker as the reference book names it")
	p.need("reference", w.Reference, "the reference number")
	seen := map[ID]int{}
	for i, it := range w.Evidence {
		where := fmt.Sprintf("evidence[%d] (%s)", i, it.ID)
		for _, q := range it.Check(now) {
			q.Field = where + " " + q.Field
			p = append(p, q)
		}
		if first, dup := seen[it.ID]; dup {
			p.add(where+" id", quote(string(it.ID)), fmt.Sprintf("an id of its own (evidence[%d] has it)", first))
		}
		seen[it.ID] = i
	}
	for i, it := range w.Evidence {
		wd, ok := it.Data.(*Withdrawal)
		if !ok {
			continue
		}
		if j, ok := seen[wd.Of]; !ok || j >= i {
			p.add(fmt.Sprintf("evidence[%d] (%s) data.of", i, it.ID), quote(string(wd.Of)), "the id of an earlier item")
		}
	}
	return p.Err()
}

// File is a watch as it stood at a moment: what is in force, the latest first, and
// what was withdrawn.
type File struct {
	ID        string
	Title     string
	Maker     string
	Reference string
	AsOf      time.Time
	Items     []Item      // in force, latest first
	Withdrawn []Withdrawn // latest first
}

// Withdrawn is an item that no longer counts, with the item that withdrew it.
type Withdrawn struct {
	Item       Item
	Withdrawal Item
}

// Fold gives the watch as it stood at the end of asOf: items recorded later do not
// count, nor do withdrawals made later. A withdrawal may itself be withdrawn, which
// brings the item back. The watch is not changed.
func Fold(w Watch, asOf time.Time) File {
	f := File{ID: w.ID, Title: w.Title, Maker: w.Maker, Reference: w.Reference, AsOf: asOf}
	f.namedAsOf(w)
	items := make([]Item, 0, len(w.Evidence))
	for _, it := range w.Evidence {
		if !it.At.After(asOf) {
			items = append(items, it)
		}
	}
	gone := withdrawn(items)
	sort.SliceStable(items, func(i, j int) bool { return items[i].At.Before(items[j].At) })
	for i := len(items) - 1; i >= 0; i-- {
		it := items[i]
		if by, ok := gone[it.ID]; ok {
			f.Withdrawn = append(f.Withdrawn, Withdrawn{it, by})
			continue
		}
		if it.Kind() != KindWithdrawal {
			f.Items = append(f.Items, it)
		}
	}
	return f
}

// withdrawn gives for each item out of force the withdrawal that holds. A
// withdrawal names an item recorded before it, so going back from the last one
// meets each withdrawal after all that could withdraw it; the clock does not count.
func withdrawn(items []Item) map[ID]Item {
	gone := map[ID]Item{}
	for i := len(items) - 1; i >= 0; i-- {
		it := items[i]
		wd, ok := it.Data.(*Withdrawal)
		if !ok {
			continue
		}
		if _, void := gone[it.ID]; !void {
			gone[wd.Of] = it
		}
	}
	return gone
}

// Entry is the data of one kind with the item it came from.
type Entry[T Data] struct {
	Item Item
	Data T
}

// All returns the entries of one kind in force, latest first:
//
//	for _, m := range evidence.All[*evidence.Mark](f) { … }
func All[T Data](f File) []Entry[T] {
	n := 0
	for i := range f.Items {
		if _, ok := f.Items[i].Data.(T); ok {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	out := make([]Entry[T], 0, n) // an entry is large to move
	for _, it := range f.Items {
		if d, ok := it.Data.(T); ok {
			out = append(out, Entry[T]{it, d})
		}
	}
	return out
}

package stock

import (
	"cmp"
	"slices"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/wording"
	"midcase/refbook"
)

// Choice narrows the list. Empty fields do not.
type Choice struct {
	desk.Filter
	Text  string
	Metal string
	Age   string // "30", "90", "365": at least so many days in the shop
	Todo  string // the ID of a task
}

// Narrow keeps the rows that pass the choice but for its text.
func (c Choice) Narrow(rows []desk.Brief, book *refbook.Book, now time.Time) []desk.Brief {
	if c.Values().Encode() == "" {
		return slices.Clone(rows)
	}
	var out []desk.Brief
	for i := range rows {
		if c.passes(&rows[i], book, now) {
			out = append(out, rows[i])
		}
	}
	return out
}

// more reports whether one of the filters is set that do not show at first.
func (c Choice) more() bool {
	f := c.Filter
	f.State = ""
	return f != desk.Filter{} || c.Metal != "" || c.Age != ""
}

func (c Choice) passes(b *desk.Brief, book *refbook.Book, now time.Time) bool {
	w := b.Watch
	if !c.Passes(b) {
		return false
	}
	if c.Metal != "" && metal(book, w) != c.Metal {
		return false
	}
	if days := ageDays(c.Age); days > 0 && now.Sub(since(w)) < time.Duration(days)*24*time.Hour {
		return false
	}
	if c.Todo != "" {
		t, ok := task(c.Todo)
		return ok && t.due(b, now)
	}
	return true
}

func metal(book *refbook.Book, w shop.Watch) string {
	if _, r, ok := book.Reference(w.Maker, w.Reference); ok {
		return r.Metal
	}
	return ""
}

func ageDays(age string) int {
	return map[string]int{"30": 30, "90": 90, "365": 365}[age]
}

// since is when the watch came in.
func since(w shop.Watch) time.Time {
	if day, ok := w.Acquired.First(); ok {
		return day
	}
	return w.Created
}

// Task is something to be done today about some watches.
type Task struct {
	ID    string
	Says  string
	Count int
	due   func(b *desk.Brief, now time.Time) bool
}

// tasks are what the stock itself gives cause for.
func tasks() []Task {
	long := func(state shop.State, days int) func(*desk.Brief, time.Time) bool {
		return func(b *desk.Brief, now time.Time) bool {
			return b.Watch.State == state && now.Sub(b.Watch.Changed) > time.Duration(days)*24*time.Hour
		}
	}
	asks := func(b *desk.Brief) bool {
		return b.Median != nil && !b.Watch.Asking.IsZero() && b.Watch.State == shop.Listed
	}
	return []Task{
		{ID: "decide", Says: "offered to us: decide", due: func(b *desk.Brief,
			_ time.Time) bool {
			return b.Watch.State == shop.Offered
		}},
		{ID: "due", Says: "due by today: back, or to be decided", due: func(b *desk.Brief, now time.Time) bool {
			day, ok := b.Watch.Due.First()
			return ok && !day.After(now)
		}},
		{ID: "tell", Says: "listed with a part that does not belong: tell the buyer",
			due: func(b *desk.Brief, _ time.Time) bool { return b.Watch.State == shop.Listed && doesNotFit(b) }},
		{ID: "low", Says: "listed below its range: ask more", due: func(b *desk.Brief,
			_ time.Time) bool {
			return asks(b) && b.Watch.Asking.Float() < b.Low
		}},
		{ID: "high", Says: "listed above its range: ask less, or say why",
			due: func(b *desk.Brief, _ time.Time) bool { return asks(b) && b.Watch.Asking.Float() > b.High }},
		{ID: "loss", Says: "cost more than they are worth", due: func(b *desk.Brief, _ time.Time) bool {
			return b.Watch.State != shop.Sold && b.Median != nil && !b.Watch.Cost.IsZero() &&
				b.Watch.Cost.Float() > *b.Median
		}},
		{ID: "price", Says: "bought, not priced yet", due: func(b *desk.Brief,
			_ time.Time) bool {
			return b.Watch.State == shop.Bought && b.Watch.Asking.IsZero()
		}},
		{ID: "reserved", Says: "reserved for more than two weeks: ask", due: long(shop.Reserved, 14)},
		{ID: "memo", Says: "out on memo for more than a month: call back", due: long(shop.OnMemo, 30)},
		{ID: "watchmaker", Says: "at the watchmaker for more than two months: ask", due: long(shop.AtWorkshop, 60)},
		{ID: "outdated", Says: "reported, and the evidence is another since: make a new report",
			due: func(b *desk.Brief, _ time.Time) bool { return b.Outdated && b.Watch.State != shop.Sold }},
		{ID: "sales", Says: "reported before sales came in: look at the value again",
			due: func(b *desk.Brief, _ time.Time) bool { return b.Sales && !b.Outdated && b.Watch.State != shop.Sold }},
		{ID: "unknown", Says: "without a value: more evidence or sales are needed",
			due: func(b *desk.Brief, _ time.Time) bool {
				return b.Median == nil && !b.Forming && b.Watch.State != shop.Sold
			}},
	}
}

func task(id string) (Task, bool) {
	for _, t := range tasks() {
		if t.ID == id {
			return t, true
		}
	}
	return Task{}, false
}

// Due lists the tasks that some watch gives cause for.
func Due(rows []desk.Brief, now time.Time) []Task {
	var out []Task
	for _, t := range tasks() {
		for i := range rows {
			if t.due(&rows[i], now) {
				t.Count++
			}
		}
		if t.Count > 0 {
			out = append(out, t)
		}
	}
	return out
}

// Known are the values that the list can be narrowed to.
type Known struct {
	Makers, References, Places []string
	Metals                     []frame.Choice

	references map[string][]string // by maker
}

// mostReferences is how many references are offered without a maker being chosen.
const mostReferences = 150

// Of leaves the references of the maker that is chosen; where none is and there are very
// many, none are offered.
func (k Known) Of(c Choice) Known {
	if c.Maker != "" {
		k.References = k.references[c.Maker]
	} else if len(k.References) > mostReferences {
		k.References = nil
	}
	if c.Reference != "" && !slices.Contains(k.References, c.Reference) {
		k.References = append(slices.Clone(k.References), c.Reference)
	}
	return k
}

// Offer gathers them from all watches.
func Offer(rows []desk.Brief, book *refbook.Book) Known {
	makers, places, metals := map[string]map[string]bool{}, map[string]bool{}, map[string]string{}
	for _, b := range rows {
		w := b.Watch
		refs, seen := makers[w.Maker]
		if !seen {
			refs = map[string]bool{}
			makers[w.Maker] = refs
		}
		if !refs[w.Reference] {
			refs[w.Reference] = true
			if id := metal(book, w); id != "" {
				metals[id] = metalName(book, w.Maker, id)
			}
		}
		places[w.Place] = true
	}
	k := Known{Places: named(places), references: map[string][]string{}}
	all := map[string]bool{}
	for maker, refs := range makers {
		if maker != "" {
			k.Makers = append(k.Makers, maker)
		}
		k.references[maker] = named(refs)
		for r := range refs {
			all[r] = true
		}
	}
	slices.Sort(k.Makers)
	k.References = named(all)
	for id, name := range metals {
		k.Metals = append(k.Metals, frame.Choice{Value: id, Text: name})
	}
	slices.SortFunc(k.Metals, func(a, b frame.Choice) int {
		return cmp.Or(cmp.Compare(a.Text, b.Text), cmp.Compare(a.Value, b.Value))
	})
	return k
}

// named lists names in their order, without the empty one.
func named(all map[string]bool) []string {
	out := make([]string, 0, len(all))
	for s := range all {
		if s != "" {
			out = append(out, s)
		}
	}
	slices.Sort(out)
	return out
}

// metalName is a metal as its maker's book names it.
func metalName(book *refbook.Book, maker, id string) string {
	if m, ok := book.Maker(maker); ok {
		for _, x := range m.Metals {
			if x.ID == id && x.Name != "" {
				return x.Name
			}
		}
	}
	return wording.Underscored(id)
}

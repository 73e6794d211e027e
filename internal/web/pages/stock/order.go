package stock

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/desk"
)

// Sort orders rows in place by a column; a minus before it turns the order round.
// What is not known comes last either way, and equal ones stay by file number.
func Sort(rows []desk.Brief, order string) {
	column, down := strings.CutPrefix(order, "-")
	for _, c := range Columns() {
		if c.ID != column || c.compare == nil {
			continue
		}
		slices.SortStableFunc(rows, func(a, b desk.Brief) int {
			ka, kb := c.known(a), c.known(b)
			switch {
			case ka != kb && ka:
				return -1
			case ka != kb:
				return 1
			case down:
				return c.compare(b, a)
			}
			return c.compare(a, b)
		})
	}
}

// Column is one column of the list.
type Column struct {
	ID, Name string
	Number   bool
	compare  func(a, b desk.Brief) int
	known    func(desk.Brief) bool
}

// Columns lists the columns in their order; all sort.
func Columns() []Column {
	always := func(desk.Brief) bool { return true }
	figure := func(get func(desk.Brief) (float64, bool)) (func(a, b desk.Brief) int, func(desk.Brief) bool) {
		return func(a, b desk.Brief) int {
				x, _ := get(a)
				y, _ := get(b)
				return cmp.Compare(x, y)
			}, func(b desk.Brief) bool {
				_, ok := get(b)
				return ok
			}
	}
	text := func(get func(desk.Brief) string) (func(a, b desk.Brief) int, func(desk.Brief) bool) {
		return func(a, b desk.Brief) int {
			return cmp.Compare(strings.ToLower(get(a)), strings.ToLower(get(b)))
		}, func(b desk.Brief) bool { return get(b) != "" }
	}
	number, _ := figure(func(b desk.Brief) (float64, bool) { return float64(b.Watch.Number), true })
	out := []Column{{ID: "number", Name: "No.", Number: true, compare: number, known: always}}
	add := func(id, name string, isNumber bool, compare func(a, b desk.Brief) int, known func(desk.Brief) bool) {
		out = append(out, Column{id, name, isNumber, compare, known})
	}
	c, k := text(func(b desk.Brief) string { return b.Watch.Title })
	add("title", "Watch", false, c, k)
	c, k = text(func(b desk.Brief) string { return b.Made })
	add("made", "Made", false, c, k)
	c, k = figure(func(b desk.Brief) (float64, bool) { return -float64(len(b.Troubles)), b.Problem == "" })
	add("parts", "Parts", false, c, k)
	c, k = figure(func(b desk.Brief) (float64, bool) { return known(b.Grade) })
	add("grade", "Grade", true, c, k)
	c, k = figure(func(b desk.Brief) (float64, bool) { return known(b.Median) })
	add("value", "Value", true, c, k)
	c, k = figure(func(b desk.Brief) (float64, bool) { return b.Watch.Cost.Float(), !b.Watch.Cost.IsZero() })
	add("cost", "Cost", true, c, k)
	c, k = figure(func(b desk.Brief) (float64, bool) { return b.Watch.Asking.Float(), !b.Watch.Asking.IsZero() })
	add("asking", "We ask", true, c, k)
	c, k = figure(func(b desk.Brief) (float64, bool) {
		return float64(slices.Index(shop.States(), b.Watch.State)), true
	})
	add("state", "State, place", false, c, k)
	return out
}

func known(v *float64) (float64, bool) {
	if v == nil {
		return 0, false
	}
	return *v, true
}

// next is the order that a press on a column's head asks for: up first for words,
// down first for figures, then the other way.
func next(d Data, c Column) string {
	first, second := c.ID, "-"+c.ID
	if c.Number && c.ID != "number" {
		first, second = second, first
	}
	if d.Sort == first {
		return second
	}
	return first
}

// direction is the aria-sort of a column.
func direction(d Data, c Column) string {
	switch d.Sort {
	case c.ID:
		return "ascending"
	case "-" + c.ID:
		return "descending"
	case "":
		if c.ID == "number" {
			return "ascending"
		}
	}
	return "none"
}

// link is the address of the list as it is, with one thing changed.
func link(d Data, path string, change ...string) string {
	v := d.Choice.Values()
	if d.Sort != "" {
		v.Set("sort", d.Sort)
	}
	for i := 0; i+1 < len(change); i += 2 {
		v.Del(change[i])
		if change[i+1] != "" {
			v.Set(change[i], change[i+1])
		}
	}
	if len(v) == 0 {
		return path
	}
	return path + "?" + v.Encode()
}

// query is the list's own query string, for a saved view.
func query(d Data) string {
	v := d.Choice.Values()
	if d.Sort != "" {
		v.Set("sort", d.Sort)
	}
	return v.Encode()
}

// Values are the fields of a choice that narrow, as a query.
func (c Choice) Values() url.Values {
	v := c.Query()
	for name, value := range map[string]string{"q": c.Text, "metal": c.Metal, "age": c.Age, "todo": c.Todo} {
		if value != "" {
			v.Set(name, value)
		}
	}
	return v
}

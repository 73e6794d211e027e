package stock

import (
	"net/url"
	"slices"
	"strings"

	"midcase/internal/shop"
)

// Order is one way to sort the list.
type Order struct{ ID, Name string }

// Orders lists the ways to sort.
func Orders() []Order {
	return []Order{{"", "by file number"}, {"title", "by name"}, {"value", "dearest first"}, {"grade", "best first"}, {"troubles", "most to look at first"}, {"changed", "last changed first"}}
}

// Sort orders rows in place; equal ones stay in order of file number.
func Sort(rows []shop.Brief, order string) {
	less := map[string]func(a, b shop.Brief) int{
		"title": func(a, b shop.Brief) int {
			return strings.Compare(strings.ToLower(a.Watch.Title), strings.ToLower(b.Watch.Title))
		},
		"value":    func(a, b shop.Brief) int { return descending(a.Median, b.Median) },
		"grade":    func(a, b shop.Brief) int { return descending(a.Grade, b.Grade) },
		"troubles": func(a, b shop.Brief) int { return len(b.Troubles) - len(a.Troubles) },
		"changed":  func(a, b shop.Brief) int { return b.Watch.Changed.Compare(a.Watch.Changed) },
	}[order]
	if less != nil {
		slices.SortStableFunc(rows, less)
	}
}

// descending puts what is not known last.
func descending(a, b *float64) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return 1
	case b == nil:
		return -1
	case *a > *b:
		return -1
	case *a < *b:
		return 1
	}
	return 0
}

func csvLink(d Data) string {
	v := url.Values{}
	for name, value := range map[string]string{"q": d.Filter.Text, "state": string(d.Filter.State), "sort": d.Sort} {
		if value != "" {
			v.Set(name, value)
		}
	}
	if len(v) == 0 {
		return "/stock.csv"
	}
	return "/stock.csv?" + v.Encode()
}

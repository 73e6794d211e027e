package stock

import (
	"slices"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/money"
	"midcase/refbook"
)

var day = time.Date(2026, 11, 2, 10, 0, 0, 0, time.UTC)

func amount(text string) money.Money {
	m, err := money.Parse(text, "EUR")
	if err != nil {
		panic(err)
	}
	return m
}

func rows() []desk.Brief {
	low, high := 5000.0, 9000.0
	acquired, _ := edtf.Parse("2025-01-10")
	return []desk.Brief{
		{Watch: shop.Watch{Number: 1, Title: "b", Maker: "Corvane", State: shop.Listed, Asking: amount("4000"),
			Place: "safe", Created: day, Changed: day}, Median: &low, Low: 4500, High: 5500},
		{Watch: shop.Watch{Number: 2, Title: "A", Maker: "Ostrel", State: shop.Offered, Created: day, Changed: day}},
		{Watch: shop.Watch{Number: 3, Title: "c", Maker: "Corvane", State: shop.Reserved, Cost: amount("12000"),
			Acquired: acquired, Created: day, Changed: day.AddDate(0, -2,
				0)}, Median: &high, Troubles: []string{"dial does not belong"}},
	}
}

func numbers(r []desk.Brief) []int {
	var out []int
	for _, b := range r {
		out = append(out, b.Watch.Number)
	}
	return out
}

func TestSort(t *testing.T) {
	for order, want := range map[string][]int{
		"": {1, 2, 3}, "title": {2, 1, 3}, "-title": {3, 1, 2}, "value": {1, 3, 2}, "-value": {3, 1, 2}, "-number": {3,
			2, 1}, "parts": {3, 1, 2}, "nonsense": {1, 2, 3}, "cost": {3, 1, 2},
	} {
		r := rows()
		Sort(r, order)
		if got := numbers(r); !slices.Equal(got, want) {
			t.Errorf("Sort by %q: %v; want %v", order, got, want)
		}
	}
}

func TestNarrow(t *testing.T) {
	book, err := refbook.New()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		choice Choice
		want   []int
	}{
		{Choice{}, []int{1, 2, 3}}, {Choice{Filter: desk.Filter{Maker: "Corvane"}}, []int{1, 3}},
		{Choice{Filter: desk.Filter{Place: "safe"}}, []int{1}}, {Choice{Age: "365"}, []int{3}},
		{Choice{Todo: "decide"}, []int{2}},
		{Choice{Todo: "low"}, []int{1}}, {Choice{Todo: "loss"}, []int{3}}, {Choice{Todo: "reserved"},
			[]int{3}}, {Choice{Todo: "nonsense"}, nil}, {Choice{Metal: "gold18"}, nil},
	} {
		if got := numbers(c.choice.Narrow(rows(), book, day)); !slices.Equal(got, c.want) {
			t.Errorf("%+v: %v; want %v", c.choice, got, c.want)
		}
	}
}

func TestDueCounts(t *testing.T) {
	got := map[string]int{}
	for _, task := range Due(rows(), day) {
		got[task.ID] = task.Count
	}
	for id, n := range map[string]int{"decide": 1, "low": 1, "loss": 1, "reserved": 1, "unknown": 1} {
		if got[id] != n {
			t.Errorf("%s: %d; want %d", id, got[id], n)
		}
	}
	if _, ok := got["memo"]; ok {
		t.Error("what waits for nobody must not be listed")
	}
}

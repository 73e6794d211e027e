package shop_test

import (
	"errors"
	"fmt"
	"maps"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/shoptest"
	"midcase/opinion"
)

// counterShop is a shop with the invented book and a tenth of its sales.
func counterShop(t *testing.T) *rooms.Shop { return shoptest.New(t).WithSales(t).Shop }

func TestCounter(t *testing.T) {
	s := counterShop(t)
	ask := func(q desk.Inquiry) desk.Offer {
		t.Helper()
		o, err := s.Desk.Counter(t.Context(), q, morning)
		if err != nil {
			t.Fatal(err)
		}
		if !o.Opinion.Value.Known || o.Opinion.Deal.HighestPrice == nil {
			t.Fatalf("no answer to %+v: %s", q, o.Opinion.Value.CannotTell)
		}
		return o
	}
	plain := ask(desk.Inquiry{Reference: "Corvane KR-1"})
	good, poor := ask(desk.Inquiry{Reference: "KR-1", Condition: 9}), ask(desk.Inquiry{Reference: "corvane/KR-1",
		Condition: 4})
	if *good.Opinion.Value.Median <= *poor.Opinion.Value.Median {
		t.Errorf("better condition is worth %.0f, worse %.0f", *good.Opinion.Value.Median, *poor.Opinion.Value.Median)
	}
	if good.Opinion.Deal.HighestPrice.Float() <= poor.Opinion.Deal.HighestPrice.Float() {
		t.Error("a better watch may cost more")
	}
	if full, alone := ask(desk.Inquiry{Reference: "KR-1", Set: "full"}), ask(desk.Inquiry{Reference: "KR-1",
		Set: "watch"}); *full.Opinion.Value.Median <= *alone.Opinion.Value.Median {
		t.Error("box and papers must add to the price")
	}
	read := ask(desk.Inquiry{Reference: "KR-1", Serial: "299298"})
	months := func(o desk.Offer) int {
		i := o.Opinion.Dating.Interval90
		return int(i[1] - i[0])
	}
	if months(read) >= months(plain) {
		t.Errorf("with a serial number the date spans %d months, without %d", months(read), months(plain))
	}
	if len(read.Looks) == 0 {
		t.Error("nothing to check first")
	}
	asked := ask(desk.Inquiry{Reference: "KR-1", Asked: eur("90000")})
	if asked.Opinion.Deal.ChanceOfLoss == nil || *asked.Opinion.Deal.ChanceOfLoss < 0.9 {
		t.Error("a price far above the range must nearly always lose")
	}
	if all, err := s.Watches(t.Context(), shop.Filter{}); err != nil || len(all) != 0 {
		t.Errorf("asking opened %d files, %v", len(all), err)
	}
}

// A file made from an inquiry says what the counter said, whatever was told.
func TestTakeInKeepsFigures(t *testing.T) {
	s := counterShop(t)
	for _, q := range []desk.Inquiry{
		{Reference: "Corvane KR-1"},
		{Reference: "KR-1", Condition: 8, Set: "full", Asked: eur("4500")},
		{Reference: "KR-1", Condition: 5, Set: "papers", Serial: "299298", Metal: "gold18"},
		{Reference: "KR-2", Year: 1966, Set: "watch", Asked: eur("2500")},
		{Reference: "KR-2", Year: 1966, Serial: "299298", Condition: 9},
	} {
		offer, err := s.Desk.Counter(t.Context(), q, morning)
		if err != nil {
			t.Fatal(err)
		}
		w, err := s.Desk.TakeInInquiry(t.Context(), q, "as it was told", "Ines")
		if err != nil {
			t.Fatal(err)
		}
		o, err := s.Opinion(t.Context(), w.ID, morning)
		if err != nil {
			t.Fatal(err)
		}
		was := offer.Opinion
		if !was.Value.Known || !was.Deal.Known || *o.Value.Median != *was.Value.Median ||
			!maps.Equal(o.Value.Interval, was.Value.Interval) {
			t.Errorf("%+v: worth %v at the counter, %v in the file", q, was.Value.Interval, o.Value.Interval)
		}
		if o.Deal.HighestPrice.String() != was.Deal.HighestPrice.String() ||
			o.Deal.ExpectedProfit.String() != was.Deal.ExpectedProfit.String() {
			t.Errorf("%+v: highest price %s, profit %s at the counter; %s, %s in the file", q, was.Deal.HighestPrice,
				was.Deal.ExpectedProfit, o.Deal.HighestPrice, o.Deal.ExpectedProfit)
		}
		in, err := s.SellingOf(t.Context(), w.ID, morning, "")
		if err != nil {
			t.Fatal(err)
		}
		routes, err := opinion.CompareRoutes(in)
		if err != nil || routes.HighestPrice.String() != was.Deal.HighestPrice.String() ||
			routes.ExpectedProfit.String() != was.Deal.ExpectedProfit.String() {
			t.Errorf("%+v: the routes say %s, %s; %v", q, routes.HighestPrice, routes.ExpectedProfit, err)
		}
	}
}

func TestCounterRefuses(t *testing.T) {
	s := counterShop(t)
	for field, q := range map[string]desk.Inquiry{
		"reference": {Reference: "no such"}, "condition": {Reference: "KR-1",
			Condition: 11}, "serial": {Reference: "KR-1", Year: 2999}, "set": {Reference: "KR-1", Set: "half"},
	} {
		_, err := s.Desk.Counter(t.Context(), q, morning)
		var invalid *shop.Invalid
		if !errors.As(err, &invalid) || invalid.Problems[0].Field != field {
			t.Errorf("%+v: %v; want a problem with %s", q, err, field)
		}
		if _, err := s.Desk.TakeInInquiry(t.Context(), q, "", "Ines"); !errors.As(err, &invalid) {
			t.Errorf("%+v taken in: %v", q, err)
		}
	}
}

func TestViews(t *testing.T) {
	h := newHouse(t)
	for _, v := range []desk.View{{Name: "b", Query: "q=2"}, {Name: " a ", Query: "q=1"}, {Name: "b", Query: "q=3"}} {
		if err := h.Desk.SaveView(t.Context(), v); err != nil {
			t.Fatal(err)
		}
	}
	got, err := h.Desk.Views(t.Context())
	if err != nil || len(got) != 2 || got[0] != (desk.View{Name: "a", Query: "q=1"}) || got[1].Query != "q=3" {
		t.Errorf("%v, %v", got, err)
	}
	if err := h.Desk.SaveView(t.Context(), desk.View{Name: "a"}); err != nil {
		t.Fatal(err)
	}
	if got, _ = h.Desk.Views(t.Context()); len(got) != 1 {
		t.Errorf("%v; want the first forgotten", got)
	}
	for _, bad := range []string{"", "  ", strings.Repeat("x", 61)} {
		if err := h.Desk.SaveView(t.Context(), desk.View{Name: bad, Query: "q=1"}); err == nil {
			t.Errorf("name %q was taken", bad)
		}
	}
}

// The counter reads a reference as people say it, proposes the nearest, and answers for one
// that only the sales know.
func TestCounterReadsLoosely(t *testing.T) {
	s := counterShop(t)
	for text, want := range map[string]string{
		"KR-1": "Corvane KR-1", "kr1": "Corvane KR-1", "KR 1": "Corvane KR-1", "ref. kr-1": "Corvane KR-1",
		"corvane kr 1 steel": "Corvane KR-1", "the kr1 in steel": "Corvane KR-1",
	} {
		o, err := s.Desk.Counter(t.Context(), desk.Inquiry{Reference: text}, morning)
		if err != nil || o.Maker.Name+" "+o.Reference.ID != want {
			t.Errorf("%q: %v; want %s", text, err, want)
		}
	}
	_, err := s.Desk.Counter(t.Context(), desk.Inquiry{Reference: "Corvane 1"}, morning)
	if err == nil || !strings.Contains(err.Error(), "Corvane KR-1 or Corvane KV-1") {
		t.Errorf("%v; want those that it may be", err)
	}
	_, err = s.Desk.Counter(t.Context(), desk.Inquiry{Reference: "Corvane KR-19"}, morning)
	if err == nil || !strings.Contains(err.Error(), "Corvane KR-1") {
		t.Errorf("%v; want the nearest proposed", err)
	}
	o, err := s.Desk.Counter(t.Context(), desk.Inquiry{Reference: "Ellmark T 500"}, morning)
	if err != nil || o.InBook || !o.Opinion.Value.Known || o.Opinion.Value.SalesOfReference != 0 {
		t.Fatalf("%+v, %v; want a value of the whole market for what nobody knows", o.Opinion.Value, err)
	}
	first := fmt.Sprint(o.Opinion.Value.Says[0])
	if !strings.Contains(first, "No sale of this maker") {
		t.Errorf("it says first %q", first)
	}
}

func TestWhatTheBookLacks(t *testing.T) {
	s := counterShop(t)
	for i := range 3 {
		_, err := s.Desk.TakeInInquiry(t.Context(), desk.Inquiry{Reference: "Ellmark T 500", Serial: fmt.Sprint(5000 + i)},
			"", "Ines")
		if err != nil {
			t.Fatal(err)
		}
	}
	all, err := s.Desk.Lacks(t.Context())
	if err != nil || len(all) == 0 || all[0].Watches != 3 || all[0].Reference != "T 500" || all[0].InBook {
		t.Fatalf("%+v, %v; want the reference of three watches that the book does not have", all, err)
	}
}

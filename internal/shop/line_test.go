package shop_test

import (
	"strings"
	"testing"
)

// What is said in one line becomes the inquiry, and the figures stay when it is kept.
func TestALineAtTheCounter(t *testing.T) {
	s := counterShop(t)
	ctx := t.Context()
	q, err := s.Desk.Heard(ctx, "KR-1 414461 box 5200")
	if err != nil || q.Reference != "Corvane KR-1" || q.Serial != "414461" || q.Asked.String() != "5200.00 EUR" {
		t.Fatalf("%+v, %v", q, err)
	}
	o, err := s.Desk.Counter(ctx, q, morning)
	if err != nil || !o.Opinion.Value.Known || len(o.Odd) != 0 {
		t.Fatalf("%+v, %v", o.Odd, err)
	}
	w, err := s.Desk.TakeInInquiry(ctx, q, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	kept, err := s.Opinion(ctx, w.ID, morning)
	if err != nil || *kept.Value.Median != *o.Opinion.Value.Median || kept.Dating.EDTF != o.Opinion.Dating.EDTF {
		t.Errorf("the figures changed in the move: %v, %v; %v", *kept.Value.Median, *o.Opinion.Value.Median, err)
	}
	q, err = s.Desk.Heard(ctx, "kr-1 1968 platinum")
	if err != nil || q.Year != 1968 || q.Metal != "platinum" {
		t.Fatalf("%+v, %v", q, err)
	}
	o, err = s.Desk.Counter(ctx, q, morning)
	if err != nil || len(o.Odd) != 1 || !strings.Contains(o.Odd[0].Says.String(), "The book has no KR-1 in platinum") {
		t.Errorf("%v, %v; want what the book has not", o.Odd, err)
	}
	if _, err := s.Desk.Heard(ctx, "something nice"); err == nil {
		t.Error("a line without a reference was read")
	}
}

package shop_test

import (
	"strings"
	"testing"

	"midcase/internal/shop/rooms"
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
	w, err := s.Desk.TakeInInquiry(ctx, q, "", "Ines")
	if err != nil {
		t.Fatal(err)
	}
	kept, err := s.Opinion(ctx, w.ID, morning)
	if err != nil || *kept.Value.Median != *o.Opinion.Value.Median || kept.Dating.EDTF != o.Opinion.Dating.EDTF {
		t.Errorf("the figures changed in the move: %v, %v; %v", *kept.Value.Median, *o.Opinion.Value.Median, err)
	}
	for _, line := range []string{"KR-1 414459 silver dial box 5200", "KR-2 1967 no box or papers 9k", "KR-8-18 full set",
		"KR-1 299298 cream dial with papers asks 4,500", "KV-1 platinum 1974"} {
		figuresStay(t, s, line)
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

// figuresStay keeps what a line said and holds the file against the answer at the counter.
func figuresStay(t *testing.T, s *rooms.Shop, line string) {
	t.Helper()
	q, err := s.Desk.Heard(t.Context(), line)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	o, err := s.Desk.Counter(t.Context(), q, morning)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	w, err := s.Desk.TakeInInquiry(t.Context(), q, "as it was told", "Ines")
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	kept, err := s.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	was, is := o.Opinion, kept
	if was.Dating.EDTF != is.Dating.EDTF || was.Value.Interval["80"] != is.Value.Interval["80"] ||
		was.Deal.HighestPrice.String() != is.Deal.HighestPrice.String() {
		t.Errorf("%s: at the counter %s, %v, at most %s; in the file %s, %v, at most %s", line, was.Dating.EDTF,
			was.Value.Interval["80"], was.Deal.HighestPrice, is.Dating.EDTF, is.Value.Interval["80"], is.Deal.HighestPrice)
	}
}

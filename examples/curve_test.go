package examples_test

import (
	"fmt"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/say"
)

// Dated numbers that the book has right say so; a batch that was used two years late is named with its numbers, and an
// example without a date of its own says nothing of the curve.
func TestCurveOfNumbers(t *testing.T) {
	t.Parallel()
	b := book()
	m, _ := b.Maker("lindgard")
	var seen []examples.Example
	add := func(n int, month edtf.Month, made bool) {
		e := examples.Example{ID: fmt.Sprint("no. ", n), Maker: "Lindgard", Reference: "L-9", Serial: fmt.Sprint(n),
			Parts: map[evidence.Slot]string{evidence.Bezel: "wide"}}
		if made {
			e.Made = edtf.MustParse(month.String())
		}
		seen = append(seen, e)
	}
	for i := range 18 { // 60,000 numbers in three years, as the book has it
		add(202000+3000*i, edtf.MonthOf(1961, 1)+edtf.Month((2000+3000*i)*36/60000), true)
	}
	for i := range 4 {
		add(230100+400*i, edtf.MonthOf(1964, 9), true)
		add(231050+400*i, 0, false)
	}
	all := examples.LearnCurves(m, seen)
	if len(all) != 1 || all[0].Examples != 22 || len(all[0].Batches) != 1 || len(all[0].Outliers) != 4 {
		t.Fatalf("curves %+v", all)
	}
	text := say.Statement.String(all[0].Batches[0])
	for _, want := range []string{"230100", "231300", "1964"} {
		if !strings.Contains(text, want) {
			t.Errorf("%s; want %s in it", text, want)
		}
	}
	if !strings.Contains(say.Statement.String(all[0].Says), "at no number") {
		t.Errorf("%s; the book is right", all[0].Says)
	}
	if got := examples.LearnCurves(m, seen[:7]); len(got) != 0 {
		t.Errorf("seven dated numbers make a curve: %+v", got)
	}
}

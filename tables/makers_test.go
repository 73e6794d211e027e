package tables_test

import (
	"fmt"
	"strings"
	"testing"

	"midcase/tables"
)

// Who made a watch is taken from the row, else from the other rows that name its reference, else from the answer; an
// answer never takes the place of a maker that a row names, and a metal is no maker. The list is invented.
func TestMakersOfRowsThatNameNone(t *testing.T) {
	const list = "Watch,Paid,Bought\n" +
		"T 218 steel,1000 EUR,2024-01-02\n" +
		"218 Orbenau,1000 EUR,2024-01-03\n" +
		"Orbenau 218 black dial,1200 EUR,2024-01-04\n" +
		"340 gold,1200 EUR,2024-01-05\n" +
		"Vossmann T218,900 EUR,2024-01-06\n" +
		"Pelgrave 77,900 EUR,2024-01-07\n" +
		"Orbenau 77,950 EUR,2024-01-08\n" +
		"77,930 EUR,2024-01-09\n"
	for answer, want := range map[string]string{
		"":        "Vossmann T218|Orbenau 218|Orbenau 218|? 340|Vossmann T218|Pelgrave 77|Orbenau 77|? 77",
		"Tarbeck": "Vossmann T218|Orbenau 218|Orbenau 218|Tarbeck 340|Vossmann T218|Pelgrave 77|Orbenau 77|Tarbeck 77",
	} {
		opt := tables.Options{Answers: map[string]string{}}
		if answer != "" {
			opt.Answers[tables.AskMaker] = answer
		}
		got, err := tables.Read([]byte(list), tables.Stock, opt)
		if err != nil {
			t.Fatal(err)
		}
		var named []string
		for _, r := range got.Rows {
			maker := "?"
			if m, ok := r.Fields["maker"].(string); ok {
				maker = m
			}
			named = append(named, fmt.Sprint(maker, " ", r.Fields["reference"]))
		}
		if s := strings.Join(named, "|"); s != want {
			t.Errorf("answer %q: %s\nwant %s", answer, s, want)
		}
		if answer == "" && (len(got.Questions) != 1 || fmt.Sprint(got.Questions[0].Lines) != "[5 9]") {
			t.Errorf("questions: %+v", got.Questions)
		}
	}
}

package examples_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/refbook"
)

// BenchmarkLearnAll learns from 200,000 examples of 500 references, each with a dial and hands that changed.
func BenchmarkLearnAll(b *testing.B) {
	var text strings.Builder
	head, reference, _ := strings.Cut(sideBySide, "  - id: L-9")
	text.WriteString(head)
	const references, each = 500, 400
	for i := range references {
		fmt.Fprintf(&text, "  - id: L-%d%s", i, reference)
	}
	book, err := refbook.LoadTexts(map[string][]byte{"lindgard.yaml": []byte(text.String())})
	if err != nil {
		b.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 9))
	var seen []examples.Example
	for i := range references {
		for j := range each {
			m := r.IntN(120)
			mark, hands := "1", "leaf"
			if m >= 60 {
				mark = "2"
			}
			if m >= 30 {
				hands = "baton"
			}
			seen = append(seen, examples.Example{ID: fmt.Sprint(i, " ", j), Maker: "Lindgard",
				Reference: fmt.Sprint("L-", i), Serial: fmt.Sprint(i*1000 + j + 1),
				Made: edtf.MustParse((edtf.MonthOf(1960, 1) + edtf.Month(m)).String()),
				Parts: map[evidence.Slot]string{evidence.Dial: []string{"white-", "black-"}[r.IntN(2)] + mark,
					evidence.Hands: hands}})
		}
	}
	for b.Loop() {
		if got := examples.LearnAll(book, seen, ""); len(got) != references {
			b.Fatal(len(got))
		}
	}
}

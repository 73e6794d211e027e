package refbook_test

import (
	"fmt"
	"log"
	"testing/fstest"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// What is wrong with a book is said with file, line, place and a hint.
func ExampleLoad() {
	_, err := refbook.Load(fstest.MapFS{"corvane.yaml": {Data: []byte(`
schema: 1
id: corvane
name: Corvane
families:
  - {id: tidal, name: Tidal, kind: diver}
references:
  - {id: "KR-1", family: tydal, made: 1962/1970, metal: steel, calibres: [], serial: []}
`)}})
	fmt.Println(err)
	// Output:
	// corvane.yaml:8: references[0].family: found "tydal", which stands for nothing; did you mean tidal?
	// corvane.yaml:8: references[0].metal: found "steel", which stands for nothing; there are no metals to refer to; write them first
}

// What is the difference between these two?
func ExampleCompare() {
	book, err := refbook.LoadDir("testdata/good")
	if err != nil {
		log.Fatal(err)
	}
	c, err := refbook.Compare(book, "Corvane", "KR-1", "Corvane", "KR-2")
	if err != nil {
		log.Fatal(err)
	}
	for _, d := range c.Differences[:3] {
		fmt.Printf("%.2f %s: %s / %s\n", d.Telling, d.Feature, d.A, d.B)
	}
	// Output:
	// 1.00 metal: Stainless steel / 18 karat gold
	// 0.95 bezel: polished flat / flat gold
	// 0.90 dial variants: Glossy dial; Matt dial, first mark; Matt dial, second mark / Champagne dial
}

// When did the matt dial come?
func ExampleLearn() {
	var seen []refbook.Example
	for i := range 48 {
		e := refbook.Example{ID: fmt.Sprint("watch ", i), Month: edtf.MonthOf(1962, 1) + edtf.Month(i), SDMonths: 2,
			Slot: evidence.Dial, Variant: "gloss"}
		if i >= 24 {
			e.Variant = "matt"
		}
		seen = append(seen, e)
	}
	got, err := refbook.Learn(seen, refbook.LearnOptions{Span: edtf.MustParse("1962/1965")})
	if err != nil {
		log.Fatal(err)
	}
	t := got.Transitions[0]
	fmt.Printf("%s gave way to %s in %s (90 %%: %s to %s)\n", t.From, t.To, t.Month, t.MonthInterval[0],
		t.MonthInterval[1])
	fmt.Println(got.Variants[0].Window.Made)
	// Output:
	// gloss gave way to matt in 1964-01 (90 %: 1963-11 to 1964-03)
	// 1962-01/1963-12~
}

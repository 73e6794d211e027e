package opinion_test

import (
	"fmt"
	"strings"
	"testing/fstest"
	"time"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
)

const exampleBook = `schema: 1
id: corvane
name: Corvane
serials:
  - id: case
    mark: serial
    scatter_months: 3
    anchors:
      - {number: 100000, month: "1960-01"}
      - {number: 200000, month: "1964-01"}
      - {number: 300000, month: "1968-01"}
metals:
  - {id: steel, name: Steel}
calibres:
  - {id: C-41, beats_per_hour: 18000}
families:
  - {id: plenaire, name: Plenaire, kind: moon_age}
references:
  - id: "KR-1"
    family: plenaire
    name: Plenaire
    made: "1960/1968"
    metal: steel
    calibres: [C-41]
    serial: [case]
    slots:
      - slot: hands
        replaced: 0.1
        variants:
          - id: leaf
            name: Leaf hands
            windows: [{made: "1960/1963"}]
          - id: baton
            name: Baton hands
            windows: [{made: "1964/1968"}]
`

func ExampleForm() {
	book, err := refbook.Load(fstest.MapFS{"corvane.yaml": {Data: []byte(exampleBook)}})
	if err != nil {
		fmt.Println(err)
		return
	}
	recorded := time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC)
	watch := evidence.Watch{Maker: "Corvane", Reference: "KR-1", Evidence: []evidence.Item{
		{ID: "ev_1", At: recorded, By: "Ines", Data: &evidence.Mark{What: evidence.MarkSerial, Text: "280000"}},
		{ID: "ev_2", At: recorded, By: "Ines", Data: &evidence.Fitted{Slot: evidence.Hands, Variant: "leaf",
			Confidence: 0.99}},
	}}
	o, err := opinion.Form(evidence.Fold(watch, recorded), book, nil, opinion.Settings{}, recorded)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(o.Summary.Sentence)
	for _, p := range o.Parts {
		fmt.Printf("%s: %s\n", p.Slot.Name(), p.Verdict)
		fmt.Println(strings.Join(say.Strings(p.Reasons), "\n"))
	}
	// Output:
	// Made between August 1960 and April 1963 (13 %) or between May 1966 and February 1968 (77 %); hands probably replaced; value not known.
	// hands: probably replaced
	// Fitted from January 1960 to December 1963; the watch was made between September 1961 and January 1968.
	// 31 % likely to be the original part.
	// At this date the book expects: Baton hands (98 %).
}

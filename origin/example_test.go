package origin_test

import (
	"fmt"

	"midcase/edtf"
	"midcase/origin"
)

// A watch of 1964–1975 whose number belongs to spring 1968, with a dial that the
// factory fitted only from 1973.
func ExampleInfer() {
	curve, err := origin.NewCurve([]origin.Anchor{
		{Number: 1_000_000, Month: edtf.MonthOf(1964, 1)},
		{Number: 1_200_000, Month: edtf.MonthOf(1967, 1)},
		{Number: 1_400_000, Month: edtf.MonthOf(1970, 1)},
		{Number: 1_700_000, Month: edtf.MonthOf(1975, 1)},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	result, err := origin.Infer(origin.Subject{
		Span: origin.Span{First: edtf.MonthOf(1964, 1), Last: edtf.MonthOf(1975, 12), SoftMonths: 6},
		Serials: []origin.Serial{{ID: "number", Number: 1_285_000, Curve: curve,
			ScatterMonths: 3, OutlierShare: 0.02}},
		Slots: []origin.Slot{{Name: "dial", ID: "dial seen", Replaced: 0.15, Seen: "matt", Confidence: 0.99,
			Variants: []origin.Variant{
				{ID: "gilt", Windows: []origin.Window{{Last: edtf.MonthOf(1972, 12), SoftMonths: 4}}},
				{ID: "matt", Windows: []origin.Window{{First: edtf.MonthOf(1973, 1), SoftMonths: 4}}},
			}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	span := result.Interval(0.9)
	fmt.Println("made about", result.Median(), "within", span[0], "to", span[1])
	for _, s := range result.Slots {
		fmt.Printf("%s: original with chance %.2f\n", s.Name, s.POriginal)
	}
	for _, it := range result.Items {
		fmt.Printf("%s: surprise %.2f\n", it.ID, it.Surprise)
	}
	// Output:
	// made about 1968-04 within 1967-06 to 1969-02
	// dial: original with chance 0.15
	// number: surprise 0.15
	// dial seen: surprise 0.08
}

package origin_test

import (
	"math"
	"testing"

	"midcase/edtf"
	"midcase/origin"
)

// A version of which the book does not say when it was fitted leaves the date where it
// was; one beside it with a window still narrows it.
func TestWithoutAWindowNothingIsNarrowed(t *testing.T) {
	at := func(y int) edtf.Month { return edtf.MonthOf(y, 1) }
	infer := func(seen string) *origin.Result {
		r, err := origin.Infer(origin.Subject{Span: origin.Span{First: at(1960), Last: at(1975)},
			Slots: []origin.Slot{{Name: "dial", Replaced: 0.15, ID: "d", Seen: seen, Variants: []origin.Variant{
				{ID: "timed", Windows: []origin.Window{{First: at(1960), Last: at(1967), SoftMonths: 4}}},
				{ID: "untimed"},
			}}}})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := infer("untimed")
	for i, p := range r.P {
		if math.Abs(p-r.Prior[i]) > 1e-9 {
			t.Fatalf("month %d: %v; want the prior's %v", i, p, r.Prior[i])
		}
	}
	if m := infer("timed").Median(); m > at(1968) {
		t.Errorf("the version of 1960 to 1967 leaves the median at %s", m)
	}
}

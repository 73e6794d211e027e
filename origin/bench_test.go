package origin

import (
	"fmt"
	"testing"

	"midcase/edtf"
)

// many is a watch with n slots on a grid of 480 months, with a number, a stamp on a
// part, a loose stamp and papers.
func many(t testing.TB, n int) Subject {
	m := edtf.MonthOf
	s := subject(t)
	s.Span = Span{First: m(1952, 1), Last: m(1983, 12), SoftMonths: 6}
	s.Stamps = []Stamp{s.Stamps[0], s.Stamps[1]}
	s.Stamps[1].Slot = "slot 1"
	s.Stated, s.Slots = nil, nil
	for k := range n {
		s.Slots = append(s.Slots, Slot{Name: fmt.Sprintf("slot %d", k+1), Replaced: 0.1, Seen: "b", Confidence: 0.98,
			Variants: []Variant{
				{ID: "a", Windows: []Window{{Last: m(1960+k%3, 12), SoftMonths: 4}}},
				{ID: "b", Windows: []Window{{First: m(1961+k%3, 1), Last: m(1968+k%4, 6), SoftMonths: 4}}},
				{ID: "c", Windows: []Window{{First: m(1968+k%4, 7), SoftMonths: 4}}},
				{ID: "s", Service: true, ServiceFirst: m(1970, 1)},
			}})
	}
	return s
}

func BenchmarkInfer14Slots480Months(b *testing.B) {
	s := many(b, 14)
	if n := newGrid(s.Span).n; n != 480 {
		b.Fatalf("grid of %d months", n)
	}
	for b.Loop() {
		if _, err := Infer(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExpectedGainSlot(b *testing.B) {
	s := many(b, 14)
	s.Slots[3].Seen = ""
	for b.Loop() {
		if _, err := ExpectedGain(s, Candidate{Kind: KindSlot, Slot: "slot 4"}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExpectedGainSerial(b *testing.B) {
	s := many(b, 14)
	c := Candidate{Kind: KindSerial, Serial: s.Serials[0]}
	s.Serials = nil
	for b.Loop() {
		if _, err := ExpectedGain(s, c); err != nil {
			b.Fatal(err)
		}
	}
}

package origin

import (
	"math"
	"testing"

	"midcase/edtf"
)

func TestBadInputIsNamed(t *testing.T) {
	m := edtf.MonthOf
	for _, c := range []struct {
		want string
		do   func(s *Subject)
	}{
		{"span: not given", func(s *Subject) { s.Span = Span{} }},
		{"span: first month 1970-01 comes after the last 1969-12", func(s *Subject) { s.Span.First = m(1970, 1) }},
		{"span: month 0019-01, want one from 1500-01", func(s *Subject) { s.Span.First = m(19, 1) }},
		{"span.soft_months: NaN, want 0 to 240", func(s *Subject) { s.Span.SoftMonths = math.NaN() }},
		{"months, want at most", func(s *Subject) { s.Span.First = m(1600, 1) }},
		{"serials[0] number: curve: not given", func(s *Subject) { s.Serials[0].Curve = nil }},
		{"serials[0] number: curve: not given", func(s *Subject) { s.Serials[0].Curve = &Curve{} }},
		{"number: 0, want 1 or more", func(s *Subject) { s.Serials[0].Number = 0 }},
		{"scatter_months: -1", func(s *Subject) { s.Serials[0].ScatterMonths = -1 }},
		{"degrees_of_freedom: 0.1", func(s *Subject) { s.Serials[0].DegreesOfFreedom = 0.1 }},
		{"outlier_share: 1.5, want 0 to 1", func(s *Subject) { s.Serials[0].OutlierShare = 1.5 }},
		{"confidence: 95, want 0 to 1", func(s *Subject) { s.Serials[0].Confidence = 95 }},
		{"stamps[1] clasp: period: first month", func(s *Subject) { s.Stamps[1].First = m(1990, 1) }},
		{"lag_months: +Inf", func(s *Subject) { s.Stamps[1].LagMonths = math.Inf(1) }},
		{"papers[0] papers: period: no last month", func(s *Subject) { s.Papers[0].Last = 0 }},
		{"stated[0] extract: outlier_share: -0.1", func(s *Subject) { s.Stated[0].OutlierShare = -0.1 }},
		{"slots[1] dial: name \"dial\" comes twice", func(s *Subject) { s.Slots[1].Name = "dial" }},
		{"slots[0] : name: empty", func(s *Subject) { s.Slots[0].Name = "" }},
		{"replaced: -0.2, want 0 to 1", func(s *Subject) { s.Slots[0].Replaced = -0.2 }},
		{"seen: no variant \"mat\"", func(s *Subject) { s.Slots[0].Seen = "mat" }},
		{"variants[1].id: \"gilt\" is empty, reserved or comes twice",
			func(s *Subject) { s.Slots[0].Variants[1].ID = "gilt" }},
		{"windows[0].share: -1", func(s *Subject) { s.Slots[0].Variants[0].Windows[0].Share = -1 }},
		{"windows[0]: first month 1980-01 comes after",
			func(s *Subject) { s.Slots[0].Variants[0].Windows[0].First = m(1980, 1) }},
		{"windows: found 1 on a service part", func(s *Subject) { s.Slots[0].Variants[0].Service = true }},
		{"more than 20 stamps on dial", func(s *Subject) {
			for range 21 {
				s.Stamps = append(s.Stamps, Stamp{First: m(1966, 1), Last: m(1966, 1), Slot: "dial"})
			}
		}},
	} {
		s := subject(t)
		c.do(&s)
		r, err := Infer(s)
		wantError(t, err, c.want)
		if r != nil {
			t.Errorf("%s: a result beside the error", c.want)
		}
	}
}

func TestBadCandidateIsNamed(t *testing.T) {
	for _, c := range []struct {
		want string
		c    Candidate
	}{
		{`kind: "look", want "slot"`, Candidate{Kind: "look"}},
		{`slot: "case" is not listed`, Candidate{Kind: KindSlot, Slot: "case"}},
		{`slot: "dial" was looked at already`, Candidate{Kind: KindSlot, Slot: "dial"}},
		{"curve: not given", Candidate{Kind: KindSerial}},
		{"period_months: 0", Candidate{Kind: KindStamp}},
		{"lag_months: -1", Candidate{Kind: KindStamp, PeriodMonths: 3, Stamp: Stamp{LagMonths: -1}}},
	} {
		_, err := ExpectedGain(subject(t), c.c)
		wantError(t, err, c.want)
	}
}

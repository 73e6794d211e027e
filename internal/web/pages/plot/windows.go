package plot

import (
	"fmt"

	"midcase/edtf"
)

// Span is a time of production, drawn as a bar within a longer one. Share, 0–1, is
// how many of the watches of that time it concerns; 0 counts as 1.
type Span struct {
	First, Last edtf.Month
	Share       float64
}

// Whole is the time in which a reference was made; one that is still made is drawn for ten years.
func Whole(made edtf.Date) Span {
	first, _ := made.FirstMonth()
	last, ok := made.LastMonth()
	if !ok {
		last = first + 120
	}
	return Span{First: first, Last: last, Share: 1}
}

// NewSpan reads the months of a date; an open end takes the whole's.
func NewSpan(d edtf.Date, whole Span, share float64) Span {
	s := Span{whole.First, whole.Last, share}
	if m, ok := d.FirstMonth(); ok {
		s.First = m
	}
	if m, ok := d.LastMonth(); ok {
		s.Last = m
	}
	return s
}

const spanWidth, spanHeight = 200.0, 16.0

type bar struct{ x, y, w, h float64 }

// bars places spans within the whole; a smaller share gives a thinner bar.
func bars(whole Span, spans []Span) []bar {
	x := scale{float64(whole.First), float64(whole.Last) + 1, 0, spanWidth}
	var out []bar
	for _, s := range spans {
		first, last := max(s.First, whole.First), min(s.Last, whole.Last)
		if last < first || whole.Last <= whole.First {
			continue
		}
		share := s.Share
		if share <= 0 || share > 1 {
			share = 1
		}
		h := 3 + 7*share
		out = append(out, bar{x.at(float64(first)), (spanHeight - h) / 2,
			max(1.5, x.at(float64(last)+1)-x.at(float64(first))), h})
	}
	return out
}

// fifths are the places of the years that end in 0 or 5 within the whole.
func fifths(whole Span) []float64 {
	x := scale{float64(whole.First), float64(whole.Last) + 1, 0, spanWidth}
	var out []float64
	for m := whole.First; m <= whole.Last; m++ {
		if m.Calendar() == 1 && m.Year()%5 == 0 {
			out = append(out, x.at(float64(m)))
		}
	}
	return out
}

func spanLabel(whole Span) string {
	return fmt.Sprintf("Bar of its time within %d to %d; the words beside it say the same", whole.First.Year(),
		whole.Last.Year())
}

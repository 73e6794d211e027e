package examples

import (
	"fmt"
	"math"

	"midcase/edtf"
	"midcase/origin"
	"midcase/refbook"
)

// tails is the standard deviation of a Student t with four degrees of freedom in scales: how watches stray from the
// curve of their numbers.
const tails = math.Sqrt2

// disagree is from how many standard deviations number and date of an example contradict each other.
const disagree = 4

// dating is when an example was made.
type dating struct {
	month, sd float64 // months; the standard deviation
}

// run is a run of numbers of the book with its curve.
type run struct {
	book  *refbook.Serial
	curve *origin.Curve
}

func runsOf(m *refbook.Maker, ref *refbook.Reference) []run {
	var out []run
	for _, id := range ref.Serial {
		s, ok := m.Serial(id)
		if !ok || s.Mark != "serial" {
			continue
		}
		anchors := make([]origin.Anchor, len(s.Anchors))
		for i, a := range s.Anchors {
			anchors[i] = origin.Anchor{Number: a.Number, Month: a.Month}
		}
		if c, err := origin.NewCurve(anchors); err == nil {
			out = append(out, run{s, c})
		}
	}
	return out
}

// date dates an example by its number and by what was written, never by a part.
func date(e Example, runs []run) (dating, error) {
	byNumber, numberErr := dateByNumber(e.Serial, runs)
	if e.Made.IsZero() {
		return byNumber, numberErr
	}
	first, from := e.Made.FirstMonth()
	last, until := e.Made.LastMonth()
	if !from || !until {
		return dating{}, fmt.Errorf("its date, %s, is open on one side: give both, such as 1967/1969", e.Made)
	}
	span := float64(last-first) + 1
	written := dating{float64(first+last) / 2, math.Hypot(span/math.Sqrt(12), float64(e.Made.SlackMonths())/2)}
	if numberErr != nil {
		return written, nil
	}
	if math.Abs(written.month-byNumber.month) > disagree*math.Hypot(written.sd, byNumber.sd) {
		return dating{}, fmt.Errorf("its number points to %s, its date is %s: one of them is wrong",
			edtf.Month(byNumber.month+0.5), e.Made)
	}
	if byNumber.sd < written.sd {
		return byNumber, nil
	}
	return written, nil
}

// dateByNumber dates by the one run that holds a number.
func dateByNumber(serial string, runs []run) (dating, error) {
	if serial == "" {
		return dating{}, fmt.Errorf("neither number nor date: give one of them")
	}
	n, err := refbook.ParseNumber(serial)
	if err != nil {
		return dating{}, fmt.Errorf("“%s” is no whole serial number", serial)
	}
	if len(runs) == 0 {
		return dating{}, fmt.Errorf("the book dates no numbers of this reference: give the date of manufacture")
	}
	var out dating
	held := 0
	for _, r := range runs {
		month, _, inside := r.curve.At(n)
		if !inside {
			continue
		}
		held++
		out = dating{month, tails * r.curve.StrayMonths(n, r.book.ScatterMonths)}
	}
	switch held {
	case 0:
		return out, fmt.Errorf("number %d is outside the numbers that the book dates", n)
	case 1:
		return out, nil
	}
	return out, fmt.Errorf("number %d is in %d runs of numbers: give the date of manufacture", n, held)
}

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
	p, err := refbook.ParsePattern(serial)
	if err != nil {
		return dating{}, fmt.Errorf("“%s” is no serial number", serial)
	}
	if len(runs) == 0 {
		return dating{}, fmt.Errorf("the book dates no numbers of this reference: give the date of manufacture")
	}
	ranges := p.Ranges()
	low, high := ranges[0][0], ranges[len(ranges)-1][1]
	var out dating
	held := 0
	for _, r := range runs {
		first, sd, inside := within(r, low)
		last, sdLast, insideLast := within(r, high)
		if inside != insideLast {
			return out, fmt.Errorf("number %s may be outside the numbers that the book dates", serial)
		}
		if inside {
			held++
			out = dating{(first + last) / 2, math.Hypot(max(sd, sdLast), (last-first)/math.Sqrt(12))}
		}
	}
	switch {
	case held == 0:
		return out, fmt.Errorf("number %s is outside the numbers that the book dates", serial)
	case held > 1:
		return out, fmt.Errorf("number %s is in %d runs of numbers: give the date of manufacture", serial, held)
	case out.sd > vague:
		return out, fmt.Errorf("number %s is read too little of: it may be of %s to %s", serial,
			edtf.Month(out.month-2*out.sd), edtf.Month(out.month+2*out.sd))
	}
	return out, nil
}

// vague is from how many months of standard deviation a number says too little.
const vague = 36

// within dates a number by a run that holds it.
func within(r run, n int64) (month, sd float64, inside bool) {
	month, _, inside = r.curve.At(n)
	return month, tails * r.curve.StrayMonths(n, r.book.ScatterMonths), inside
}

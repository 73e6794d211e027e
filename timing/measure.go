package timing

import (
	"midcase/estimate"
	"midcase/say"
)

// Each figure of a movement is written to the same places wherever it is written: rates
// to a tenth of a second a day, beat errors to a hundredth of a millisecond, amplitudes
// to a degree, and never to more than their range allows.

// RateOf is a rate, or a difference of two, with its 90 % range.
func RateOf(f Figure) say.Measure {
	m := f.measure(say.SecondPerDay, 1)
	m.Signed = true
	return m
}

// BeatErrorOf is a beat error with its 90 % range.
func BeatErrorOf(f Figure) say.Measure { return f.measure(say.Millisecond, 2) }

// AmplitudeOf is an amplitude with its 90 % range.
func AmplitudeOf(f Figure) say.Measure { return f.measure(say.Degree, 0) }

func (f Figure) measure(u say.Unit, decimals int) say.Measure {
	half := f.Half()
	return say.Measure{Value: f.Value, Range: estimate.Interval{f.Value - half, f.Value + half}, Unit: u,
		Decimals: decimals}
}

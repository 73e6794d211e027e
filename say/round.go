package say

import "math"

// Rounding is the unit to which a figure and its range are written.
type Rounding struct {
	Decimals int // after the point
	unit     float64
}

// Rounded rounds a value and both ends of its range to one unit: the one that leaves two
// significant digits of half the width of the range, but at most so many decimals. More
// digits would claim more than is known (JCGM 100:2008, 7.2.6). Where the range has no
// width, the unit of the decimals stands.
func Rounded(value, low, high float64, decimals int) (v, lo, hi float64, r Rounding) {
	r = roundingFor((high-low)/2, decimals)
	return r.To(value), r.To(low), r.To(high), r
}

func roundingFor(half float64, decimals int) Rounding {
	r := Rounding{decimals, math.Pow10(-decimals)}
	if !(half > 0) || math.IsInf(half, 0) {
		return r
	}
	exponent := int(math.Floor(math.Log10(half))) - 1
	if exponent < -decimals {
		return r
	}
	return Rounding{max(0, -exponent), math.Pow10(exponent)}
}

// To rounds one more figure to the unit.
func (r Rounding) To(x float64) float64 {
	if r.unit < 1 { // a whole divisor is exact where its inverse is not
		by := math.Round(1 / r.unit)
		return math.Round(x*by) / by
	}
	return math.Round(x/r.unit) * r.unit
}

// significant is the rounding that leaves so many significant digits of x, but at most
// the unit of 1.
func significant(x float64, digits int) Rounding {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return Rounding{0, 1}
	}
	return Rounding{0, math.Pow10(max(0, int(math.Floor(math.Log10(math.Abs(x))))-digits+1))}
}

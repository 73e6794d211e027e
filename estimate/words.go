package estimate

import (
	"fmt"
	"math"
)

// Words is the phrase for a probability: the same words for the same range
// everywhere, as the glossary lists them.
//
//	p ≥ 0.99 almost certainly      p ≤ 0.01 almost certainly not
//	p ≥ 0.95 very likely           p ≤ 0.05 very unlikely
//	p ≥ 0.80 probably              p ≤ 0.20 probably not
//	p ≥ 0.60 rather yes than no    p ≤ 0.40 rather no than yes
//	else     cannot tell
func Words(p float64) string {
	switch {
	case math.IsNaN(p):
		return "cannot tell"
	case p >= 0.99:
		return "almost certainly"
	case p >= 0.95:
		return "very likely"
	case p >= 0.80:
		return "probably"
	case p >= 0.60:
		return "rather yes than no"
	case p > 0.40:
		return "cannot tell"
	case p > 0.20:
		return "rather no than yes"
	case p > 0.05:
		return "probably not"
	case p > 0.01:
		return "very unlikely"
	default:
		return "almost certainly not"
	}
}

// Percent writes a probability as a percentage that never claims certainty: below
// 1 % and above 99 % it says so instead of rounding to 0 or 100.
func Percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "unknown"
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", 100*p)
	}
}

package estimate

import (
	"fmt"
	"math"
)

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

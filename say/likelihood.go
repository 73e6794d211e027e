package say

import "math"

// Likelihood is the phrase for a chance: the same words for the same range everywhere, as
// the page of terms lists them; those below one half mirror those above. "Cannot tell" is said between 40 and 60 % alone.
//
//	p ≥ 0.99 almost certainly      p ≤ 0.01 almost certainly not
//	p ≥ 0.95 very likely           p ≤ 0.05 very unlikely
//	p ≥ 0.80 probably              p ≤ 0.20 probably not
//	p ≥ 0.60 more likely than not  p ≤ 0.40 less likely than not
//	else     cannot tell
func Likelihood(p float64) Statement {
	switch {
	case math.IsNaN(p):
		return That("likelihood.open")
	case p >= 0.99:
		return That("likelihood.certain")
	case p >= 0.95:
		return That("likelihood.likely")
	case p >= 0.80:
		return That("likelihood.probable")
	case p >= 0.60:
		return That("likelihood.rather")
	case p > 0.40:
		return That("likelihood.open")
	case p > 0.20:
		return That("likelihood.rather-not")
	case p > 0.05:
		return That("likelihood.improbable")
	case p > 0.01:
		return That("likelihood.unlikely")
	}
	return That("likelihood.excluded")
}

package condition

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Loss is what a size says of material taken off, by polishing or otherwise.
type Loss struct {
	P       float64 // chance that at least LeastLossMM was taken off
	GivenMM float64 // how much was taken off in the mean, if any was
	// MM is how much was taken off in the mean, P × GivenMM: the figure that counts. Its
	// 90 % range begins at 0 where it may be that nothing was taken off.
	MM         float64
	Interval90 [2]float64
	// Another: more is missing than polishing takes off; it may be another case.
	Another bool
}

// LeastLossMM is the least loss that is weighed, in mm.
const LeastLossMM = 0.05

// MostPolishedMM is what polishing can take off at most; a size further under is that of
// another case. Common practice, no published source.
const MostPolishedMM = 1.0

const (
	priorRemoved = 0.5 // share of cases that have lost material, before measuring
	usualLossMM  = 0.2 // mean of what was taken off beyond LeastLossMM, if any was
)

// MaterialLoss weighs a size that lies differenceMM from the nominal, below zero being
// smaller, read to ± plusMinusMM and made to ± toleranceMM (both half of a 95 % range,
// normal). Before measuring, half of the cases in the trade are taken to have lost
// LeastLossMM and more, exponentially with a mean of 0.2 mm beyond, and the others none;
// common practice, no published source. What follows is Bayes' rule over the two; given a
// loss, the amount is a normal cut at LeastLossMM, without an upper bound. It refuses
// figures that are not finite and a ± that is not above 0 in all.
func MaterialLoss(differenceMM, plusMinusMM, toleranceMM float64) (Loss, error) {
	sd := math.Hypot(plusMinusMM, toleranceMM) / 1.959963985
	if !(sd > 0) || math.IsInf(sd, 0) || math.IsNaN(differenceMM) || math.IsInf(differenceMM, 0) || plusMinusMM < 0 ||
		toleranceMM < 0 {
		return Loss{},
			fmt.Errorf("%w: a difference of %g mm read to ± %g and made to ± %g: want finite figures, and a ± above 0",
				ErrInput, differenceMM, plusMinusMM, toleranceMM)
	}
	// ∫ N(d; −x, sd) exp(−(x − least)/usual)/usual dx over x from least on: a normal about
	// centre, cut at least.
	d := differenceMM
	centre := -d - sd*sd/usualLossMM
	cut := cutNormal{centre, sd, (LeastLossMM - centre) / sd}
	removed := math.Exp(math.Log(priorRemoved/usualLossMM) + (LeastLossMM+d)/usualLossMM +
		sd*sd/(2*usualLossMM*usualLossMM) + logUpper(cut.at))
	untouched := (1 - priorRemoved) * distuv.Normal{Sigma: sd}.Prob(d)
	out := Loss{}
	switch {
	case removed+untouched > 0 && !math.IsInf(removed, 0):
		out.P = removed / (removed + untouched)
	case d < 0: // beyond what the figures reach
		out.P = 1
	}
	out.GivenMM = cut.mean()
	out.MM = out.P * out.GivenMM
	out.Interval90 = [2]float64{cut.mixed(out.P, 0.05), cut.mixed(out.P, 0.95)}
	out.Another = -d-1.645*sd > MostPolishedMM
	return out, nil
}

// cutNormal is a normal cut at LeastLossMM, which lies at standard deviations from its
// centre.
type cutNormal struct{ centre, sd, at float64 }

// far is where the tail beyond the cut is all but an exponential.
const far = 6.0

// logUpper is the logarithm of the share of a normal above x standard deviations.
func logUpper(x float64) float64 {
	if x < far {
		return math.Log(0.5 * math.Erfc(x/math.Sqrt2))
	}
	return -x*x/2 - math.Log(x*math.Sqrt(2*math.Pi)) + math.Log1p(-1/(x*x))
}

func (c cutNormal) mean() float64 {
	if c.at >= far {
		return LeastLossMM + c.sd/c.at
	}
	return math.Max(LeastLossMM, c.centre+c.sd*distuv.UnitNormal.Prob(c.at)/math.Exp(logUpper(c.at)))
}

// mixed is the quantile of a mixture: nothing lost with chance 1 − p, else the cut normal.
func (c cutNormal) mixed(p, q float64) float64 {
	if q <= 1-p {
		return 0
	}
	rest := (1 - q) / p
	if c.at >= far {
		return LeastLossMM - c.sd/c.at*math.Log(rest)
	}
	return math.Max(LeastLossMM, c.centre-c.sd*distuv.UnitNormal.Quantile(rest*math.Exp(logUpper(c.at))))
}

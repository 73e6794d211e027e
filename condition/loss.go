package condition

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Loss is what a size says of material taken off, by polishing or otherwise.
type Loss struct {
	P float64 // chance that at least LeastLossMM was taken off
	// MM is how much was taken off in the mean, if any was, with the 90 % range.
	MM         float64
	Interval90 [2]float64
}

// The amounts that are weighed, in mm.
const (
	LeastLossMM = 0.05
	MostLossMM  = 0.6
)

const priorRemoved = 0.5 // share of cases that have lost material, before measuring

// MaterialLoss weighs a size that lies differenceMM from the nominal, below zero being
// smaller, read to ± plusMinusMM and made to ± toleranceMM (both half of a 95 % range,
// normal). Before measuring, half of the cases in the trade are taken to have lost
// LeastLossMM to MostLossMM, evenly, and the others none; common practice, no published
// source. What follows is Bayes' rule over the two; given a loss, the amount is a normal
// about −differenceMM cut to the two bounds. It refuses figures that are not finite and
// a ± that is not above 0 in all.
func MaterialLoss(differenceMM, plusMinusMM, toleranceMM float64) (Loss, error) {
	sd := math.Hypot(plusMinusMM, toleranceMM) / 1.959963985
	if !(sd > 0) || math.IsInf(sd, 0) || math.IsNaN(differenceMM) || math.IsInf(differenceMM, 0) || plusMinusMM < 0 ||
		toleranceMM < 0 {
		return Loss{}, fmt.Errorf("%w: a difference of %g mm read to ± %g and made to ± %g: want finite figures, and a ± above 0", ErrInput, differenceMM, plusMinusMM, toleranceMM)
	}
	n := distuv.Normal{Mu: 0, Sigma: sd}
	// ∫ N(difference; −loss, sd) dloss / (most − least)
	low, high := n.CDF(differenceMM+LeastLossMM), n.CDF(differenceMM+MostLossMM)
	removed := priorRemoved * (high - low) / (MostLossMM - LeastLossMM)
	untouched := (1 - priorRemoved) * n.Prob(differenceMM)
	out := Loss{}
	switch {
	case removed+untouched > 0:
		out.P = removed / (removed + untouched)
	case differenceMM < 0: // beyond what the figures reach
		out.P = 1
	}
	out.MM, out.Interval90 = amountLost(differenceMM, sd, low, high)
	return out, nil
}

// amountLost is the mean and the 90 % range of a normal about −difference cut to the
// bounds; low and high are its cumulative chances there.
func amountLost(difference, sd, low, high float64) (mean float64, interval [2]float64) {
	within := func(x float64) float64 { return math.Min(math.Max(x, LeastLossMM), MostLossMM) }
	if high-low < 1e-12 { // the measure lies far beyond a bound: the bound is all that is left
		x := within(-difference)
		return x, [2]float64{x, x}
	}
	n := distuv.Normal{Mu: 0, Sigma: sd}
	a, b := (difference+LeastLossMM)/sd, (difference+MostLossMM)/sd
	unit := distuv.UnitNormal
	mean = within(-difference + sd*(unit.Prob(a)-unit.Prob(b))/(high-low))
	at := func(p float64) float64 { return within(n.Quantile(low+p*(high-low)) - difference) }
	return mean, [2]float64{at(0.05), at(0.95)}
}

package conditionstudy

import (
	"fmt"
	"math"
	"math/rand/v2"

	"midcase/condition"
	"midcase/metal"
)

// z95 is the normal quantile of a 95 % range on both sides.
const z95 = 1.959963985

// Losses makes n cases and counts how often the 90 % range of what was taken off holds
// what truly was. The truth: 45 in 100 were never polished; the others once or more, each
// time with 0.03 to 0.16 mm gone. Sizes are made within the tolerance with equal chance,
// not normally; the slide is read with a Student t of 5 degrees of freedom.
func Losses(n int, seed uint64) (Held, error) {
	rng := rand.New(rand.NewPCG(seed, 2))
	var all tally
	for range n {
		lost := 0.0
		if rng.Float64() > 0.45 {
			for more := true; more; more = rng.Float64() < 0.45 {
				lost += 0.03 + 0.13*rng.Float64()
			}
		}
		toleranceMM, plusMinusMM := 0.03+0.07*rng.Float64(), 0.02+0.06*rng.Float64()
		difference := toleranceMM*(2*rng.Float64()-1) - lost + plusMinusMM/z95*math.Sqrt(0.6)*student(rng, 5)
		loss, err := condition.MaterialLoss(difference, plusMinusMM, toleranceMM)
		if err != nil {
			return Held{}, fmt.Errorf("condition study: %w", err)
		}
		all.add(loss.MM, loss.Interval90[0], loss.Interval90[1], lost)
	}
	return all.held(), nil
}

// Densities weighs n solid parts of gold and steel in air and in water. The truth: two
// weighings err apart, each rounded to the scale's last digit; the water is 0 to 2 °C
// off what was read; one part in five holds a bubble of up to half a cubic millimetre.
func Densities(n int, seed uint64) (Held, error) {
	rng := rand.New(rand.NewPCG(seed, 3))
	var all tally
	for range n {
		density := []float64{7.9, 13.1, 15.4, 15.6, 16.0}[rng.IntN(5)] + 0.1*rng.NormFloat64()
		massG := math.Exp(math.Log(4) + rng.Float64()*math.Log(12))
		digit := []float64{0.001, 0.005, 0.01}[rng.IntN(3)]
		tempC := 18 + 8*rng.Float64()
		water, err := metal.WaterDensity(tempC + 4*rng.Float64() - 2)
		if err != nil {
			return Held{}, fmt.Errorf("condition study: %w", err)
		}
		volume := massG / density
		if rng.IntN(5) == 0 {
			volume += 0.0005 * rng.Float64()
		}
		weigh := func(g float64) float64 { return math.Round((g+0.7*digit*rng.NormFloat64())/digit) * digit }
		air := weigh(massG - metal.AirDensity*massG/density)
		hanging := weigh(massG - water*volume)
		u := 0.8 * digit
		r, err := metal.Density(air, u, hanging, u, tempC)
		if err != nil {
			return Held{}, fmt.Errorf("condition study: %w", err)
		}
		all.add(r.GPerCM3, r.Interval90[0], r.Interval90[1], density)
	}
	return all.held(), nil
}

// student draws from a Student t of df degrees of freedom.
func student(rng *rand.Rand, df int) float64 {
	sum := 0.0
	for range df {
		z := rng.NormFloat64()
		sum += z * z
	}
	return rng.NormFloat64() / math.Sqrt(sum/float64(df))
}

package main

import "math"

// resampled gives a recording another sampling rate, as a sound editor does: each
// sample is a sum over its neighbours weighted by a sinc under a Hann window, with
// the cut-off at the lower of the two half rates. The two rates have a common measure,
// so that the weights come round again and are worked out once.
func resampled(to int) func([]float32, int) ([]float32, float64, error) {
	return func(pcm []float32, from int) ([]float32, float64, error) {
		const lobes = 12
		cut := 0.92 * math.Min(1, float64(to)/float64(from))
		half := int(math.Ceil(lobes / cut))
		g := divisor(from, to)
		phases := to / g
		weights := make([][]float64, phases)
		for p := range weights {
			x := float64(p) * float64(from) / float64(to)
			x -= math.Floor(x)
			for j := -half; j <= half+1; j++ {
				weights[p] = append(weights[p], weight(x-float64(j), cut, float64(half)))
			}
		}
		out := make([]float32, len(pcm)*to/from)
		for i := range out {
			first := i*from/to - half
			sum := 0.0
			for k, w := range weights[i%phases] {
				if j := first + k; j >= 0 && j < len(pcm) {
					sum += float64(pcm[j]) * w
				}
			}
			out[i] = float32(sum)
		}
		return out, float64(to), nil
	}
}

func weight(u, cut, half float64) float64 {
	if math.Abs(u) >= half {
		return 0
	}
	w := 1.0
	if u != 0 {
		w = math.Sin(math.Pi*cut*u) / (math.Pi * cut * u)
	}
	return cut * w * (0.5 + 0.5*math.Cos(math.Pi*u/half))
}

// divisor is the greatest common divisor.
func divisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

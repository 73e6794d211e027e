package main

import "math"

// resampled gives a recording another sampling rate, as a sound editor does: each
// sample is a sum over its neighbours weighted by a sinc under a Hann window, with
// the cut-off at the lower of the two half rates.
func resampled(to int) func([]float32, int) ([]float32, float64, error) {
	return func(pcm []float32, from int) ([]float32, float64, error) {
		const lobes = 12
		cut := 0.92 * math.Min(1, float64(to)/float64(from))
		half := float64(lobes) / cut
		out := make([]float32, len(pcm)*to/from)
		for i := range out {
			x := float64(i) * float64(from) / float64(to)
			sum := 0.0
			for j := max(0, int(math.Ceil(x-half))); j <= min(len(pcm)-1, int(x+half)); j++ {
				u := x - float64(j)
				w := 1.0
				if u != 0 {
					w = math.Sin(math.Pi*cut*u) / (math.Pi * cut * u)
				}
				sum += float64(pcm[j]) * cut * w * (0.5 + 0.5*math.Cos(math.Pi*u/half))
			}
			out[i] = float32(sum)
		}
		return out, float64(to), nil
	}
}

package soundfile

import (
	"math"
	"slices"
)

// better chooses between two channels: the one in which short sounds stand out more.
// The samples are differenced, which quiets hum and voices; the energy is summed over
// windows of 5 ms; the 97th of a hundred windows, by size, is set against the middle
// one. A beat fills about one window in twenty, so that the first is a tick and the
// second the noise between. The right channel is taken only when it does better by
// a tenth: two channels that are alike give the left one.
func better(left, rightCh []float32, rate float64) int {
	if standsOut(rightCh, rate) > 1.1*standsOut(left, rate) {
		return 1
	}
	return 0
}

func standsOut(v []float32, rate float64) float64 {
	n := max(1, int(0.005*rate))
	var energy []float64
	for i := 1; i+n <= len(v); i += n {
		sum := 0.0
		for j := i; j < i+n; j++ {
			d := float64(v[j]) - float64(v[j-1])
			sum += d * d
		}
		energy = append(energy, sum)
	}
	if len(energy) == 0 {
		return 0
	}
	slices.Sort(energy)
	high, middle := energy[len(energy)*97/100], energy[len(energy)/2]
	if high == 0 {
		return 0 // a dead channel
	}
	// silence between the ticks would give an endless ratio: a 16-bit step is the least
	return high / math.Max(middle, float64(n)*1e-9)
}

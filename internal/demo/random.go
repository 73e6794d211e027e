package demo

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// stream is a source of chance of its own for one part of the world, so that a
// change in one part leaves the others as they were.
type stream struct{ *rand.Rand }

func newStream(seed uint64, name string) stream {
	h := fnv.New64a()
	h.Write([]byte(name)) // a hash never errs
	return stream{rand.New(rand.NewPCG(seed, h.Sum64()))}
}

// chance is true with probability p.
func (s stream) chance(p float64) bool { return s.Float64() < p }

// between is uniform over [low, high).
func (s stream) between(low, high float64) float64 { return low + (high-low)*s.Float64() }

// t4 is a draw from Student's t with four degrees of freedom.
func (s stream) t4() float64 {
	chi := 0.0
	for range 4 {
		z := s.NormFloat64()
		chi += z * z
	}
	return s.NormFloat64() / math.Sqrt(chi/4)
}

// choose picks an index with the weights given.
func (s stream) choose(weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	u := s.Float64() * sum
	for i, w := range weights {
		if u -= w; u < 0 {
			return i
		}
	}
	return len(weights) - 1
}

// pick is one of the values, each as likely as the others.
func pick[T any](s stream, values ...T) T { return values[s.IntN(len(values))] }

// to rounds v to a multiple of step. Steps below one are taken by their inverse, so
// that the result prints with no more digits than the step.
func to(v, step float64) float64 {
	if step < 1 {
		n := math.Round(1 / step)
		return math.Round(v*n) / n
	}
	return math.Round(v/step) * step
}

package condition

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"midcase/estimate"
)

// placeDraws is how many draws from the normal approximation the places rest on; a
// chance near one half is then good to about two percentage points.
const placeDraws = 500

// tied is how far apart two abilities are the same: what rounding leaves of equal ones.
const tied = 1e-9

// place fills in places and their ranges by drawing abilities from the normal
// approximation, with a fixed stream so that the same comparisons give the same
// figures.
func (r *Ranking) place() {
	n := len(r.Standings)
	order := make([]int, n)
	for i := range n {
		order[i] = i
		r.Standings[i].Ability = r.abilities[i]
		r.Standings[i].SE = math.Sqrt(r.cov.At(i, i))
		r.Standings[i].Of = n - 1
	}
	slices.SortStableFunc(order, func(a, b int) int { return compare(r.abilities[b], r.abilities[a]) })
	for _, i := range order {
		s := &r.Standings[i]
		s.Place = 1
		for j := range n {
			switch d := r.abilities[j] - r.abilities[i]; {
			case d > tied:
				s.Place++
			case d < -tied:
				s.Better++
			}
			if j != i && r.pBetter(i, j) >= 0.95 {
				s.SurelyBetter++
			}
		}
	}
	r.drawPlaces()
	sorted := make([]Standing, n)
	for p, i := range order {
		sorted[p] = r.Standings[i]
	}
	r.Standings = sorted
}

func (r *Ranking) drawPlaces() {
	n := len(r.Standings)
	counts := make([][]int, n) // counts[i][k]: draws in which i beats exactly k others
	for i := range counts {
		counts[i] = make([]int, n)
	}
	root := lowerRoot(r.cov)
	rng := rand.New(rand.NewPCG(1952, 1))
	z := make([]float64, n)
	type drawn struct {
		ability float64
		example int
	}
	order := make([]drawn, n)
	for range placeDraws {
		for i := range n {
			z[i] = rng.NormFloat64()
			a := r.abilities[i]
			for j, l := range root[i] {
				a += l * z[j]
			}
			order[i] = drawn{a, i}
		}
		slices.SortFunc(order, func(x, y drawn) int { return compare(x.ability, y.ability) })
		for k, d := range order {
			counts[d.example][k]++
		}
	}
	for i := range n {
		s := &r.Standings[i]
		atLeast, sum := 0, 0
		lowBeaten, highBeaten := -1, 0
		for k, c := range counts[i] {
			if k >= s.Better {
				atLeast += c
			}
			sum += c
			if lowBeaten < 0 && float64(sum) > 0.05*placeDraws {
				lowBeaten = k
			}
			if float64(sum-c) < 0.95*placeDraws {
				highBeaten = k
			}
		}
		s.P = float64(atLeast) / placeDraws
		if s.Better == 0 { // to be better than none is no distinction: the chance that it truly is
			s.P = float64(counts[i][0]) / placeDraws
		}
		s.PlaceInterval = estimate.Interval{float64(n - highBeaten), float64(n - lowBeaten)}
	}
}

// lowerRoot is the lower triangular root of a positive semidefinite matrix; a row
// without variance (the yardstick) stays zero.
func lowerRoot(c *mat.SymDense) [][]float64 {
	n := c.SymmetricDim()
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, i+1)
		for j := range i + 1 {
			sum := c.At(i, j)
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			switch {
			case i == j && sum > 0:
				l[i][i] = math.Sqrt(sum)
			case i != j && l[j][j] > 0:
				l[i][j] = sum / l[j][j]
			}
		}
	}
	return l
}

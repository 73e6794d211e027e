package market

import "math"

// component is a block of β with one unknown variance: b ~ N(0, σ²K⁻) with K given,
// or independent effects where K is nil.
type component struct {
	name   string
	off, n int
	k      []float64 // n×n, symmetric; nil for the identity
	rank   int
	lambda float64 // 1/σ²
	fixed  bool    // lambda is given and not estimated

	// A weak prior keeps a variance that few levels inform near a plausible value: a
	// pseudo-effects of variance s0².
	a, s0 float64
}

// nested is a level of the tree with an unknown variance.
type nested struct {
	level int
	a, s0 float64
	fixed bool
}

// Bounds of a precision: a standard deviation between 0.0001 and 30.
const (
	leastPrecision = 1e-3
	mostPrecision  = 1e8
)

// setPrior writes the prior precision of β from the components.
func (s *system) setPrior(comps []component) {
	clear(s.prior)
	for _, c := range comps {
		for i := 0; i < c.n; i++ {
			row := s.prior[(c.off+i)*s.p+c.off:]
			if c.k == nil {
				row[i] += c.lambda
				continue
			}
			for j := i; j < c.n; j++ {
				row[j] += c.lambda * c.k[i*c.n+j]
			}
		}
	}
}

// updateComponents moves every variance by one step of the generalised
// Fellner-Schall iteration (Wood and Fasiolo 2017, Biometrics 73, 1071-1081;
// from memory), whose fixed points are those of restricted maximum likelihood
// when the weak priors are absent (a = 0):
//
//	λ ← (rank − λ·tr(K·C) + a) / (b′Kb + a·s0²)
//
// It returns the largest relative change.
func (s *system) updateComponents(comps []component, b []float64) float64 {
	var most float64
	for i := range comps {
		c := &comps[i]
		if c.fixed {
			continue
		}
		ss, tr := s.penalty(c, b)
		next := stepPrecision(c.lambda, float64(c.rank), ss, tr, c.a, c.s0)
		most = math.Max(most, math.Abs(math.Log(next/c.lambda)))
		c.lambda = next
	}
	return most
}

// penalty is b′Kb and tr(K·C) of a component.
func (s *system) penalty(c *component, b []float64) (ss, tr float64) {
	for i := 0; i < c.n; i++ {
		x := b[c.off+i]
		cov := s.cov[(c.off+i)*s.p+c.off:]
		if c.k == nil {
			ss += x * x
			tr += cov[i]
			continue
		}
		for j := 0; j < c.n; j++ {
			if k := c.k[i*c.n+j]; k != 0 {
				ss += x * k * b[c.off+j]
				tr += k * cov[j]
			}
		}
	}
	return ss, tr
}

func stepPrecision(lambda, rank, ss, tr, a, s0 float64) float64 {
	free := math.Max(rank-lambda*tr, 1e-9*rank)
	next := (free + a) / (ss + a*s0*s0 + 1e-300)
	next = math.Min(math.Max(next, lambda/400), lambda*400)
	return math.Min(math.Max(next, leastPrecision), mostPrecision)
}

// updateNested does the same for the levels of the tree.
func (s *system) updateNested(levels []nested, x spread) float64 {
	var most float64
	for _, l := range levels {
		if x.n[l.level] == 0 || l.fixed {
			continue
		}
		old := s.link[l.level]
		tr := x.at[l.level] * x.n[l.level] / math.Max(x.used[l.level], 1)
		next := stepPrecision(old, x.n[l.level], x.ss[l.level], tr, l.a, l.s0)
		most = math.Max(most, math.Abs(math.Log(next/old)))
		s.link[l.level] = next
	}
	return most
}

// spread holds, for each level, the number of nodes, Σ(θ−θ_parent)², and the sum of
// the posterior variances of these differences over the nodes used for it.
type spread struct{ n, ss, used, at [levelCount]float64 }

func (x *spread) add(level uint8, d float64) {
	x.n[level]++
	x.ss[level] += d * d
}

func (x *spread) addVariance(level uint8, v float64) {
	x.used[level]++
	x.at[level] += v
}

// traceNodes bounds how many nodes of a level are used for its trace; more are
// represented by every k-th.
const traceNodes = 1500

// pathCache keeps the path of the last parent asked for; children of one parent
// come together.
type pathCache struct {
	s *system
	v int32
	p path
}

func (c *pathCache) of(v int32) path {
	if c.v != v {
		c.v, c.p = v, c.s.pathOf(v)
	}
	return c.p
}

// linkVariance is the posterior variance of θ_v − θ_parent.
func (s *system) linkVariance(v int32, parent path) float64 {
	a := 1 - s.share(v)
	f := 1 / s.d[v]
	g := s.g[v]
	return f + a*a*(parent.noise+parent.quad) - 2*a*f*g.dot(parent.cov) + f*f*s.quadratic(g)
}

// walk is the penalty of a random walk over n points: increments are independent
// with relative variances v (nil: all 1).
func walk(n int, v []float64) []float64 {
	k := make([]float64, n*n)
	for t := 1; t < n; t++ {
		w := 1.0
		if v != nil {
			w = 1 / v[t]
		}
		k[(t-1)*n+t-1] += w
		k[t*n+t] += w
		k[(t-1)*n+t] -= w
		k[t*n+t-1] -= w
	}
	return k
}

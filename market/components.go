package market

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// component is a block of β with one unknown variance: b ~ N(0, σ²K⁻) with K given,
// or independent effects where K is nil.
type component struct {
	name   string
	off, n int
	k      []float64 // n×n, symmetric; nil for the identity
	rank   int
	lambda float64   // 1/σ²
	fixed  bool      // lambda is given and not estimated
	steps  []float64 // relative variance of each increment of a walk; nil where it is no walk
	phi    float64   // how far an increment of a walk carries on into the next
	phi0   float64   // what the prior expects of phi
	seen   int       // points of a walk that have data; the rest is forecast
	pair   []float64 // q×q precision of the q correlated effects of each group; takes the place of lambda

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

// Bounds of a precision, so that a variance may go to nothing without a division by
// zero.
const (
	minPrecision = 1e-9
	maxPrecision = 1e8
)

// setPrior writes the prior precision of β from the components.
func (s *system) setPrior(comps []component) {
	clear(s.prior)
	for _, c := range comps {
		q := c.groupSize()
		for i := 0; i < c.n; i++ {
			row := s.prior[(c.off+i)*s.p+c.off:]
			if q > 0 {
				for j := i; j < i-i%q+q; j++ {
					row[j] += c.pair[i%q*q+j%q]
				}
				continue
			}
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
		if c.pair != nil {
			most = math.Max(most, s.updateCovariance(c, b))
			continue
		}
		s.updateSteps(c, b)
		ss, tr := s.penalty(c, b)
		next := stepPrecision(c.lambda, float64(c.rank), ss, tr, c.a, c.s0)
		most = math.Max(most, math.Abs(math.Log(next/c.lambda)))
		c.lambda = next
	}
	return most
}

func (c *component) groupSize() int { return int(math.Sqrt(float64(len(c.pair)))) }

// updateCovariance moves the covariance G of correlated effects, such as a level
// and a trend of each group, by the matrix form of the same iteration (Harville
// 1977, Schall 1991; from memory): G ← B·(m·I − G⁻¹T)⁻¹ with B = Σbb′ and T = ΣC over
// the m groups, whose fixed points are those of restricted maximum likelihood too.
func (s *system) updateCovariance(c *component, b []float64) float64 {
	q := c.groupSize()
	m := c.n / q
	bb, tr := mat.NewDense(q, q, nil), mat.NewDense(q, q, nil)
	for g := 0; g < m; g++ {
		for i := 0; i < q; i++ {
			for j := 0; j < q; j++ {
				at, to := c.off+g*q+i, c.off+g*q+j
				bb.Set(i, j, bb.At(i, j)+b[at]*b[to])
				tr.Set(i, j, tr.At(i, j)+s.cov[at*s.p+to])
			}
		}
	}
	var next mat.Dense
	next.Mul(mat.NewDense(q, q, c.pair), tr)
	next.Scale(-1, &next)
	for i := 0; i < q; i++ {
		next.Set(i, i, next.At(i, i)+float64(m))
	}
	var precision mat.Dense
	if err := precision.Inverse(bb); err != nil {
		return 0 // too few groups to tell
	}
	precision.Mul(&next, &precision)
	var most float64
	for i := 0; i < q; i++ {
		for j := 0; j <= i; j++ {
			x := (precision.At(i, j) + precision.At(j, i)) / 2
			most = math.Max(most, math.Abs(x/c.pair[i*q+j]-1))
			c.pair[i*q+j], c.pair[j*q+i] = x, x
		}
	}
	return most
}

// stepDoF are the degrees of freedom of a walk's innovations. They are Student-t, so
// that a market that stood still for years may jump within one: a few large steps do
// not make all others large.
const stepDoF = 4

// futureStep is the variance of an innovation that nothing is known of, relative to the
// square of its scale: that of a Student-t.
const futureStep = stepDoF / (stepDoF - 2.0)

// The prior of phi: normal, kept to [0, maxPhi]. Its mean by quarter is marketCarry
// for the market as a whole, where prices that many know leave little to foretell, and
// premiumCarry for what the market pays for a metal, which moves as taste does: our choice.
const (
	marketCarry, premiumCarry = 0.2, 0.6
	phiSD                     = 0.3
	maxPhi                    = 0.9
)

// updateSteps gives each innovation of a walk its expected variance relative to the
// common one, and the walk its momentum, by the means of squares and products over
// the posterior (one EM step).
func (s *system) updateSteps(c *component, b []float64) {
	if c.steps == nil {
		return
	}
	// Means of products of increments δ_t = b_t − b_{t−1}.
	product := func(t, u int) float64 {
		i, j := c.off+t, c.off+u
		cov := s.cov[i*s.p+j] - s.cov[(i-1)*s.p+j] - s.cov[i*s.p+j-1] + s.cov[(i-1)*s.p+j-1]
		return (b[i]-b[i-1])*(b[j]-b[j-1]) + cov
	}
	var cross, square float64
	for t := 1; t < len(c.steps); t++ {
		v := product(t, t)
		if t > 1 {
			pq, qq := product(t, t-1), product(t-1, t-1)
			v += c.phi*c.phi*qq - 2*c.phi*pq
			if t < c.seen {
				cross += pq / c.steps[t]
				square += qq / c.steps[t]
			}
		}
		c.steps[t] = (stepDoF + v*c.lambda) / (stepDoF + 1)
		if t >= c.seen {
			c.steps[t] = futureStep
		}
	}
	phi := (c.lambda*cross + c.phi0/(phiSD*phiSD)) / (c.lambda*square + 1/(phiSD*phiSD))
	c.phi = math.Min(math.Max(phi, 0), maxPhi)
	c.k = walk(c.n, c.steps, c.phi)
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
	return math.Min(math.Max(next, minPrecision), maxPrecision)
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

// linkVariance is the posterior variance of θ_v − θ_parent. gc is g·cov·follow of the
// parent and gcg is g·cov·g, where g is what v shares with β.
func (s *system) linkVariance(v int32, parent path, gc, gcg float64) float64 {
	a := 1 - s.share(v)
	f := 1 / s.d[v]
	return f + a*a*(parent.noise+parent.quad) - 2*a*f*gc + f*f*gcg
}

// walk is the penalty of a random walk over n points whose increments carry on into
// the next by phi: δ_t = φ·δ_{t−1} + e_t, the innovations e with relative variances v
// (nil: all 1).
func walk(n int, v []float64, phi float64) []float64 {
	k := make([]float64, n*n)
	for t := 1; t < n; t++ {
		w := 1.0
		if v != nil {
			w = 1 / v[t]
		}
		e := [3]float64{1, -1 - phi, phi}
		m := 3
		if t == 1 {
			e, m = [3]float64{1, -1, 0}, 2
		}
		for i := 0; i < m; i++ {
			for j := 0; j < m; j++ {
				k[(t-i)*n+t-j] += w * e[i] * e[j]
			}
		}
	}
	return k
}

// evenSteps are increments of equal variance.
func evenSteps(n int) []float64 {
	out := make([]float64, n)
	for t := range out {
		out[t] = 1
	}
	return out
}

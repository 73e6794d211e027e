package algebra

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Component is a block of β with one unknown variance: b ~ N(0, σ²K⁻) with K given,
// or independent effects where K is nil.
type Component struct {
	Name   string
	Off, N int
	K      []float64 // n×n, symmetric; nil for the identity
	Rank   int
	Lambda float64   // 1/σ²
	Fixed  bool      // lambda is given and not estimated
	Steps  []float64 // relative variance of each increment of a walk; nil where it is no walk
	Phi    float64   // how far an increment of a walk carries on into the next
	Phi0   float64   // what the prior expects of phi
	Seen   int       // points of a walk that have data; the rest is forecast
	pair   []float64 // q×q precision of the q correlated effects of each group; takes the place of lambda

	// A weak prior keeps a variance that few levels inform near a plausible value: a
	// pseudo-effects of variance s0².
	A, S0 float64
}

// Nested is a level of the tree with an unknown variance.
type Nested struct {
	Level int
	A, S0 float64
	fixed bool
}

// Bounds of a precision, so that a variance may go to nothing without a division by
// zero.
const (
	minPrecision = 1e-9
	maxPrecision = 1e8
)

// SetPrior writes the prior precision of β from the components.
func (s *System) SetPrior(comps []Component) {
	clear(s.Prior)
	for _, c := range comps {
		q := c.groupSize()
		for i := 0; i < c.N; i++ {
			row := s.Prior[(c.Off+i)*s.P+c.Off:]
			if q > 0 {
				for j := i; j < i-i%q+q; j++ {
					row[j] += c.pair[i%q*q+j%q]
				}
				continue
			}
			if c.K == nil {
				row[i] += c.Lambda
				continue
			}
			for j := i; j < c.N; j++ {
				row[j] += c.Lambda * c.K[i*c.N+j]
			}
		}
	}
}

// UpdateComponents moves every variance by one step of the generalised
// Fellner-Schall iteration (Wood and Fasiolo 2017, Biometrics 73, 1071-1081;
// from memory), whose fixed points are those of restricted maximum likelihood
// when the weak priors are absent (a = 0):
//
//	λ ← (rank − λ·tr(K·C) + a) / (b′Kb + a·s0²)
//
// It returns the largest relative change.
func (s *System) UpdateComponents(comps []Component, b []float64) float64 {
	var most float64
	for i := range comps {
		c := &comps[i]
		if c.Fixed {
			continue
		}
		if c.pair != nil {
			most = math.Max(most, s.updateCovariance(c, b))
			continue
		}
		s.updateSteps(c, b)
		ss, tr := s.penalty(c, b)
		next := stepPrecision(c.Lambda, float64(c.Rank), ss, tr, c.A, c.S0)
		most = math.Max(most, math.Abs(math.Log(next/c.Lambda)))
		c.Lambda = next
	}
	return most
}

func (c *Component) groupSize() int { return int(math.Sqrt(float64(len(c.pair)))) }

// updateCovariance moves the covariance G of correlated effects, such as a level
// and a trend of each group, by the matrix form of the same iteration (Harville
// 1977, Schall 1991; from memory): G ← B·(m·I − G⁻¹T)⁻¹ with B = Σbb′ and T = ΣC over
// the m groups, whose fixed points are those of restricted maximum likelihood too.
func (s *System) updateCovariance(c *Component, b []float64) float64 {
	q := c.groupSize()
	m := c.N / q
	bb, tr := mat.NewDense(q, q, nil), mat.NewDense(q, q, nil)
	for g := 0; g < m; g++ {
		for i := 0; i < q; i++ {
			for j := 0; j < q; j++ {
				at, to := c.Off+g*q+i, c.Off+g*q+j
				bb.Set(i, j, bb.At(i, j)+b[at]*b[to])
				tr.Set(i, j, tr.At(i, j)+s.Cov[at*s.P+to])
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

// FutureStep is the variance of an innovation that nothing is known of, relative to the
// square of its scale: that of a Student-t.
const FutureStep = stepDoF / (stepDoF - 2.0)

// The prior of phi: normal, kept to [0, MaxPhi]. Its mean by quarter is MarketCarry
// for the market as a whole, where prices that many know leave little to foretell, and
// PremiumCarry for what the market pays for a metal, which moves as taste does: our choice.
const (
	MarketCarry, PremiumCarry = 0.2, 0.6
	phiSD                     = 0.3
	MaxPhi                    = 0.9
)

// updateSteps gives each innovation of a walk its expected variance relative to the
// common one, and the walk its momentum, by the means of squares and products over
// the posterior (one EM step).
func (s *System) updateSteps(c *Component, b []float64) {
	if c.Steps == nil {
		return
	}
	// Means of products of increments δ_t = b_t − b_{t−1}.
	product := func(t, u int) float64 {
		i, j := c.Off+t, c.Off+u
		cov := s.Cov[i*s.P+j] - s.Cov[(i-1)*s.P+j] - s.Cov[i*s.P+j-1] + s.Cov[(i-1)*s.P+j-1]
		return (b[i]-b[i-1])*(b[j]-b[j-1]) + cov
	}
	var cross, square float64
	for t := 1; t < len(c.Steps); t++ {
		v := product(t, t)
		if t > 1 {
			pq, qq := product(t, t-1), product(t-1, t-1)
			v += c.Phi*c.Phi*qq - 2*c.Phi*pq
			if t < c.Seen {
				cross += pq / c.Steps[t]
				square += qq / c.Steps[t]
			}
		}
		c.Steps[t] = (stepDoF + v*c.Lambda) / (stepDoF + 1)
		if t >= c.Seen {
			c.Steps[t] = FutureStep
		}
	}
	phi := (c.Lambda*cross + c.Phi0/(phiSD*phiSD)) / (c.Lambda*square + 1/(phiSD*phiSD))
	c.Phi = math.Min(math.Max(phi, 0), MaxPhi)
	c.K = Walk(c.N, c.Steps, c.Phi)
}

// penalty is b′Kb and tr(K·C) of a component.
func (s *System) penalty(c *Component, b []float64) (ss, tr float64) {
	for i := 0; i < c.N; i++ {
		x := b[c.Off+i]
		cov := s.Cov[(c.Off+i)*s.P+c.Off:]
		if c.K == nil {
			ss += x * x
			tr += cov[i]
			continue
		}
		for j := 0; j < c.N; j++ {
			if k := c.K[i*c.N+j]; k != 0 {
				ss += x * k * b[c.Off+j]
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

// UpdateNested does the same for the levels of the tree.
func (s *System) UpdateNested(levels []Nested, x Spread) float64 {
	var most float64
	for _, l := range levels {
		if x.N[l.Level] == 0 || l.fixed {
			continue
		}
		old := s.Link[l.Level]
		tr := x.At[l.Level] * x.N[l.Level] / math.Max(x.Used[l.Level], 1)
		next := stepPrecision(old, x.N[l.Level], x.ss[l.Level], tr, l.A, l.S0)
		most = math.Max(most, math.Abs(math.Log(next/old)))
		s.Link[l.Level] = next
	}
	return most
}

// Spread holds, for each level, the number of nodes, Σ(θ−θ_parent)², and the sum of
// the posterior variances of these differences over the nodes used for it.
type Spread struct{ N, ss, Used, At [LevelCount]float64 }

// Add counts the difference of a node from its parent.
func (x *Spread) Add(level uint8, d float64) {
	x.N[level]++
	x.ss[level] += d * d
}

// AddVariance counts the posterior variance of such a difference.
func (x *Spread) AddVariance(level uint8, v float64) {
	x.Used[level]++
	x.At[level] += v
}

// PathCache keeps the path of the last parent asked for; children of one parent
// come together.
type PathCache struct {
	S *System
	V int32
	p Path
}

// Of is the path of a node.
func (c *PathCache) Of(v int32) Path {
	if c.V != v {
		c.V, c.p = v, c.S.PathOf(v)
	}
	return c.p
}

// LinkVariance is the posterior variance of θ_v − θ_parent. gc is g·cov·follow of the
// parent and gcg is g·cov·g, where g is what v shares with β.
func (s *System) LinkVariance(v int32, parent Path, gc, gcg float64) float64 {
	a := 1 - s.Share(v)
	f := 1 / s.D[v]
	return f + a*a*(parent.Noise+parent.Quad) - 2*a*f*gc + f*f*gcg
}

// Walk is the penalty of a random walk over n points whose increments carry on into
// the next by phi: δ_t = φ·δ_{t−1} + e_t, the innovations e with relative variances v
// (nil: all 1).
func Walk(n int, v []float64, phi float64) []float64 {
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

// EvenSteps are increments of equal variance.
func EvenSteps(n int) []float64 {
	out := make([]float64, n)
	for t := range out {
		out[t] = 1
	}
	return out
}

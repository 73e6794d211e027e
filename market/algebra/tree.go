package algebra

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
)

// Levels of the nested effects, from the whole market down.
const (
	LevelRoot = iota
	LevelMaker
	LevelFamily
	LevelReference
	LevelVariant
	LevelCount
)

// Sparse is a vector with ascending indices.
type Sparse struct {
	At  []int32
	Val []float64
}

// Dot is the product with a dense vector.
func (s Sparse) Dot(dense []float64) float64 {
	var sum float64
	for k, i := range s.At {
		sum += s.Val[k] * dense[i]
	}
	return sum
}

// System is the mixed-model equations of one working step. Nested effects are held
// as the whole effect θ of each node, which is centred on its parent's: the prior
// precision is then a tree, data touch only the leaves, and eliminating nodes from
// the leaves up costs time linear in their number. What is crossed with them (the
// coefficients β) is left as a dense system.
type System struct {
	Parent []int32 // of each node; parents come before children; the root has −1
	Level  []uint8
	Link   [LevelCount]float64 // prior precision of a node around its parent, by level

	Weight []float64 // information of the data on each node alone
	Cross  []Sparse  // information shared between a node and β; the leaves' only
	P      int
	Info   []float64 // information on β, p×p, upper triangle
	Prior  []float64 // prior precision of β, p×p, upper triangle

	// Set by factor.
	D      []float64 // pivot of each node
	G      []Sparse  // what a node shares with β when its children are gone
	chol   []float64 // Cholesky factor of what is left for β, p×p, upper triangle
	Cov    []float64 // posterior covariance of β, p×p, full; nil until invert
	logDet float64   // of the whole posterior precision
	ok     bool
}

// Nodes is the number of nodes.
func (s *System) Nodes() int { return len(s.Parent) }

// Share is how much of a node's expectation follows its parent: λ/d.
func (s *System) Share(v int32) float64 { return s.Link[s.Level[v]] / s.D[v] }

// Factor eliminates the nodes and inverts what is left. It reports false where the
// system is not positive definite, which well-posed priors exclude.
func (s *System) Factor() bool { return s.Eliminate() && s.Invert() }

// Eliminate does so without the inverse, which Solve can do without.
func (s *System) Eliminate() bool {
	n := s.Nodes()
	s.D, s.G = make([]float64, n), make([]Sparse, n)
	left := s.chol
	if left == nil {
		left = s.Cov // is of no more use
	}
	if len(left) != s.P*s.P {
		left = make([]float64, s.P*s.P)
	}
	for i := 0; i < s.P; i++ {
		for k := i*s.P + i; k < (i+1)*s.P; k++ {
			left[k] = s.Info[k] + s.Prior[k]
		}
	}
	s.chol, s.Cov = left, nil
	s.logDet = 0
	dense := make([]float64, s.P)
	mark := make([]bool, s.P)
	first := s.FirstChild()
	for v := n - 1; v >= 0; v-- {
		s.pivot(v, first, dense, mark)
		s.logDet += math.Log(s.D[v])
	}
	s.takeNodes(left)
	s.ok = s.decompose()
	return s.ok
}

// FirstChild gives where the children of each node start; they are contiguous and
// end where those of the next node start.
func (s *System) FirstChild() []int32 {
	n := s.Nodes()
	first := make([]int32, n+1)
	next := int32(1)
	for v := 0; v < n; v++ {
		first[v] = next
		for next < int32(n) && s.Parent[next] == int32(v) {
			next++
		}
	}
	first[n] = next
	return first
}

func (s *System) pivot(v int, first []int32, dense []float64, mark []bool) {
	s.D[v] = s.Weight[v] + s.Link[s.Level[v]]
	from, to := first[v], first[v+1]
	if from == to {
		s.G[v] = s.Cross[v]
		return
	}
	count := 0
	if c := s.Cross[v]; len(c.At) > 0 {
		for k, i := range c.At {
			dense[i] += c.Val[k]
			if !mark[i] {
				mark[i] = true
				count++
			}
		}
	}
	for c := from; c < to; c++ {
		a := s.Share(c)
		s.D[v] += s.Link[s.Level[c]] * (1 - a)
		for k, i := range s.G[c].At {
			dense[i] += a * s.G[c].Val[k]
			if !mark[i] {
				mark[i] = true
				count++
			}
		}
	}
	s.G[v] = Gather(dense, mark, count)
}

// Gather takes a sparse vector out of its dense form, which it clears.
func Gather(dense []float64, mark []bool, count int) Sparse {
	out := Sparse{make([]int32, 0, count), make([]float64, 0, count)}
	for i, m := range mark {
		if m {
			out.At, out.Val = append(out.At, int32(i)), append(out.Val, dense[i])
			dense[i], mark[i] = 0, false
		}
	}
	return out
}

// takeNodes takes what the nodes share with β out of the upper triangle of a p×p
// matrix: Σ g·g′/d. Two workers have half of the work each, by rows.
func (s *System) takeNodes(m []float64) {
	work := make([]int, s.P+1) // products by row
	total := 0
	for _, g := range s.G {
		for k, i := range g.At {
			work[i] += len(g.At) - k
			total += len(g.At) - k
		}
	}
	cut, done := 0, 0
	for ; cut < s.P && 2*done < total; cut++ {
		done += work[cut]
	}
	rows := func(from, to int32) {
		for v := len(s.G) - 1; v >= 0; v-- {
			outer(m, s.P, s.G[v], -1/s.D[v], from, to)
		}
	}
	Both(func() { rows(0, int32(cut)) }, func() { rows(int32(cut), int32(s.P)) })
}

// outer adds f·v·v′ to rows of the upper triangle of a p×p matrix.
func outer(m []float64, p int, v Sparse, f float64, from, to int32) {
	start, _ := slices.BinarySearch(v.At, from)
	for k := start; k < len(v.At) && v.At[k] < to; k++ {
		i := int(v.At[k])
		x := f * v.Val[k]
		row := m[i*p : i*p+p]
		at, val := v.At[k:], v.Val[k:]
		for l, j := range at {
			row[j] += x * val[l]
		}
	}
}

// decompose turns chol from the symmetric matrix into its factor.
func (s *System) decompose() bool {
	if s.P == 0 {
		return true
	}
	if !square(s.P, s.chol).factorise() {
		return false
	}
	for i := 0; i < s.P; i++ {
		s.logDet += 2 * math.Log(s.chol[i*s.P+i])
	}
	return true
}

// Invert sets cov from the factor, which it uses up.
func (s *System) Invert() bool {
	m := square(s.P, s.chol)
	s.chol, s.Cov = nil, m.data
	if s.P == 0 {
		s.Cov = []float64{}
		return true
	}
	if !m.invertTriangle() {
		return false
	}
	m.timesTranspose()
	m.mirror()
	return true
}

// Solve gives the nodes' and β's share of the solution of (information + prior)·x
// = (nodes, beta). The arguments are not changed.
func (s *System) Solve(nodes, beta []float64) (theta, b []float64) {
	r := append([]float64(nil), nodes...)
	rb := append([]float64(nil), beta...)
	for v := s.Nodes() - 1; v >= 0; v-- {
		f := r[v] / s.D[v]
		for k, i := range s.G[v].At {
			rb[i] -= f * s.G[v].Val[k]
		}
		if p := s.Parent[v]; p >= 0 {
			r[p] += s.Share(int32(v)) * r[v]
		}
	}
	if s.Cov != nil {
		b = multiply(s.Cov, s.P, rb)
	} else {
		b = rb
		t := blas64.Triangular{N: s.P, Stride: s.P, Data: s.chol, Uplo: blas.Upper, Diag: blas.NonUnit}
		blas64.Trsv(blas.Trans, t, vector(b))
		blas64.Trsv(blas.NoTrans, t, vector(b))
	}
	for v := range r {
		x := r[v] - s.G[v].Dot(b)
		if p := s.Parent[v]; p >= 0 {
			x += s.Link[s.Level[v]] * r[p] // r[p] holds θ of the parent by now
		}
		r[v] = x / s.D[v]
	}
	return r, b
}

func multiply(m []float64, p int, x []float64) []float64 {
	out := make([]float64, p)
	if p > 0 {
		blas64.Gemv(blas.NoTrans, 1, blas64.General{Rows: p, Cols: p, Stride: p, Data: m}, vector(x), 0, vector(out))
	}
	return out
}

func vector(x []float64) blas64.Vector { return blas64.Vector{N: len(x), Inc: 1, Data: x} }

// Path describes θ of a node given β: θ = constant − follow′β + Σ noise, where the
// noise of the nodes on the way to the root is independent.
type Path struct {
	Node   []int32   // from the node up to the root
	Coef   []float64 // of each node's own noise in θ
	follow []float64 // dense over β
	Cov    []float64 // covariance of β times follow
	Quad   float64   // follow′·cov·follow
	Noise  float64   // Σ coef²/d
}

// PathOf describes a node, and the child that one would have without data when
// fresh levels are named: their variance is added to the noise.
func (s *System) PathOf(v int32) Path {
	p := Path{follow: make([]float64, s.P)}
	c := 1.0
	for v >= 0 {
		p.Node, p.Coef = append(p.Node, v), append(p.Coef, c)
		p.Noise += c * c / s.D[v]
		for k, i := range s.G[v].At {
			p.follow[i] += c * s.G[v].Val[k] / s.D[v]
		}
		c *= s.Share(v)
		v = s.Parent[v]
	}
	p.Cov = multiply(s.Cov, s.P, p.follow)
	for i, f := range p.follow {
		p.Quad += f * p.Cov[i]
	}
	return p
}

// Variance is the posterior variance of θ + x′β.
func (s *System) Variance(p Path, x Sparse) float64 {
	v := p.Noise + p.Quad - 2*x.Dot(p.Cov) + s.Quadratic(x)
	return math.Max(v, 0)
}

// DifferenceVariance is the posterior variance of (θ₁ + x₁′β) − (θ₂ + x₂′β).
func (s *System) DifferenceVariance(p, q Path, x Sparse) float64 {
	i, j := len(p.Node)-1, len(q.Node)-1
	v := p.Quad + q.Quad - 2*dot(p.follow, q.Cov) - 2*x.Dot(p.Cov) + 2*x.Dot(q.Cov) + s.Quadratic(x)
	for ; i >= 0 && j >= 0 && p.Node[i] == q.Node[j]; i, j = i-1, j-1 {
		c := p.Coef[i] - q.Coef[j]
		v += c * c / s.D[p.Node[i]]
	}
	for ; i >= 0; i-- {
		v += p.Coef[i] * p.Coef[i] / s.D[p.Node[i]]
	}
	for ; j >= 0; j-- {
		v += q.Coef[j] * q.Coef[j] / s.D[q.Node[j]]
	}
	return math.Max(v, 0)
}

func dot(a, b []float64) float64 {
	var sum float64
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

// Quadratic is x′·cov·x.
func (s *System) Quadratic(x Sparse) float64 {
	var sum float64
	for k, i := range x.At {
		row := s.Cov[int(i)*s.P : int(i)*s.P+s.P]
		part := x.Val[k] * row[i] / 2
		for l := k + 1; l < len(x.At); l++ {
			part += x.Val[l] * row[x.At[l]]
		}
		sum += x.Val[k] * part
	}
	return 2 * sum
}

// Average is the mean of θ over the sales, as a path to every node.
type Average struct {
	Theta  float64
	coef   []float64 // of each node's own noise
	follow []float64
	cov    []float64
	quad   float64
	noise  float64
}

// AverageOf weighs the leaves by their sales.
func (s *System) AverageOf(theta []float64, sales []int) Average {
	a := Average{coef: make([]float64, s.Nodes()), follow: make([]float64, s.P)}
	n := float64(sales[0])
	for v := s.Nodes() - 1; v >= 0; v-- {
		if s.Level[v] == LevelVariant {
			w := float64(sales[v]) / n
			a.coef[v] += w
			a.Theta += w * theta[v]
		}
		c := a.coef[v]
		a.noise += c * c / s.D[v]
		for k, i := range s.G[v].At {
			a.follow[i] += c * s.G[v].Val[k] / s.D[v]
		}
		if p := s.Parent[v]; p >= 0 {
			a.coef[p] += c * s.Share(int32(v))
		}
	}
	a.cov = multiply(s.Cov, s.P, a.follow)
	a.quad = dot(a.follow, a.cov)
	return a
}

// Blend is the posterior variance of Σ weight·θ + x′β; nil weights are none.
func (s *System) Blend(weight []float64, x Sparse) float64 {
	v := s.Quadratic(x)
	if weight == nil {
		return math.Max(v, 0)
	}
	coef, follow := slices.Clone(weight), make([]float64, s.P)
	for n := s.Nodes() - 1; n >= 0; n-- {
		c := coef[n]
		if c == 0 {
			continue
		}
		v += c * c / s.D[n]
		for k, i := range s.G[n].At {
			follow[i] += c * s.G[n].Val[k] / s.D[n]
		}
		if p := s.Parent[n]; p >= 0 {
			coef[p] += c * s.Share(int32(n))
		}
	}
	cov := multiply(s.Cov, s.P, follow)
	return math.Max(v+dot(follow, cov)-2*x.Dot(cov), 0)
}

// AgainstAverage is the posterior variance of θ less the mean over the sales.
func (s *System) AgainstAverage(p Path, a *Average) float64 {
	v := a.noise + p.Quad + a.quad - 2*dot(p.follow, a.cov)
	for k, n := range p.Node {
		c := a.coef[n]
		v += ((p.Coef[k]-c)*(p.Coef[k]-c) - c*c) / s.D[n]
	}
	return math.Max(v, 0)
}

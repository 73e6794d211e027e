package market

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
)

// Levels of the nested effects, from the whole market down.
const (
	levelRoot = iota
	levelMaker
	levelFamily
	levelReference
	levelVariant
	levelCount
)

// sparse is a vector with ascending indices.
type sparse struct {
	at  []int32
	val []float64
}

func (s sparse) dot(dense []float64) float64 {
	var sum float64
	for k, i := range s.at {
		sum += s.val[k] * dense[i]
	}
	return sum
}

// system is the mixed-model equations of one working step. Nested effects are held
// as the whole effect θ of each node, which is centred on its parent's: the prior
// precision is then a tree, data touch only the leaves, and eliminating nodes from
// the leaves up costs time linear in their number. What is crossed with them (the
// coefficients β) is left as a dense system.
type system struct {
	parent []int32 // of each node; parents come before children; the root has −1
	level  []uint8
	link   [levelCount]float64 // prior precision of a node around its parent, by level

	weight []float64 // information of the data on each node alone
	cross  []sparse  // information shared between a node and β; the leaves' only
	p      int
	info   []float64 // information on β, p×p, upper triangle
	prior  []float64 // prior precision of β, p×p, upper triangle

	// Set by factor.
	d      []float64 // pivot of each node
	g      []sparse  // what a node shares with β when its children are gone
	chol   []float64 // Cholesky factor of what is left for β, p×p, upper triangle
	cov    []float64 // posterior covariance of β, p×p, full; nil until invert
	logDet float64   // of the whole posterior precision
	ok     bool
}

func (s *system) nodes() int { return len(s.parent) }

// share is how much of a node's expectation follows its parent: λ/d.
func (s *system) share(v int32) float64 { return s.link[s.level[v]] / s.d[v] }

// factor eliminates the nodes and inverts what is left. It reports false where the
// system is not positive definite, which well-posed priors exclude.
func (s *system) factor() bool { return s.eliminate() && s.invert() }

// eliminate does so without the inverse, which solve can do without.
func (s *system) eliminate() bool {
	n := s.nodes()
	s.d, s.g = make([]float64, n), make([]sparse, n)
	left := s.chol
	if left == nil {
		left = s.cov // is of no more use
	}
	if len(left) != s.p*s.p {
		left = make([]float64, s.p*s.p)
	}
	for i := 0; i < s.p; i++ {
		for k := i*s.p + i; k < (i+1)*s.p; k++ {
			left[k] = s.info[k] + s.prior[k]
		}
	}
	s.chol, s.cov = left, nil
	s.logDet = 0
	dense := make([]float64, s.p)
	mark := make([]bool, s.p)
	first := s.firstChild()
	for v := n - 1; v >= 0; v-- {
		s.pivot(v, first, dense, mark)
		s.logDet += math.Log(s.d[v])
	}
	s.takeNodes(left)
	s.ok = s.decompose()
	return s.ok
}

// firstChild gives where the children of each node start; they are contiguous and
// end where those of the next node start.
func (s *system) firstChild() []int32 {
	n := s.nodes()
	first := make([]int32, n+1)
	next := int32(1)
	for v := 0; v < n; v++ {
		first[v] = next
		for next < int32(n) && s.parent[next] == int32(v) {
			next++
		}
	}
	first[n] = next
	return first
}

func (s *system) pivot(v int, first []int32, dense []float64, mark []bool) {
	s.d[v] = s.weight[v] + s.link[s.level[v]]
	from, to := first[v], first[v+1]
	if from == to {
		s.g[v] = s.cross[v]
		return
	}
	count := 0
	if c := s.cross[v]; len(c.at) > 0 {
		for k, i := range c.at {
			dense[i] += c.val[k]
			if !mark[i] {
				mark[i] = true
				count++
			}
		}
	}
	for c := from; c < to; c++ {
		a := s.share(c)
		s.d[v] += s.link[s.level[c]] * (1 - a)
		for k, i := range s.g[c].at {
			dense[i] += a * s.g[c].val[k]
			if !mark[i] {
				mark[i] = true
				count++
			}
		}
	}
	s.g[v] = gather(dense, mark, count)
}

// gather takes a sparse vector out of its dense form, which it clears.
func gather(dense []float64, mark []bool, count int) sparse {
	out := sparse{make([]int32, 0, count), make([]float64, 0, count)}
	for i, m := range mark {
		if m {
			out.at, out.val = append(out.at, int32(i)), append(out.val, dense[i])
			dense[i], mark[i] = 0, false
		}
	}
	return out
}

// takeNodes takes what the nodes share with β out of the upper triangle of a p×p
// matrix: Σ g·g′/d. Two workers have half of the work each, by rows.
func (s *system) takeNodes(m []float64) {
	work := make([]int, s.p+1) // products by row
	total := 0
	for _, g := range s.g {
		for k, i := range g.at {
			work[i] += len(g.at) - k
			total += len(g.at) - k
		}
	}
	cut, done := 0, 0
	for ; cut < s.p && 2*done < total; cut++ {
		done += work[cut]
	}
	rows := func(from, to int32) {
		for v := len(s.g) - 1; v >= 0; v-- {
			outer(m, s.p, s.g[v], -1/s.d[v], from, to)
		}
	}
	both(func() { rows(0, int32(cut)) }, func() { rows(int32(cut), int32(s.p)) })
}

// outer adds f·v·v′ to rows of the upper triangle of a p×p matrix.
func outer(m []float64, p int, v sparse, f float64, from, to int32) {
	start, _ := slices.BinarySearch(v.at, from)
	for k := start; k < len(v.at) && v.at[k] < to; k++ {
		i := int(v.at[k])
		x := f * v.val[k]
		row := m[i*p : i*p+p]
		at, val := v.at[k:], v.val[k:]
		for l, j := range at {
			row[j] += x * val[l]
		}
	}
}

// decompose turns chol from the symmetric matrix into its factor.
func (s *system) decompose() bool {
	if s.p == 0 {
		return true
	}
	if !square(s.p, s.chol).factorise() {
		return false
	}
	for i := 0; i < s.p; i++ {
		s.logDet += 2 * math.Log(s.chol[i*s.p+i])
	}
	return true
}

// invert sets cov from the factor, which it uses up.
func (s *system) invert() bool {
	m := square(s.p, s.chol)
	s.chol, s.cov = nil, m.data
	if s.p == 0 {
		s.cov = []float64{}
		return true
	}
	if !m.invertTriangle() {
		return false
	}
	m.timesTranspose()
	m.mirror()
	return true
}

// solve gives the nodes' and β's share of the solution of (information + prior)·x
// = (nodes, beta). The arguments are not changed.
func (s *system) solve(nodes, beta []float64) (theta, b []float64) {
	r := append([]float64(nil), nodes...)
	rb := append([]float64(nil), beta...)
	for v := s.nodes() - 1; v >= 0; v-- {
		f := r[v] / s.d[v]
		for k, i := range s.g[v].at {
			rb[i] -= f * s.g[v].val[k]
		}
		if p := s.parent[v]; p >= 0 {
			r[p] += s.share(int32(v)) * r[v]
		}
	}
	if s.cov != nil {
		b = multiply(s.cov, s.p, rb)
	} else {
		b = rb
		t := blas64.Triangular{N: s.p, Stride: s.p, Data: s.chol, Uplo: blas.Upper, Diag: blas.NonUnit}
		blas64.Trsv(blas.Trans, t, vector(b))
		blas64.Trsv(blas.NoTrans, t, vector(b))
	}
	for v := range r {
		x := r[v] - s.g[v].dot(b)
		if p := s.parent[v]; p >= 0 {
			x += s.link[s.level[v]] * r[p] // r[p] holds θ of the parent by now
		}
		r[v] = x / s.d[v]
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

// path describes θ of a node given β: θ = constant − follow′β + Σ noise, where the
// noise of the nodes on the way to the root is independent.
type path struct {
	node   []int32   // from the node up to the root
	coef   []float64 // of each node's own noise in θ
	follow []float64 // dense over β
	cov    []float64 // covariance of β times follow
	quad   float64   // follow′·cov·follow
	noise  float64   // Σ coef²/d
}

// pathOf describes a node, and the child that one would have without data when
// fresh levels are named: their variance is added to the noise.
func (s *system) pathOf(v int32) path {
	p := path{follow: make([]float64, s.p)}
	c := 1.0
	for v >= 0 {
		p.node, p.coef = append(p.node, v), append(p.coef, c)
		p.noise += c * c / s.d[v]
		for k, i := range s.g[v].at {
			p.follow[i] += c * s.g[v].val[k] / s.d[v]
		}
		c *= s.share(v)
		v = s.parent[v]
	}
	p.cov = multiply(s.cov, s.p, p.follow)
	for i, f := range p.follow {
		p.quad += f * p.cov[i]
	}
	return p
}

// variance is the posterior variance of θ + x′β.
func (s *system) variance(p path, x sparse) float64 {
	v := p.noise + p.quad - 2*x.dot(p.cov) + s.quadratic(x)
	return math.Max(v, 0)
}

// differenceVariance is the posterior variance of (θ₁ + x₁′β) − (θ₂ + x₂′β).
func (s *system) differenceVariance(p, q path, x sparse) float64 {
	i, j := len(p.node)-1, len(q.node)-1
	v := p.quad + q.quad - 2*dot(p.follow, q.cov) - 2*x.dot(p.cov) + 2*x.dot(q.cov) + s.quadratic(x)
	for ; i >= 0 && j >= 0 && p.node[i] == q.node[j]; i, j = i-1, j-1 {
		c := p.coef[i] - q.coef[j]
		v += c * c / s.d[p.node[i]]
	}
	for ; i >= 0; i-- {
		v += p.coef[i] * p.coef[i] / s.d[p.node[i]]
	}
	for ; j >= 0; j-- {
		v += q.coef[j] * q.coef[j] / s.d[q.node[j]]
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

// quadratic is x′·cov·x.
func (s *system) quadratic(x sparse) float64 {
	var sum float64
	for k, i := range x.at {
		row := s.cov[int(i)*s.p : int(i)*s.p+s.p]
		part := x.val[k] * row[i] / 2
		for l := k + 1; l < len(x.at); l++ {
			part += x.val[l] * row[x.at[l]]
		}
		sum += x.val[k] * part
	}
	return 2 * sum
}

// average is the mean of θ over the sales, as a path to every node.
type average struct {
	theta  float64
	coef   []float64 // of each node's own noise
	follow []float64
	cov    []float64
	quad   float64
	noise  float64
}

// averageOf weighs the leaves by their sales.
func (s *system) averageOf(theta []float64, sales []int) average {
	a := average{coef: make([]float64, s.nodes()), follow: make([]float64, s.p)}
	n := float64(sales[0])
	for v := s.nodes() - 1; v >= 0; v-- {
		if s.level[v] == levelVariant {
			w := float64(sales[v]) / n
			a.coef[v] += w
			a.theta += w * theta[v]
		}
		c := a.coef[v]
		a.noise += c * c / s.d[v]
		for k, i := range s.g[v].at {
			a.follow[i] += c * s.g[v].val[k] / s.d[v]
		}
		if p := s.parent[v]; p >= 0 {
			a.coef[p] += c * s.share(int32(v))
		}
	}
	a.cov = multiply(s.cov, s.p, a.follow)
	a.quad = dot(a.follow, a.cov)
	return a
}

// againstAverage is the posterior variance of θ less the mean over the sales.
func (s *system) againstAverage(p path, a *average) float64 {
	v := a.noise + p.quad + a.quad - 2*dot(p.follow, a.cov)
	for k, n := range p.node {
		c := a.coef[n]
		v += ((p.coef[k]-c)*(p.coef[k]-c) - c*c) / s.d[n]
	}
	return math.Max(v, 0)
}

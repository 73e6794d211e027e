package market

import (
	"math"
	"midcase/market/algebra"
	"midcase/market/table"
	"runtime"
)

// fitter holds the state of the iteration.
type fitter struct {
	*design
	workers int
	lanes   [][2]int // rows of each lane; cut between leaves

	layout
	sys    *algebra.System
	comps  []algebra.Component
	levels []algebra.Nested

	theta, b    []float64 // effects of nodes and coefficients
	ref         []int32   // reference node of each leaf
	logScale    []float64 // of each node that is a reference
	scaleMid    float64   // mean of the log scales
	scaleVar    float64   // their variance between references
	scaleMidVar float64   // posterior variance of their mean
	scaleN      []float64 // information on each log scale
	class       []float64 // log factor of scale by class
	classN      []float64
	hat         []float64 // leverage of a sale in each leaf
	dof         float64
	dofGiven    bool
	wild        float64 // share of prices that are mistakes
	n           int
	rows        []int   // sales of each leaf
	damp        float64 // of the steps

	parts  []*sums // of each lane, used again from pass to pass
	grad   *sums   // of the last pass
	spread algebra.Spread
}

// Fit estimates the model from the sales of the table. It needs one sale at least;
// with few the ranges of its values are wide. The report lists rows that could not
// be used. The result does not depend on the order of the rows or on the number of
// workers.
func Fit(t *table.Table, opt Options) (*Model, FitReport, error) {
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	rep := FitReport{RowsRead: t.Len()}
	d, bad, err := newDesign(t, opt)
	rep.Rejected, rep.RowsRejected, rep.Unrated = bad, len(bad), unrated(bad)
	if err != nil {
		return nil, rep, err
	}
	f := newFitter(d, opt)
	rep.Iterations = f.run(full) + 1
	f.finish()
	m := f.model(t)
	m.unrated = rep.Unrated
	m.fillReport(&rep)
	return m, rep, nil
}

func newFitter(d *design, opt Options) *fitter {
	f := &fitter{design: d, workers: opt.Workers, n: len(d.obs)}
	f.layout = newLayout(&d.scheme)
	f.lanes = cutLanes(d.obs)
	x := &d.nodes
	nodes := len(x.name)
	f.sys = &algebra.System{Parent: x.parent, Level: x.level, P: f.p, Weight: make([]float64, nodes),
		Cross: make([]algebra.Sparse, nodes), Info: make([]float64, f.p*f.p), Prior: make([]float64, f.p*f.p)}
	f.comps = f.components(&d.scheme)
	f.levels = []algebra.Nested{{Level: algebra.LevelMaker, A: 1, S0: 0.4}, {Level: algebra.LevelFamily, A: 1, S0: 0.4},
		{Level: algebra.LevelReference, A: 1, S0: 0.3}, {Level: algebra.LevelVariant, A: 1, S0: 0.01}}
	f.sys.Link[algebra.LevelRoot] = precision(sdMarket)
	for _, l := range f.levels {
		f.sys.Link[l.Level] = 1 / (l.S0 * l.S0)
	}
	f.theta, f.b = make([]float64, nodes), make([]float64, f.p)
	f.ref = make([]int32, nodes)
	for v := range x.level {
		if x.level[v] == algebra.LevelVariant {
			f.ref[v] = x.parent[v]
		}
	}
	f.logScale, f.scaleN, f.hat = make([]float64, nodes), make([]float64, nodes), make([]float64, nodes)
	f.class, f.classN = make([]float64, 4*d.channel.width()), make([]float64, 4*d.channel.width())
	f.dof, f.wild, f.damp = 4, 0.01, 1
	if opt.DegreesOfFreedom > 0 {
		f.dof, f.dofGiven = opt.DegreesOfFreedom, true
	}
	f.rows = make([]int, nodes)
	for i := range d.obs {
		f.rows[d.obs[i].leaf]++
	}
	f.startScale()
	return f
}

// startScale begins with the spread of all log prices, wide enough for every
// reference to be found from there.
func (f *fitter) startScale() {
	abs := make([]prepared, min(len(f.obs), 4000)) // an even sample is enough to start
	for i := range abs {
		abs[i].y = math.Abs(f.obs[i*len(f.obs)/len(abs)].y)
	}
	s := math.Log(math.Min(math.Max(1.4826*medianOf(abs), 0.1), 2))
	f.scaleMid, f.scaleVar = s, 0.1
	for v := range f.logScale {
		f.logScale[v] = s
	}
}

// cutLanes divides the rows into a number of runs that depends on the data only.
func cutLanes(o []obs) [][2]int {
	n := 1
	switch {
	case len(o) > sampleFrom:
		n = 8
	case len(o) > 2000:
		n = 4
	}
	var lanes [][2]int
	from := 0
	for k := 1; k <= n; k++ {
		to := len(o) * k / n
		for to > from && to < len(o) && o[to].leaf == o[to-1].leaf {
			to++
		}
		if to > from {
			lanes = append(lanes, [2]int{from, to})
			from = to
		}
	}
	return lanes
}

// maxIterations bounds the passes over the data.
const maxIterations = 40

// run iterates scoring steps, scales, degrees of freedom and variances until they
// settle, and gives the number of passes over the data. A larger table starts from
// a fit of an even sample of it.
func (f *fitter) run(goal settled) int {
	started := f.startFromSample()
	f.sys.SetPrior(f.comps)
	large := f.n > roughFrom
	if large {
		goal = settled{step: 5e-3, scale: 0.02, variance: math.Inf(1), least: 3}
	}
	// What is left to gain must be small against the errors of the estimates, no more.
	noise := 1 / math.Sqrt(float64(f.n))
	goal.step, goal.scale = math.Max(goal.step, 0.3*noise), math.Max(goal.scale, 0.6*noise)
	last, stale := math.Inf(1), false
	for k := 1; ; k++ {
		// With many sales the information changes little from step to step, and two
		// rounds of variances after those of the sample are enough. It is collected anew
		// where the steps do not shrink well with the old.
		fresh := !large || k == 1 || stale
		f.pass(fresh)
		if fresh {
			f.score()
		}
		variances := started || k >= firstSweep
		if large {
			variances = k <= 2
		}
		if fresh || k <= 3 {
			f.sys.Eliminate()
		}
		if variances {
			f.sys.Invert()
		}
		step, scale, variance := f.advance(variances)
		// A reference with a sale or two can be overshot for ever, since its likelihood
		// is more curved at the peak than expected.
		if k >= firstSweep && step > 0.8*last {
			f.damp = math.Max(0.5, 0.8*f.damp)
		}
		stale = k > 2 && step > 0.4*last
		last = step
		if (step < goal.step && scale < goal.scale && variance < goal.variance && k >= goal.least) ||
			k >= maxIterations {
			return k
		}
	}
}

// finish takes a last step that leaves scales and variances as they are, so that
// all that the model holds fits together.
func (f *fitter) finish() {
	f.pass(true)
	f.score()
	f.sys.Factor()
	f.step()
}

// settled says when to stop: the changes of effects in units of the residual scale,
// of log scales and of log variances in one iteration, and the fewest iterations.
type settled struct {
	step, scale, variance float64
	least                 int
}

var (
	full  = settled{step: 2e-3, scale: 0.01, variance: 0.1, least: 4}
	start = settled{step: 0.01, scale: 0.05, variance: 0.3, least: 3}
	rough = settled{step: 0.05, scale: 0.2, variance: 1, least: firstSweep + 2}
)

// firstSweep is the iteration from which variances are estimated; before it the
// effects are still far off.
const firstSweep = 6

// advance takes one step with what the last pass collected, and estimates scales,
// degrees of freedom and, where asked for, variances.
func (f *fitter) advance(variances bool) (step, scale, variance float64) {
	var dof float64
	algebra.Both(func() { dof = f.bestDoF() }, func() {
		step = f.step()
		if variances {
			f.sweep()
			f.shareLeverage()
		}
	})
	scale = f.updateScales()
	f.dof = dof
	f.wild = math.Min((f.grad.wild+0.5)/(float64(f.n)+50), 0.1)
	if variances {
		variance = f.sys.UpdateComponents(f.comps, f.b)
		variance = math.Max(variance, f.sys.UpdateNested(f.levels, f.spread))
		f.sys.SetPrior(f.comps)
	}
	return step, scale, variance
}

// Tables above sampleFrom sales start from a fit of sampleSize of them, those above
// roughFrom
// from a rough fit of roughSize.
const (
	sampleFrom = 40000
	sampleSize = 20000
	roughFrom  = 10000
	roughSize  = 2500
)

// startFromSample fits every k-th sale in canonical order and takes over what that
// found. Small tables have no such start.
func (f *fitter) startFromSample() bool {
	size, goal := sampleSize, start
	switch {
	case f.n <= roughFrom:
		return false
	case f.n <= sampleFrom:
		size, goal = roughSize, rough
	}
	d := *f.design
	d.obs = make([]obs, size)
	for j := range d.obs {
		d.obs[j] = f.obs[j*f.n/size]
	}
	g := newFitter(&d, Options{Workers: f.workers})
	g.dofGiven = f.dofGiven
	if f.dofGiven {
		g.dof = f.dof
	}
	g.run(goal)
	f.sys.Link, f.comps = g.sys.Link, g.comps
	f.theta, f.b, f.logScale, f.class, f.hat = g.theta, g.b, g.logScale, g.class, g.hat
	f.scaleMid, f.scaleVar, f.dof, f.wild = g.scaleMid, g.scaleVar, g.dof, g.wild
	share := float64(size) / float64(f.n)
	for v := range f.hat {
		f.hat[v] *= share
	}
	return true
}

// step takes one scoring step. It returns the root mean square change of the
// sales' references, in units of the residual scale.
func (f *fitter) step() float64 {
	nodes := make([]float64, len(f.theta))
	copy(nodes, f.grad.node)
	for v, p := range f.sys.Parent {
		l := f.sys.Link[f.sys.Level[v]]
		if p < 0 {
			nodes[v] -= l * f.theta[v]
			continue
		}
		x := l * (f.theta[v] - f.theta[p])
		nodes[v] -= x
		nodes[p] += x
	}
	dt, db := f.sys.Solve(nodes, f.betaGradient())
	var ss, n float64
	for v := range dt {
		dt[v] *= f.damp
		f.theta[v] += dt[v]
		if c := float64(f.rows[v]); f.sys.Level[v] == algebra.LevelVariant {
			ss += c * dt[v] * dt[v]
			n += c
		}
	}
	for i := range db {
		f.b[i] += f.damp * db[i]
	}
	return math.Sqrt(ss/n) / math.Exp(f.scaleMid)
}

// betaGradient is the gradient of the penalised likelihood over β.
func (f *fitter) betaGradient() []float64 {
	out := f.collapse(f.grad.raw, f.grad.slope)
	p := f.p
	for i := 0; i < p; i++ {
		row := f.sys.Prior[i*p:]
		out[i] -= row[i] * f.b[i]
		for j := i + 1; j < p; j++ {
			if k := row[j]; k != 0 {
				out[i] -= k * f.b[j]
				out[j] -= k * f.b[i]
			}
		}
	}
	return out
}

// sweep goes through the tree once after a step, for what the variances of the
// levels need and for the leverage: the share of a typical sale's own residual
// variance that fitting took away, by leaf.
func (f *fitter) sweep() {
	s := f.sys
	f.spread = algebra.Spread{}
	var count [algebra.LevelCount]int
	for _, l := range s.Level {
		count[l]++
	}
	cache := algebra.PathCache{S: s, V: -1}
	var turn [algebra.LevelCount]int
	for v := 1; v < s.Nodes(); v++ {
		l, p := s.Level[v], s.Parent[v]
		f.spread.Add(l, f.theta[v]-f.theta[p])
		turn[l]++
		if every := 1 + (count[l]-1)/f.traceNodes(); (turn[l]-1)%every != 0 {
			if l == algebra.LevelVariant {
				f.hat[v] = leverageOf(s.Weight[v], 1/s.D[v], f.rows[v])
			}
			continue
		}
		up := cache.Of(p)
		gc, gcg := s.G[v].Dot(up.Cov), s.Quadratic(s.G[v])
		f.spread.AddVariance(l, s.LinkVariance(int32(v), up, gc, gcg))
		if w := s.Weight[v]; l == algebra.LevelVariant && w > 0 {
			// θ_v + x̄′β with x̄ = cross/weight.
			a, d := s.Share(int32(v)), 1/s.D[v]
			k := 1/w - d
			f.hat[v] = leverageOf(w, d+a*a*(up.Noise+up.Quad)-2*a*k*gc+k*k*gcg, f.rows[v])
		}
	}
}

// shareLeverage spreads over all sales what the leaves' means do not show: the sum of
// all leverages is the effective number of coefficients, dim − tr(C·Λ).
func (f *fitter) shareLeverage() {
	s := f.sys
	free := float64(s.Nodes() + s.P)
	for l := range f.spread.N {
		if f.spread.Used[l] > 0 {
			free -= s.Link[l] * f.spread.At[l] * f.spread.N[l] / f.spread.Used[l]
		}
	}
	for i := 0; i < s.P; i++ {
		row, cov := s.Prior[i*s.P:i*s.P+s.P], s.Cov[i*s.P:i*s.P+s.P]
		free -= row[i] * cov[i]
		for j := i + 1; j < s.P; j++ {
			if row[j] != 0 {
				free -= 2 * row[j] * cov[j]
			}
		}
	}
	for v, n := range f.rows {
		free -= float64(n) * f.hat[v]
	}
	more := math.Min(math.Max(free/float64(f.n), 0), 0.5)
	for v := range f.hat {
		f.hat[v] = math.Min(maxLeverage, f.hat[v]+more)
	}
}

// traceNodes bounds how many nodes of a level are used for its trace; more are
// represented by every k-th. Leverage matters where sales are few.
func (f *fitter) traceNodes() int {
	if f.n <= roughFrom && f.p < 400 {
		return 1500
	}
	return max(100, min(500, 60_000_000/(f.p*f.p))) // each costs p²
}

// maxLeverage leaves every sale a residual that says something of the scale.
const maxLeverage = 0.98

// leverageOf is information times variance, for one of n sales.
func leverageOf(weight, variance float64, n int) float64 {
	return math.Min(maxLeverage, math.Max(0, variance*weight/math.Max(1, float64(n))))
}

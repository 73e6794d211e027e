package market

import (
	"math"
	"runtime"
)

// fitter holds the state of the iteration.
type fitter struct {
	*design
	workers int
	lanes   [][2]int // rows of each lane; cut between leaves

	layout
	sys    *system
	comps  []component
	levels []nested

	theta, b []float64 // effects of nodes and coefficients
	ref      []int32   // reference node of each leaf
	logScale []float64 // of each node that is a reference
	scaleMid float64   // mean of the log scales
	scaleVar float64   // their variance between references
	scaleN   []float64 // information on each log scale
	class    []float64 // log factor of scale by class
	classN   []float64
	hat      []float64 // leverage of a sale in each leaf
	dof      float64
	dofGiven bool
	wild     float64 // share of prices that are mistakes
	n        int

	grad sums // of the last pass
}

// Fit estimates the model from the sales of the table. It needs one sale at least;
// with few the ranges of its values are wide. The report lists rows that could not
// be used. The result does not depend on the order of the rows or on the number of
// workers.
func Fit(t *Table, opt Options) (*Model, FitReport, error) {
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	rep := FitReport{RowsRead: t.Len()}
	d, bad, err := newDesign(t, opt)
	rep.Rejected, rep.RowsRejected = bad, len(bad)
	if err != nil {
		return nil, rep, err
	}
	f := newFitter(d, opt)
	rep.Iterations = f.run()
	m := f.model(t)
	m.fillReport(&rep)
	return m, rep, nil
}

func newFitter(d *design, opt Options) *fitter {
	f := &fitter{design: d, workers: opt.Workers, n: len(d.obs)}
	f.layout = newLayout(&d.scheme)
	f.lanes = cutLanes(d.obs)
	x := &d.nodes
	nodes := len(x.name)
	f.sys = &system{parent: x.parent, level: x.level, p: f.p, weight: make([]float64, nodes), cross: make([]sparse, nodes), info: make([]float64, f.p*f.p), prior: make([]float64, f.p*f.p)}
	f.comps = f.components(&d.scheme)
	f.levels = []nested{{level: levelMaker, a: 1, s0: 0.4}, {level: levelFamily, a: 1, s0: 0.4}, {level: levelReference, a: 1, s0: 0.3}, {level: levelVariant, a: 1, s0: 0.03}}
	f.sys.link[levelRoot] = leastPrecision
	for _, l := range f.levels {
		f.sys.link[l.level] = 1 / (l.s0 * l.s0)
	}
	f.theta, f.b = make([]float64, nodes), make([]float64, f.p)
	f.ref = make([]int32, nodes)
	for v := range x.level {
		if x.level[v] == levelVariant {
			f.ref[v] = x.parent[v]
		}
	}
	f.logScale, f.scaleN, f.hat = make([]float64, nodes), make([]float64, nodes), make([]float64, nodes)
	f.class, f.classN = make([]float64, 4*d.channel.width()), make([]float64, 4*d.channel.width())
	f.dof, f.wild = 4, 0.01
	if opt.DegreesOfFreedom > 0 {
		f.dof, f.dofGiven = opt.DegreesOfFreedom, true
	}
	f.startScale()
	return f
}

// startScale begins with the spread of all log prices, wide enough for every
// reference to be found from there.
func (f *fitter) startScale() {
	abs := make([]prepared, len(f.obs))
	for i := range f.obs {
		abs[i].y = math.Abs(f.obs[i].y)
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
	if len(o) > 4000 {
		n = 8
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

// Limits of the iteration.
const (
	mostIterations = 60
	settled        = 1e-3 // change of effects, in units of the residual scale
)

// run iterates scoring steps, scales, degrees of freedom and variances until they
// settle, and gives the number of passes over the data.
func (f *fitter) run() int {
	f.sys.setPrior(f.comps)
	for k := 1; ; k++ {
		f.pass(true)
		f.score()
		step := f.step()
		moved := f.updateScales()
		f.updateDoF()
		change := f.sys.updateComponents(f.comps, f.b)
		change = math.Max(change, f.sys.updateNested(f.levels, f.theta))
		f.sys.setPrior(f.comps)
		if (k >= 8 && step < settled && moved < settled && change < 0.05) || k >= mostIterations {
			f.pass(true)
			f.score()
			f.step()
			return k + 1
		}
	}
}

// step factors the equations and takes one scoring step. It returns the root mean
// square change of the sales' references, in units of the residual scale.
func (f *fitter) step() float64 {
	f.sys.factor()
	nodes := make([]float64, len(f.theta))
	copy(nodes, f.grad.node)
	for v, p := range f.sys.parent {
		l := f.sys.link[f.sys.level[v]]
		if p < 0 {
			nodes[v] -= l * f.theta[v]
			continue
		}
		x := l * (f.theta[v] - f.theta[p])
		nodes[v] -= x
		nodes[p] += x
	}
	beta := f.betaGradient()
	dt, db := f.sys.solve(nodes, beta)
	var ss, n float64
	for v := range dt {
		f.theta[v] += dt[v]
		if c := float64(f.nodes.count[v]); f.sys.level[v] == levelVariant {
			ss += c * dt[v] * dt[v]
			n += c
		}
	}
	for i := range db {
		f.b[i] += db[i]
	}
	f.leverage()
	return math.Sqrt(ss/n) / math.Exp(f.scaleMid)
}

// betaGradient is the gradient of the penalised likelihood over β.
func (f *fitter) betaGradient() []float64 {
	out := f.collapse(f.grad.raw, f.grad.slope)
	p := f.p
	for i := 0; i < p; i++ {
		row := f.sys.prior[i*p:]
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

// leverage is the share of a typical sale's own residual variance that fitting
// took away, by leaf.
func (f *fitter) leverage() {
	s := f.sys
	cache := pathCache{s: s, v: -1}
	for v := range s.level {
		w := s.weight[v]
		if s.level[v] != levelVariant || w <= 0 {
			continue
		}
		n := float64(f.nodes.count[v])
		p := cache.of(s.parent[v])
		// θ_v + x̄′β with x̄ = cross/weight.
		a, g, d := s.share(int32(v)), s.g[v], 1/s.d[v]
		k := 1/w - d
		x := d + a*a*(p.noise+p.quad) - 2*a*k*g.dot(p.cov) + k*k*s.quadratic(g)
		f.hat[v] = math.Min(0.9, math.Max(0, x*w/n))
	}
}

package market

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// gaussian is a mixed model with normal errors of one unknown variance, put through
// the equations and variance updates that Fit uses.
type gaussian struct {
	sys    *system
	comps  []component
	levels []nested
	y      []float64
	leaf   []int32
	x      []sparse
	phi    float64
	theta  []float64
	b      []float64
}

func (g *gaussian) load() {
	s := g.sys
	n := s.nodes()
	s.weight, s.cross = make([]float64, n), make([]sparse, n)
	s.info, s.prior = make([]float64, s.p*s.p), make([]float64, s.p*s.p)
	dense := make([][]float64, n)
	for i := range g.y {
		v := g.leaf[i]
		if dense[v] == nil {
			dense[v] = make([]float64, s.p)
		}
		s.weight[v] += 1 / g.phi
		for k, at := range g.x[i].at {
			dense[v][at] += g.x[i].val[k] / g.phi
		}
		outer(s.info, s.p, g.x[i], 1/g.phi, 0, int32(s.p))
	}
	for v := range dense {
		for at, x := range dense[v] {
			if x != 0 {
				s.cross[v].at, s.cross[v].val = append(s.cross[v].at, int32(at)), append(s.cross[v].val, x)
			}
		}
	}
}

// fit iterates to the restricted maximum likelihood and gives the criterion
// −2·log L.
func (g *gaussian) fit(t *testing.T, fixed int) float64 {
	t.Helper()
	s := g.sys
	for k := 0; k < 20000; k++ {
		g.load()
		s.setPrior(g.comps)
		if !s.factor() {
			t.Fatal("not positive definite")
		}
		nodes, beta := make([]float64, s.nodes()), make([]float64, s.p)
		for i, y := range g.y {
			nodes[g.leaf[i]] += y / g.phi
			for k, at := range g.x[i].at {
				beta[at] += g.x[i].val[k] * y / g.phi
			}
		}
		g.theta, g.b = s.solve(nodes, beta)
		var rss float64
		for i, y := range g.y {
			u := y - g.theta[g.leaf[i]] - g.x[i].dot(g.b)
			rss += u * u
		}
		criterion, edf := g.criterion(rss, fixed)
		next := rss / (float64(len(g.y)) - edf)
		change := math.Abs(next/g.phi - 1)
		g.phi = next
		change = math.Max(change, s.updateComponents(g.comps, g.b))
		change = math.Max(change, s.updateNested(g.levels, g.spread()))
		if change < 1e-10 {
			return criterion
		}
	}
	t.Fatal("did not settle")
	return 0
}

func (g *gaussian) spread() spread {
	var out spread
	cache := pathCache{s: g.sys, v: -1}
	for v := 1; v < g.sys.nodes(); v++ {
		out.add(g.sys.level[v], g.theta[v]-g.theta[g.sys.parent[v]])
		up := cache.of(g.sys.parent[v])
		out.addVariance(g.sys.level[v], g.sys.linkVariance(int32(v), up, g.sys.g[v].dot(up.cov), g.sys.quadratic(g.sys.g[v])))
	}
	return out
}

// criterion is −2·log of the restricted likelihood, and the effective number of
// coefficients.
func (g *gaussian) criterion(rss float64, fixed int) (c, edf float64) {
	s := g.sys
	n := float64(len(g.y))
	c = (n-float64(fixed))*math.Log(2*math.Pi) + n*math.Log(g.phi) + s.logDet + rss/g.phi
	edf = float64(s.nodes() + s.p)
	x := g.spread()
	for l := range x.n {
		if x.n[l] > 0 {
			c += s.link[l]*x.ss[l] - x.n[l]*math.Log(s.link[l])
			edf -= s.link[l] * x.at[l]
		}
	}
	for _, k := range g.comps {
		if k.fixed {
			continue
		}
		if q := k.groupSize(); q == 2 {
			det := k.pair[0]*k.pair[3] - k.pair[1]*k.pair[2]
			c -= float64(k.n/2) * math.Log(det)
			for i := 0; i < k.n; i++ {
				for j := i - i%2; j < i-i%2+2; j++ {
					p := k.pair[i%2*2+j%2]
					c += g.b[k.off+i] * p * g.b[k.off+j]
					edf -= p * s.cov[(k.off+i)*s.p+k.off+j]
				}
			}
			continue
		}
		ss, tr := s.penalty(&k, g.b)
		c += k.lambda*ss - float64(k.rank)*math.Log(k.lambda)
		edf -= k.lambda * tr
	}
	return c, edf
}

func mixedFile(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../checks/03_mixed_model/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func mixedFigure(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g", what, got, want)
	}
}

const flat = 1e-12 // prior precision of a fixed effect

// groups numbers names in order of appearance.
type groups map[string]int

func (g groups) of(s string) int {
	if k, ok := g[s]; ok {
		return k
	}
	g[s] = len(g)
	return len(g) - 1
}

// Source: Belenky et al. (2003), by way of the R package lme4 1.1-31, whose REML
// fit gives the values: correlated intercept and slope by subject.
func TestREMLCorrelatedSlopes(t *testing.T) {
	g := &gaussian{phi: 500}
	subject := groups{}
	for _, r := range mixedFile(t, "sleepstudy") {
		k := subject.of(r[2])
		days := mixedFigure(t, r[1])
		g.y = append(g.y, mixedFigure(t, r[0]))
		g.leaf = append(g.leaf, 0)
		g.x = append(g.x, sparse{[]int32{0, int32(1 + 2*k), int32(2 + 2*k)}, []float64{days, 1, days}})
	}
	g.sys = &system{parent: []int32{-1}, level: []uint8{levelRoot}, p: 1 + 2*len(subject)}
	g.sys.link[levelRoot] = flat
	g.comps = []component{{off: 0, n: 1, rank: 1, lambda: flat, fixed: true},
		{off: 1, n: 2 * len(subject), rank: 2 * len(subject), pair: []float64{1e-3, 0, 0, 1e-2}}}
	g.comps[1].pair[1], g.comps[1].pair[2] = 1e-5, 1e-5
	c := g.fit(t, 2)
	p := g.comps[1].pair
	det := p[0]*p[3] - p[1]*p[2]
	within(t, "variance of intercepts", p[3]/det, 612.0897, 612*1e-4)
	within(t, "variance of slopes", p[0]/det, 35.0717, 35*1e-4)
	within(t, "covariance", -p[1]/det, 9.60433547475486, 9.6*1e-3)
	within(t, "residual variance", g.phi, 654.9410, 655*1e-4)
	within(t, "intercept", g.theta[0], 251.405104848486, 251*1e-6)
	within(t, "days", g.b[0], 10.467285959596, 10*1e-6)
	within(t, "intercept se", math.Sqrt(g.sys.variance(g.sys.pathOf(0), sparse{})), 6.82455577627583, 6.8e-4)
	within(t, "days se", math.Sqrt(g.sys.cov[0]), 1.54578893242985, 1.5e-4)
	within(t, "criterion", c, 1743.62827195849, 1e-3)
	for _, r := range mixedFile(t, "sleepstudy_reml_blup") {
		k := 1 + 2*subject[r[2]]
		if r[1] == "Days" {
			k++
		}
		within(t, r[1]+" of "+r[2], g.b[k], mixedFigure(t, r[3]), 1e-3)
	}
}

// Same source, random intercepts only, which go into the tree of nodes.
func TestREMLRandomIntercepts(t *testing.T) {
	g := &gaussian{phi: 500}
	subject := groups{}
	for _, r := range mixedFile(t, "sleepstudy") {
		g.y = append(g.y, mixedFigure(t, r[0]))
		g.leaf = append(g.leaf, int32(1+subject.of(r[2])))
		g.x = append(g.x, sparse{[]int32{0}, []float64{mixedFigure(t, r[1])}})
	}
	g.sys = &system{p: 1}
	g.tree(len(subject))
	g.comps = []component{{n: 1, rank: 1, lambda: flat, fixed: true}}
	g.fit(t, 2)
	within(t, "variance of subjects", 1/g.sys.link[levelMaker], 1378.17854063542, 1378*1e-4)
	within(t, "residual variance", g.phi, 960.456576727639, 960*1e-4)
	within(t, "intercept", g.theta[0], 251.405104848484, 251*1e-6)
	within(t, "intercept se", math.Sqrt(g.sys.variance(g.sys.pathOf(0), sparse{})), 9.74671634385906, 9.7e-4)
	for _, r := range mixedFile(t, "sleepstudy_ri_reml_blup") {
		within(t, r[2], g.theta[1+subject[r[2]]]-g.theta[0], mixedFigure(t, r[3]), 1e-3)
	}
}

// tree puts n groups under the root.
func (g *gaussian) tree(n int) {
	g.sys.parent, g.sys.level = []int32{-1}, []uint8{levelRoot}
	for k := 0; k < n; k++ {
		g.sys.parent, g.sys.level = append(g.sys.parent, 0), append(g.sys.level, levelMaker)
	}
	g.sys.link[levelRoot], g.sys.link[levelMaker] = flat, 0.01
	g.levels = append(g.levels, nested{level: levelMaker})
}

// Source: Davies and Goldsmith (1972), by way of lme4: plates crossed with samples;
// plates go into the tree, samples into β.
func TestREMLCrossed(t *testing.T) {
	g := &gaussian{phi: 1}
	plate, sample := groups{}, groups{}
	for _, r := range mixedFile(t, "penicillin") {
		g.y = append(g.y, mixedFigure(t, r[0]))
		g.leaf = append(g.leaf, int32(1+plate.of(r[1])))
		g.x = append(g.x, sparse{[]int32{int32(sample.of(r[2]))}, []float64{1}})
	}
	g.sys = &system{p: len(sample)}
	g.tree(len(plate))
	g.comps = []component{{n: len(sample), rank: len(sample), lambda: 1}}
	g.fit(t, 1)
	within(t, "plate", 1/g.sys.link[levelMaker], 0.716908, 0.7e-4)
	within(t, "sample", 1/g.comps[0].lambda, 3.730918, 3.7e-4)
	within(t, "residual", g.phi, 0.302415, 0.3e-4)
	within(t, "mean", g.theta[0], 22.972222, 1e-5)
	within(t, "mean se", math.Sqrt(g.sys.variance(g.sys.pathOf(0), sparse{})), 0.808573, 1e-4)
	for _, r := range mixedFile(t, "penicillin_reml_blup") {
		if r[0] == "plate" {
			within(t, r[2], g.theta[1+plate[r[2]]]-g.theta[0], mixedFigure(t, r[3]), 1e-3)
		} else {
			within(t, r[2], g.b[sample[r[2]]], mixedFigure(t, r[3]), 1e-3)
		}
	}
}

// Source: Davies and Goldsmith (1972), by way of lme4: casks nested in batches, two
// levels of the tree.
func TestREMLNested(t *testing.T) {
	g := &gaussian{phi: 1}
	batch, cask := groups{}, groups{}
	var batchOf []int
	for _, r := range mixedFile(t, "pastes") {
		b := batch.of(r[1])
		if c := cask.of(r[3]); c == len(batchOf) {
			batchOf = append(batchOf, b)
		}
		g.y = append(g.y, mixedFigure(t, r[0]))
		g.leaf = append(g.leaf, int32(1+10+cask[r[3]]))
		g.x = append(g.x, sparse{})
	}
	g.sys = &system{}
	g.tree(len(batch))
	for _, b := range batchOf {
		g.sys.parent, g.sys.level = append(g.sys.parent, int32(1+b)), append(g.sys.level, levelFamily)
	}
	g.sys.link[levelFamily] = 1
	g.levels = append(g.levels, nested{level: levelFamily})
	c := g.fit(t, 1)
	within(t, "cask", 1/g.sys.link[levelFamily], 8.43367, 8.4e-4)
	within(t, "batch", 1/g.sys.link[levelMaker], 1.65731, 1.7e-4)
	within(t, "residual", g.phi, 0.67800, 0.68e-4)
	within(t, "mean", g.theta[0], 60.05333, 1e-4)
	within(t, "mean se", math.Sqrt(g.sys.variance(g.sys.pathOf(0), sparse{})), 0.67687, 1e-4)
	within(t, "criterion", c, 246.990745853486, 1e-4)
}

// Source: Davies (1947), Dyestuff, balanced, so that the variances follow from the
// analysis of variance: (11271.5 − 2451.25)/5 and 2451.25.
func TestREMLBalancedOneWay(t *testing.T) {
	g := &gaussian{phi: 1000}
	batch := groups{}
	for _, r := range mixedFile(t, "dyestuff") {
		g.y = append(g.y, mixedFigure(t, r[1]))
		g.leaf = append(g.leaf, int32(1+batch.of(r[0])))
		g.x = append(g.x, sparse{})
	}
	g.sys = &system{}
	g.tree(len(batch))
	g.fit(t, 1)
	within(t, "batch", 1/g.sys.link[levelMaker], 1764.05, 0.01)
	within(t, "residual", g.phi, 2451.25, 0.01)
	within(t, "mean", g.theta[0], 1527.5, 1e-4)
	within(t, "mean se", math.Sqrt(g.sys.variance(g.sys.pathOf(0), sparse{})), 19.3834, 1e-3)
}

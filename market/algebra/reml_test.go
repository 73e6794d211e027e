package algebra

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
	sys    *System
	comps  []Component
	levels []Nested
	y      []float64
	leaf   []int32
	x      []Sparse
	phi    float64
	theta  []float64
	b      []float64
}

func (g *gaussian) load() {
	s := g.sys
	n := s.Nodes()
	s.Weight, s.Cross = make([]float64, n), make([]Sparse, n)
	s.Info, s.Prior = make([]float64, s.P*s.P), make([]float64, s.P*s.P)
	dense := make([][]float64, n)
	for i := range g.y {
		v := g.leaf[i]
		if dense[v] == nil {
			dense[v] = make([]float64, s.P)
		}
		s.Weight[v] += 1 / g.phi
		for k, at := range g.x[i].At {
			dense[v][at] += g.x[i].Val[k] / g.phi
		}
		outer(s.Info, s.P, g.x[i], 1/g.phi, 0, int32(s.P))
	}
	for v := range dense {
		for at, x := range dense[v] {
			if x != 0 {
				s.Cross[v].At, s.Cross[v].Val = append(s.Cross[v].At, int32(at)), append(s.Cross[v].Val, x)
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
		s.SetPrior(g.comps)
		if !s.Factor() {
			t.Fatal("not positive definite")
		}
		nodes, beta := make([]float64, s.Nodes()), make([]float64, s.P)
		for i, y := range g.y {
			nodes[g.leaf[i]] += y / g.phi
			for k, at := range g.x[i].At {
				beta[at] += g.x[i].Val[k] * y / g.phi
			}
		}
		g.theta, g.b = s.Solve(nodes, beta)
		var rss float64
		for i, y := range g.y {
			u := y - g.theta[g.leaf[i]] - g.x[i].Dot(g.b)
			rss += u * u
		}
		criterion, edf := g.criterion(rss, fixed)
		next := rss / (float64(len(g.y)) - edf)
		change := math.Abs(next/g.phi - 1)
		g.phi = next
		change = math.Max(change, s.UpdateComponents(g.comps, g.b))
		change = math.Max(change, s.UpdateNested(g.levels, g.spread()))
		if change < 1e-10 {
			return criterion
		}
	}
	t.Fatal("did not settle")
	return 0
}

func (g *gaussian) spread() Spread {
	var out Spread
	cache := PathCache{S: g.sys, V: -1}
	for v := 1; v < g.sys.Nodes(); v++ {
		out.Add(g.sys.Level[v], g.theta[v]-g.theta[g.sys.Parent[v]])
		up := cache.Of(g.sys.Parent[v])
		out.AddVariance(g.sys.Level[v], g.sys.LinkVariance(int32(v), up, g.sys.G[v].Dot(up.Cov),
			g.sys.Quadratic(g.sys.G[v])))
	}
	return out
}

// criterion is −2·log of the restricted likelihood, and the effective number of
// coefficients.
func (g *gaussian) criterion(rss float64, fixed int) (c, edf float64) {
	s := g.sys
	n := float64(len(g.y))
	c = (n-float64(fixed))*math.Log(2*math.Pi) + n*math.Log(g.phi) + s.logDet + rss/g.phi
	edf = float64(s.Nodes() + s.P)
	x := g.spread()
	for l := range x.N {
		if x.N[l] > 0 {
			c += s.Link[l]*x.ss[l] - x.N[l]*math.Log(s.Link[l])
			edf -= s.Link[l] * x.At[l]
		}
	}
	for _, k := range g.comps {
		if k.Fixed {
			continue
		}
		if q := k.groupSize(); q == 2 {
			det := k.pair[0]*k.pair[3] - k.pair[1]*k.pair[2]
			c -= float64(k.N/2) * math.Log(det)
			for i := 0; i < k.N; i++ {
				for j := i - i%2; j < i-i%2+2; j++ {
					p := k.pair[i%2*2+j%2]
					c += g.b[k.Off+i] * p * g.b[k.Off+j]
					edf -= p * s.Cov[(k.Off+i)*s.P+k.Off+j]
				}
			}
			continue
		}
		ss, tr := s.penalty(&k, g.b)
		c += k.Lambda*ss - float64(k.Rank)*math.Log(k.Lambda)
		edf -= k.Lambda * tr
	}
	return c, edf
}

func mixedFile(t *testing.T, name string) [][]string {
	t.Helper()
	return mixedRows(t, "../../checks/03_mixed_model/"+name+".csv")
}

func mixedRows(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
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
		g.x = append(g.x, Sparse{[]int32{0, int32(1 + 2*k), int32(2 + 2*k)}, []float64{days, 1, days}})
	}
	g.sys = &System{Parent: []int32{-1}, Level: []uint8{LevelRoot}, P: 1 + 2*len(subject)}
	g.sys.Link[LevelRoot] = flat
	g.comps = []Component{{Off: 0, N: 1, Rank: 1, Lambda: flat, Fixed: true},
		{Off: 1, N: 2 * len(subject), Rank: 2 * len(subject), pair: []float64{1e-3, 0, 0, 1e-2}}}
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
	within(t, "intercept se", math.Sqrt(g.sys.Variance(g.sys.PathOf(0), Sparse{})), 6.82455577627583, 6.8e-4)
	within(t, "days se", math.Sqrt(g.sys.Cov[0]), 1.54578893242985, 1.5e-4)
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
		g.x = append(g.x, Sparse{[]int32{0}, []float64{mixedFigure(t, r[1])}})
	}
	g.sys = &System{P: 1}
	g.tree(len(subject))
	g.comps = []Component{{N: 1, Rank: 1, Lambda: flat, Fixed: true}}
	g.fit(t, 2)
	within(t, "variance of subjects", 1/g.sys.Link[LevelMaker], 1378.17854063542, 1378*1e-4)
	within(t, "residual variance", g.phi, 960.456576727639, 960*1e-4)
	within(t, "intercept", g.theta[0], 251.405104848484, 251*1e-6)
	within(t, "intercept se", math.Sqrt(g.sys.Variance(g.sys.PathOf(0), Sparse{})), 9.74671634385906, 9.7e-4)
	for _, r := range mixedFile(t, "sleepstudy_ri_reml_blup") {
		within(t, r[2], g.theta[1+subject[r[2]]]-g.theta[0], mixedFigure(t, r[3]), 1e-3)
	}
}

// tree puts n groups under the root.
func (g *gaussian) tree(n int) {
	g.sys.Parent, g.sys.Level = []int32{-1}, []uint8{LevelRoot}
	for k := 0; k < n; k++ {
		g.sys.Parent, g.sys.Level = append(g.sys.Parent, 0), append(g.sys.Level, LevelMaker)
	}
	g.sys.Link[LevelRoot], g.sys.Link[LevelMaker] = flat, 0.01
	g.levels = append(g.levels, Nested{Level: LevelMaker})
}

// Source: Davies and Goldsmith (1972), by way of lme4: plates crossed with samples;
// plates go into the tree, samples into β.
func TestREMLCrossed(t *testing.T) {
	g := &gaussian{phi: 1}
	plate, sample := groups{}, groups{}
	for _, r := range mixedFile(t, "penicillin") {
		g.y = append(g.y, mixedFigure(t, r[0]))
		g.leaf = append(g.leaf, int32(1+plate.of(r[1])))
		g.x = append(g.x, Sparse{[]int32{int32(sample.of(r[2]))}, []float64{1}})
	}
	g.sys = &System{P: len(sample)}
	g.tree(len(plate))
	g.comps = []Component{{N: len(sample), Rank: len(sample), Lambda: 1}}
	g.fit(t, 1)
	within(t, "plate", 1/g.sys.Link[LevelMaker], 0.716908, 0.7e-4)
	within(t, "sample", 1/g.comps[0].Lambda, 3.730918, 3.7e-4)
	within(t, "residual", g.phi, 0.302415, 0.3e-4)
	within(t, "mean", g.theta[0], 22.972222, 1e-5)
	within(t, "mean se", math.Sqrt(g.sys.Variance(g.sys.PathOf(0), Sparse{})), 0.808573, 1e-4)
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
		g.x = append(g.x, Sparse{})
	}
	g.sys = &System{}
	g.tree(len(batch))
	for _, b := range batchOf {
		g.sys.Parent, g.sys.Level = append(g.sys.Parent, int32(1+b)), append(g.sys.Level, LevelFamily)
	}
	g.sys.Link[LevelFamily] = 1
	g.levels = append(g.levels, Nested{Level: LevelFamily})
	c := g.fit(t, 1)
	within(t, "cask", 1/g.sys.Link[LevelFamily], 8.43367, 8.4e-4)
	within(t, "batch", 1/g.sys.Link[LevelMaker], 1.65731, 1.7e-4)
	within(t, "residual", g.phi, 0.67800, 0.68e-4)
	within(t, "mean", g.theta[0], 60.05333, 1e-4)
	within(t, "mean se", math.Sqrt(g.sys.Variance(g.sys.PathOf(0), Sparse{})), 0.67687, 1e-4)
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
		g.x = append(g.x, Sparse{})
	}
	g.sys = &System{}
	g.tree(len(batch))
	g.fit(t, 1)
	within(t, "batch", 1/g.sys.Link[LevelMaker], 1764.05, 0.01)
	within(t, "residual", g.phi, 2451.25, 0.01)
	within(t, "mean", g.theta[0], 1527.5, 1e-4)
	within(t, "mean se", math.Sqrt(g.sys.Variance(g.sys.PathOf(0), Sparse{})), 19.3834, 1e-3)
}

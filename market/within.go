package market

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/market/algebra"
	"midcase/market/table"
)

// PremiumIn is the premium of one level of a feature over another within a maker, a
// family or a reference, all else equal, at each quarter from the first sale to the
// last. It is estimated from the scope's own sales of the two levels, around what all
// sales say of the other features and of how the premium moved elsewhere: its level is
// the scope's own, its path leaves the common one as far as the sales show. References
// are random: where each level belongs to other references, the range counts how far
// references differ. An empty scope gives Premium. The features are metal, dial,
// completeness, country and channel.
func (m *Model) PremiumIn(s Scope, feature, of, over string) ([]PremiumPoint, error) {
	if s == (Scope{}) {
		return m.Premium(feature, of, over)
	}
	top, err := m.scopeNode(s)
	if err != nil {
		return nil, err
	}
	a, b, of0, err := m.twoLevels(feature, of, over)
	if err != nil {
		return nil, err
	}
	from, to := m.leavesBelow(top)
	c := m.compare2(func(o *obs) int {
		switch k := int(o.idx[of0]) - m.featOff[of0]; {
		case o.leaf < from || o.leaf >= to:
			return 0
		case m.levelIn(of0, k) == a:
			return 1
		case m.levelIn(of0, k) == b:
			return -1
		}
		return 0
	})
	for k, level := range []string{of, over} {
		if c.sales[k] == 0 {
			return nil, m.notInScope(feature, level, of0, from, to)
		}
	}
	c.premiumWalk(m, of0, a, b)
	return c.points(func(t int) (algebra.Sparse, error) {
		x, _, err := m.contrast(feature, of, over, t)
		return x, err
	}, nil)
}

// PremiumOver is by how much what is sold of one scope is dearer than what is sold of
// another, all else equal, at each quarter: one reference over another, or a family
// over a family. Each with the metals in the shares in which it sells them.
func (m *Model) PremiumOver(a, b Scope) ([]PremiumPoint, error) {
	var top [2]int32
	for k, s := range []Scope{a, b} {
		v, err := m.scopeNode(s)
		if err != nil {
			return nil, err
		}
		top[k] = v
	}
	fromA, toA := m.leavesBelow(top[0])
	fromB, toB := m.leavesBelow(top[1])
	if fromA < toB && fromB < toA {
		return nil, fmt.Errorf("premium of %s over %s: one holds the other. Give two that share no sale", a, b)
	}
	c := m.compare2(func(o *obs) int {
		switch {
		case o.leaf >= fromA && o.leaf < toA:
			return 1
		case o.leaf >= fromB && o.leaf < toB:
			return -1
		}
		return 0
	})
	c.ownWalk(m)
	weight := make([]float64, len(m.nodes.name))
	for leaf := fromA; leaf < toA; leaf++ {
		weight[leaf] = float64(m.nodes.count[leaf]) / float64(m.nodes.count[top[0]])
	}
	for leaf := fromB; leaf < toB; leaf++ {
		weight[leaf] = -float64(m.nodes.count[leaf]) / float64(m.nodes.count[top[1]])
	}
	shareA, _ := m.mix(top[0])
	shareB, _ := m.mix(top[1])
	return c.points(func(t int) (algebra.Sparse, error) {
		var terms []term
		for k := range shareA {
			if s := shareA[k] - shareB[k]; s != 0 {
				for _, x := range m.metalTerms(k, t, nil) {
					terms = append(terms, term{x.at, s * x.x})
				}
			}
		}
		return collect(terms), nil
	}, weight)
}

// String names a scope as a command would.
func (s Scope) String() string {
	return strings.Join(strings.Fields(s.Maker+" "+s.Family+" "+s.Reference), " ")
}

// Scopes lists what the sales are of, down to the families or to the references, by name.
func (m *Model) Scopes(references bool) []Scope {
	want := uint8(algebra.LevelFamily)
	if references {
		want = algebra.LevelReference
	}
	var out []Scope
	for v, l := range m.nodes.level {
		if l != want {
			continue
		}
		s, at := Scope{}, int32(v)
		if references {
			s.Reference, at = m.nodes.name[v], m.nodes.parent[v]
		}
		s.Family, s.Maker = familyTitle(m.nodes.name[at]), m.nodes.name[m.nodes.parent[at]]
		if references || s.Family != "" {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b Scope) int {
		return cmp.Or(strings.Compare(a.Maker, b.Maker), strings.Compare(a.Family, b.Family),
			strings.Compare(a.Reference, b.Reference))
	})
	return out
}

// twoLevels finds the columns of two levels of a feature, within its factor.
func (m *Model) twoLevels(feature, of, over string) (a, b, feat int, err error) {
	name := table.Fold(feature)
	f, factor := featCell, &m.metal
	if name != "metal" {
		if f, factor = m.factorNamed(name); factor == nil {
			return 0, 0, 0, fmt.Errorf("feature %q within a scope: want metal, dial, completeness, country or channel",
				feature)
		}
	}
	a, b = factor.find(of), factor.find(over)
	if a < 0 || b < 0 {
		return 0, 0, 0, m.noLevel(name, factor, of, over)
	}
	if a == b {
		return 0, 0, 0, fmt.Errorf("premium of %s %q over itself: want two", name, of)
	}
	return a, b, f, nil
}

// levelIn is the level of a feature that a raw column within it stands for.
func (m *Model) levelIn(feat, k int) int {
	if feat == featCell {
		return k / m.t
	}
	return k
}

func (m *Model) notInScope(feature, level string, feat int, from, to int32) error {
	f := &m.metal
	if feat != featCell {
		_, f = m.factorNamed(table.Fold(feature))
	}
	seen := map[int]bool{}
	for i := m.start[from]; i < m.start[to]; i++ {
		seen[m.levelIn(feat, int(m.obs[i].idx[feat])-m.featOff[feat])] = true
	}
	var have []string
	for k, s := range f.level {
		if seen[k] && s != "" {
			have = append(have, s)
		}
	}
	return fmt.Errorf("%s %q: none is sold there; want two of %s", table.Fold(feature), level,
		strings.Join(have, ", "))
}

// versus compares two groups of sales by themselves. What is left of their log prices
// without the features' effects is
//
//	θ(variant) + c(t) ± δ(t)/2 + s·e
//
// with the tree of the model around θ, and two walks: c is what both groups share and δ
// how their difference leaves that of the whole market.
type versus struct {
	m      *Model
	rows   []versusRow
	sales  [2]int
	by     []int // sales of the first by quarter
	grid   timeGrid
	sys    *algebra.System
	comps  []algebra.Component
	levels []algebra.Nested
	theta  []float64
	b      []float64
	mean   []term // features of the first less those of the second, time apart
}

type versusRow struct {
	leaf     int32
	t        int
	z        float64 // +½ or −½
	y, scale float64
}

// compare2 gathers the sales of two groups: side is 1, −1, or 0 for none.
func (m *Model) compare2(side func(*obs) int) *versus {
	c := &versus{m: m, by: make([]int, m.t)}
	eff, slopes := m.effects(m.b, m.raw), m.b[m.slope:]
	raw, slope := [2][]float64{make([]float64, m.raw), make([]float64, m.raw)}, [2][slopeCount]float64{}
	for i := range m.obs {
		o := &m.obs[i]
		s := side(o)
		if s == 0 {
			continue
		}
		c1, c2, orig, year := o.slopes()
		x := [slopeCount]float64{c1, c2, orig, year}
		r := versusRow{leaf: o.leaf, t: (int(o.idx[featCell]) - m.featOff[featCell]) % m.t, z: float64(s) / 2, y: o.y,
			scale: m.scaleOf(o)}
		g := (1 - s) / 2
		for _, k := range o.idx {
			r.y -= eff[k]
			raw[g][k]++
		}
		for k, v := range x {
			r.y -= slopes[k] * v
			slope[g][k] += v
		}
		c.rows = append(c.rows, r)
		c.sales[g]++
		if s > 0 {
			c.by[r.t]++
		}
	}
	for g, sign := range [2]float64{1, -1} {
		n := sign / math.Max(1, float64(c.sales[g]))
		for k, w := range raw[g] {
			if w == 0 {
				continue
			}
			for _, t := range m.expand(k, nil) {
				if t.at > m.drift {
					c.mean = append(c.mean, term{t.at, n * w * t.x})
				}
			}
		}
		for k, w := range slope[g] {
			c.mean = append(c.mean, term{m.slope + k, n * w})
		}
	}
	return c
}

// Sales that a point of a walk of a comparison should rest on: of the group that has
// fewer. The prior of a step of the walks: the standard deviation a quarter, of a weight
// of so many pseudo-steps. Our choice.
const (
	versusPerPoint = 6
	versusStep     = 0.012
	versusSharing  = 0.7 // of the step of the pooled premium
	versusWeight   = 2

	versusReferences = 8 // pseudo-references that spread as all do
)

// premiumWalk prepares the walk of a metal's premium, which moves in a scope about as
// far from the pooled one as that itself moves.
func (c *versus) premiumWalk(m *Model, feat, a, b int) {
	step := versusStep
	if feat == featCell {
		v := 0.0
		for _, k := range []int{a, b} {
			if k < len(m.metal.level) && m.walkOff[k] >= 0 {
				_, spread := m.layout.grid[k].momentum(algebra.PremiumCarry)
				v += 1 / (m.lambdaOf("metal quarter "+m.metal.level[k]) * spread * spread)
			}
		}
		step = math.Max(step, versusSharing*math.Sqrt(v))
	}
	c.prepare(step)
}

func (c *versus) ownWalk(*Model) { c.prepare(versusStep) }

func (c *versus) prepare(step float64) {
	m := c.m
	gap, seen := 1, m.last-m.first+1
	for n := min(c.sales[0], c.sales[1]); gap < widestGap && n*gap < versusPerPoint*seen; gap *= 2 {
	}
	c.grid = newTimeGrid(&m.scheme, gap)
	n := c.grid.n
	c.comps = []algebra.Component{
		c.grid.walk("both", 0, seen, algebra.MarketCarry, versusStep, versusWeight),
		{Name: "anchor", Off: c.grid.near(m.anchorAt), N: 1, Rank: 1, Lambda: 1e6, Fixed: true},
		c.grid.walk("difference", n, seen, algebra.PremiumCarry, step, versusWeight),
		{Name: "level", Off: n + c.grid.near(m.anchorAt), N: 1, Rank: 1, Lambda: precision(sdMetal), Fixed: true},
	}
	nodes := len(m.nodes.name)
	c.sys = &algebra.System{Parent: m.sys.Parent, Level: m.sys.Level, Link: m.sys.Link, P: 2 * n,
		Weight: make([]float64, nodes), Cross: make([]algebra.Sparse, nodes), Info: make([]float64, 4*n*n),
		Prior: make([]float64, 4*n*n)}
	c.sys.SetPrior(c.comps)
	c.theta, c.b = append([]float64(nil), m.theta...), make([]float64, 2*n)
	c.levels = []algebra.Nested{
		{Level: algebra.LevelReference, A: versusReferences, S0: m.siblingSD()},
		{Level: algebra.LevelVariant, A: 1, S0: 0.01},
	}
}

// siblingSD is how far the references of one family and metal lie from each other: less
// than the references of a family, whose spread holds what the metal is worth there.
func (m *Model) siblingSD() float64 {
	type group struct {
		family int32
		metal  string
	}
	sum, n := map[group]float64{}, map[group]float64{}
	each := func(do func(group, float64)) {
		for v, l := range m.nodes.level {
			if l == algebra.LevelReference && m.nodes.count[v] >= siblingSales {
				do(group{m.nodes.parent[v], table.Fold(m.nodes.metal[v])}, m.theta[v])
			}
		}
	}
	each(func(g group, x float64) { sum[g] += x; n[g]++ })
	ss, free := siblingPrior/m.sys.Link[algebra.LevelReference], float64(siblingPrior)
	each(func(g group, x float64) {
		d := x - sum[g]/n[g]
		ss += d * d
		free += 1 - 1/n[g]
	})
	return math.Sqrt(ss / free)
}

// References with fewer sales lie where their family does and say little; the spread
// within a family counts as that of so many siblings.
const siblingSales, siblingPrior = 5, 2

// spread is how far the references and variants of the sales lie from their parents.
func (c *versus) spread() algebra.Spread {
	var out algebra.Spread
	cache, seen := algebra.PathCache{S: c.sys, V: -1}, map[int32]bool{}
	for i := range c.rows {
		for v := c.rows[i].leaf; c.sys.Level[v] >= algebra.LevelReference && !seen[v]; v = c.sys.Parent[v] {
			seen[v] = true
			p := c.sys.Parent[v]
			out.Add(c.sys.Level[v], c.theta[v]-c.theta[p])
			up := cache.Of(p)
			g := c.sys.G[v]
			out.AddVariance(c.sys.Level[v], c.sys.LinkVariance(v, up, g.Dot(up.Cov), c.sys.Quadratic(g)))
		}
	}
	return out
}

// terms are the coefficients of a sale.
func (c *versus) terms(r *versusRow, out []term) []term {
	out = c.grid.terms(0, r.t, out)
	from := len(out)
	out = c.grid.terms(c.grid.n, r.t, out)
	for k := from; k < len(out); k++ {
		out[k].x *= r.z
	}
	return out
}

const (
	versusRounds  = 40
	versusSettled = 1e-4
)

// settle iterates scoring steps and the variances of the walks.
func (c *versus) settle() {
	for round := range versusRounds {
		nodes, beta := c.working()
		c.sys.Factor()
		theta, b := c.sys.Solve(nodes, beta)
		var most float64
		for k := range b {
			most = math.Max(most, math.Abs(b[k]-c.b[k]))
		}
		c.theta, c.b = theta, b
		moved := 0.0
		if round >= 2 {
			moved = c.sys.UpdateComponents(c.comps, c.b)
			moved = math.Max(moved, c.sys.UpdateNested(c.levels, c.spread()))
			c.sys.SetPrior(c.comps)
		}
		if round > 5 && most < versusSettled && moved < 0.02 {
			break
		}
	}
	c.working()
	// The spread of references is itself an estimate; see linkVar.
	k := float64(versusReferences + max(0, c.references()-2))
	c.sys.Link[algebra.LevelReference] *= (k - 2) / k
	c.sys.Factor()
}

// references counts those that the sales are of.
func (c *versus) references() int {
	seen := map[int32]bool{}
	for i := range c.rows {
		seen[c.sys.Parent[c.rows[i].leaf]] = true
	}
	return len(seen)
}

// working sets the information of the sales at the estimates, and gives the right side
// of the equations of the next step.
func (c *versus) working() (nodes, beta []float64) {
	m, p := c.m, c.sys.P
	nodes, beta = make([]float64, len(c.theta)), make([]float64, p)
	clear(c.sys.Weight)
	clear(c.sys.Info)
	dense, mark := make([]float64, p), make([]bool, p)
	kappa, constant := (m.dof+1)/(m.dof+3)*(1-m.wild), math.Exp(logT(m.dof))
	wild := m.wild * wildDensity / (1 - m.wild)
	var buf [4]term
	for i := 0; i < len(c.rows); {
		leaf, count := c.rows[i].leaf, 0
		for ; i < len(c.rows) && c.rows[i].leaf == leaf; i++ {
			r := &c.rows[i]
			terms := c.terms(r, buf[:0])
			fit := c.theta[leaf]
			for _, t := range terms {
				fit += t.x * c.b[t.at]
			}
			z := (r.y - fit) / r.scale
			density := constant * math.Pow(1+z*z/m.dof, -(m.dof+1)/2) / r.scale
			g := density / (density + wild) * (m.dof + 1) / (m.dof + z*z) * z / r.scale
			k := kappa / (r.scale * r.scale)
			right := k*fit + g
			c.sys.Weight[leaf] += k
			nodes[leaf] += right
			for j, t := range terms {
				beta[t.at] += right * t.x
				if dense[t.at] += k * t.x; !mark[t.at] {
					mark[t.at] = true
					count++
				}
				for _, u := range terms[j:] {
					c.sys.Info[min(t.at, u.at)*p+max(t.at, u.at)] += k * t.x * u.x
				}
			}
		}
		c.sys.Cross[leaf] = algebra.Gather(dense, mark, count)
	}
	return nodes, beta
}

// points are the premium by quarter: that of the whole market by its coefficients at a
// quarter, and how the groups leave it; weight, where given, adds that of the nodes.
func (c *versus) points(market func(t int) (algebra.Sparse, error), weight []float64) ([]PremiumPoint, error) {
	c.settle()
	m := c.m
	var level float64
	for v, w := range weight {
		level += w * c.theta[v]
	}
	var out []PremiumPoint
	for t := 0; t <= m.last-m.first; t++ {
		x, err := market(t)
		if err != nil {
			return nil, err
		}
		var off []term
		for k, at := range x.At {
			off = append(off, term{int(at), x.Val[k]})
		}
		for _, k := range c.mean {
			off = append(off, term{k.at, -k.x})
		}
		own := collect(c.grid.terms(c.grid.n, t, nil))
		d := x.Dot(m.b) + own.Dot(c.b) + level
		sd := math.Sqrt(c.sys.Blend(weight, own) + m.sys.Quadratic(collect(off)))
		out = append(out, PremiumPoint{Quarter: table.QuarterText(m.first + t), Premium: math.Expm1(d),
			Interval: [2]float64{math.Expm1(d - 1.645*sd), math.Expm1(d + 1.645*sd)}, Sales: c.by[t]})
	}
	return out, nil
}

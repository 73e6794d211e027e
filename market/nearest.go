package market

import (
	"cmp"
	"math"
	"midcase/market/algebra"
	"slices"
)

// Bounds of the search for comparables.
const (
	maxPerLeaf    = 250
	maxCandidates = 1500
	enoughFor     = 4 // times the comparables asked for, before the search widens
)

// What the posterior variance leaves out of an adjustment: that the model itself is
// only near the truth. An appraiser trusts a sale less the more it has to be adjusted;
// here the sum of all adjustments is uncertain by a quarter of itself, and a
// reference wanders from the market by two parts in a hundred a year. Our choice.
const (
	adjustmentDoubt = 0.25
	yearDoubt       = 0.02
)

// gridLines is the number of lines of a grid.
const gridLines = 10

// nearest looks at the sales of the reference first, then of the family, then of
// the maker, until there are enough to choose from. The variance that needs no
// equations is a lower bound, so that the whole of it is worked out only for those
// that may be among the best.
func (m *Model) nearest(p *point, subject algebra.Path, day int32, k int) []candidate {
	found := m.candidates(p, day, k)
	order := func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.variance, b.variance),
			cmp.Compare(m.table.ID[m.row[a.at]], m.table.ID[m.row[b.at]]))
	}
	slices.SortFunc(found, order)
	var best []candidate
	paths := map[int32]algebra.Path{}
	for _, c := range found {
		if len(best) == k && c.variance >= best[k-1].variance {
			break
		}
		o := &m.obs[c.at]
		other, ok := paths[o.leaf]
		if !ok {
			other = m.sys.PathOf(o.leaf)
			paths[o.leaf] = other
		}
		c.variance += m.sys.DifferenceVariance(subject, other, difference(p.x, m.columns(o)))
		at, _ := slices.BinarySearchFunc(best, c, order)
		if at < k {
			best = slices.Insert(best, at, c)
			best = best[:min(k, len(best))]
		}
	}
	return best
}

// candidates are past sales with the lower bound of their variance.
func (m *Model) candidates(p *point, day int32, k int) []candidate {
	top := p.node
	if m.nodes.level[top] == algebra.LevelVariant {
		top = m.nodes.parent[top]
	}
	ours := m.subjectLines(p)
	var found []candidate
	seen := [2]int32{}
	for {
		from, to := m.leavesBelow(top)
		// The leaves below the node before lie within.
		share := max(8, maxCandidates/max(1, int(to-from-(seen[1]-seen[0]))))
		for _, leaf := range m.mainLeaves(from, to, seen) {
			found = m.leafCandidates(found, p, &ours, leaf, day, min(share, maxPerLeaf))
		}
		if len(found) >= enoughFor*k || top == 0 || m.nodes.level[top] <= algebra.LevelMaker {
			return found
		}
		seen, top = [2]int32{from, to}, m.nodes.parent[top]
	}
}

// leafCandidates adds the latest sales of a leaf, n at most.
func (m *Model) leafCandidates(found []candidate, p *point, ours *[gridLines]float64, leaf, day int32,
	n int) []candidate {
	for i := int(m.start[leaf+1]) - 1; i >= int(m.start[leaf]) && n > 0; i-- {
		sold := m.table.Day[m.row[i]]
		if sold > day {
			continue
		}
		o := &m.obs[i]
		theirs := m.saleLines(o)
		s := m.scaleOf(o)
		if u := o.y - sumOf(&theirs) - m.eff[m.off[featPattern]]; math.Abs(u) > 5*s {
			continue // a suspect is no evidence
		}
		n--
		var gross float64
		for k := range ours {
			gross += math.Abs(ours[k] - theirs[k])
		}
		doubt, age := adjustmentDoubt*gross, yearDoubt*float64(day-sold)/365.25
		found = append(found, candidate{i, p.below + s*s + doubt*doubt + age*age})
	}
	return found
}

func sumOf(lines *[gridLines]float64) float64 {
	var sum float64
	for _, x := range lines {
		sum += x
	}
	return sum
}

// subjectLines are the effects of a subject's features, in the order of the grid.
func (m *Model) subjectLines(p *point) (out [gridLines]float64) {
	for k, feature := range gridOrder {
		out[k], _ = m.lineEffect(p, feature)
		if feature == onReference {
			out[k] = m.theta[p.node]
		}
	}
	return out
}

// saleLines are those of a sale, without its grid.
func (m *Model) saleLines(o *obs) [gridLines]float64 {
	cell := int(o.idx[featCell])
	pattern := int(o.idx[featPattern]) - m.off[featPattern]
	c, c2, orig, year := o.slopes()
	b := m.b[m.slope:]
	now := m.timeEff[cell%m.t]
	return [gridLines]float64{now, m.theta[o.leaf], m.eff[cell] - now, m.eff[o.idx[featDial]],
		m.eff[o.idx[featYearBin]] + b[slopeYear]*year,
		m.halfEff[pattern][0] + b[slopeCondition]*c + b[slopeCurve]*c2,
		m.halfEff[pattern][1] + b[slopeOriginality]*orig,
		m.eff[o.idx[featCompleteness]], m.eff[o.idx[featCountry]], m.eff[o.idx[featChannel]]}
}

// setEffects keeps the effect of each raw column, of each quarter, and of what
// records lack, split between condition and originality.
func (m *Model) setEffects() {
	m.eff = m.effects(m.b, m.raw)
	m.timeEff = make([]float64, m.t)
	for t := range m.timeEff {
		for _, x := range m.timeTerms(t, nil) {
			m.timeEff[t] += x.x * m.b[x.at]
		}
	}
	for pattern := range m.halfEff {
		for k, bit := range [2]int{1, 2} {
			m.halfEff[pattern][k] = 0
			for _, x := range m.halfPattern(pattern, bit) {
				m.halfEff[pattern][k] += x.x * m.b[x.at]
			}
		}
	}
	m.child = m.sys.FirstChild()
}

// halfPattern is the effect of what a record lacks, as far as it is due to one of
// the two features: bit 1 condition, bit 2 originality.
func (m *Model) halfPattern(pattern, bit int) []term {
	if pattern&bit == 0 {
		return nil
	}
	base, other := m.dense[featPattern], pattern&^bit
	return []term{{base + bit, 0.5}, {base, -0.5}, {base + bit + other, 0.5}, {base + other, -0.5}}
}

// leavesBelow is the run of variants below a node: children follow each other.
func (m *Model) leavesBelow(top int32) (from, to int32) {
	from, to = top, top+1
	for l := m.nodes.level[top]; l < algebra.LevelVariant; l++ {
		from, to = m.child[from], m.child[to]
	}
	return from, to
}

// mainLeaves lists the leaves of a run less those seen; of many only the hundred
// with the most sales.
func (m *Model) mainLeaves(from, to int32, seen [2]int32) []int32 {
	out := make([]int32, 0, to-from)
	for v := from; v < to; v++ {
		if v < seen[0] || v >= seen[1] {
			out = append(out, v)
		}
	}
	if len(out) > 100 {
		slices.SortStableFunc(out, func(a, b int32) int { return m.nodes.count[b] - m.nodes.count[a] })
		out = out[:100]
	}
	return out
}

// columns are the coefficients of a sale.
func (m *Model) columns(o *obs) algebra.Sparse {
	var all []term
	for _, k := range o.idx {
		all = m.expand(int(k), all)
	}
	c, c2, orig, year := o.slopes()
	for k, x := range [slopeCount]float64{c, c2, orig, year} {
		if x != 0 {
			all = append(all, term{m.slope + k, x})
		}
	}
	return collect(all)
}

// difference is a − b of two ascending vectors.
func difference(a, b algebra.Sparse) algebra.Sparse {
	var out algebra.Sparse
	i, j := 0, 0
	for i < len(a.At) || j < len(b.At) {
		switch {
		case j >= len(b.At) || (i < len(a.At) && a.At[i] < b.At[j]):
			out.At, out.Val = append(out.At, a.At[i]), append(out.Val, a.Val[i])
			i++
		case i >= len(a.At) || b.At[j] < a.At[i]:
			out.At, out.Val = append(out.At, b.At[j]), append(out.Val, -b.Val[j])
			j++
		default:
			if d := a.Val[i] - b.Val[j]; d != 0 {
				out.At, out.Val = append(out.At, a.At[i]), append(out.Val, d)
			}
			i++
			j++
		}
	}
	return out
}

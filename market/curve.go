package market

import (
	"fmt"
	"math"
	"midcase/market/algebra"
	"midcase/market/table"
	"strings"
)

// Premium is by how much one level of a feature is dearer than another, all else
// equal, at each quarter from the first sale to the last. Only the premium of a
// metal moves with time; that of another feature is one figure, repeated. The
// features are metal, dial, completeness, country, channel (venue/basis),
// condition (grades) and originality (shares).
func (m *Model) Premium(feature, of, over string) ([]PremiumPoint, error) {
	var out []PremiumPoint
	for t := 0; t <= m.last-m.first; t++ {
		x, sales, err := m.contrast(feature, of, over, t)
		if err != nil {
			return nil, err
		}
		d, sd := x.Dot(m.b), math.Sqrt(m.sys.Quadratic(x))
		out = append(out, PremiumPoint{
			Quarter: table.QuarterText(m.first + t), Premium: math.Expm1(d),
			Interval: [2]float64{math.Expm1(d - 1.645*sd), math.Expm1(d + 1.645*sd)}, Sales: sales,
		})
	}
	return out, nil
}

func (m *Model) contrast(feature, of, over string, t int) (algebra.Sparse, int, error) {
	switch table.Fold(feature) {
	case "metal":
		a, b := m.metal.find(of), m.metal.find(over)
		if a < 0 || b < 0 {
			return algebra.Sparse{}, 0, m.noLevel("metal", &m.metal, of, over)
		}
		terms := m.metalTerms(a, t, nil)
		for _, k := range m.metalTerms(b, t, nil) {
			terms = append(terms, term{k.at, -k.x})
		}
		return collect(terms), int(m.cells[a*m.t+t]), nil
	case "condition", "originality":
		return m.slopeContrast(table.Fold(feature), of, over)
	}
	feat, f := m.factorNamed(table.Fold(feature))
	if f == nil {
		return algebra.Sparse{}, 0, fmt.Errorf("feature %q: want metal, dial, completeness, country, channel, condition or originality", feature)
	}
	a, b := f.find(of), f.find(over)
	if a < 0 || b < 0 {
		return algebra.Sparse{}, 0, m.noLevel(feature, f, of, over)
	}
	return collect([]term{{m.dense[feat] + a, 1}, {m.dense[feat] + b, -1}}), f.count[a], nil
}

func (m *Model) slopeContrast(feature, of, over string) (algebra.Sparse, int, error) {
	low, high, k, mid := 1.0, 10.0, slopeCondition, m.condMid
	if feature == "originality" {
		low, high, k, mid = 0, 1, slopeOriginality, m.origMid
	}
	a, okA := table.ParseFigure([]byte(of), low, high)
	b, okB := table.ParseFigure([]byte(over), low, high)
	if !okA || !okB || a != a || b != b {
		return algebra.Sparse{}, 0, fmt.Errorf("%s %q over %q: want two figures from %g to %g", feature, of, over, low,
			high)
	}
	x, y := float64(a)-mid, float64(b)-mid
	terms := []term{{m.slope + k, x - y}}
	if k == slopeCondition {
		terms = append(terms, term{m.slope + slopeCurve, x*x - y*y})
	}
	return collect(terms), 0, nil
}

func (m *Model) factorNamed(name string) (int, *factor) {
	switch name {
	case "dial":
		return featDial, &m.dial
	case "completeness":
		return featCompleteness, &m.completeness
	case "country":
		return featCountry, &m.country
	case "channel", "venue":
		return featChannel, &m.channel
	}
	return 0, nil
}

func (m *Model) noLevel(feature string, f *factor, of, over string) error {
	for _, s := range []string{of, over} {
		if f.find(s) < 0 {
			return fmt.Errorf("%s %q: no sale has it; the sales have %s", feature, s, strings.Join(f.named(), ", "))
		}
	}
	return nil
}

func (f *factor) named() []string {
	var out []string
	for _, s := range f.level {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// Index is the constant-quality price index of a scope: the general market with
// the metals in the shares in which the scope sells them, first quarter 100.
func (m *Model) Index(scope Scope) ([]IndexPoint, error) {
	top, err := m.scopeNode(scope)
	if err != nil {
		return nil, err
	}
	share, sales := m.mix(top)
	at := func(t int) []term {
		out := m.timeTerms(t, nil)
		for k, s := range share {
			if s == 0 {
				continue
			}
			for _, x := range m.metalTerms(k, t, nil) {
				out = append(out, term{x.at, s * x.x})
			}
		}
		return out
	}
	var out []IndexPoint
	for t := 0; t <= m.last-m.first; t++ {
		terms := at(t)
		for _, x := range at(0) {
			terms = append(terms, term{x.at, -x.x})
		}
		x := collect(terms)
		d, sd := x.Dot(m.b), math.Sqrt(m.sys.Quadratic(x))
		out = append(out, IndexPoint{
			Quarter: table.QuarterText(m.first + t), Index: 100 * math.Exp(d),
			Interval: [2]float64{100 * math.Exp(d-1.645*sd), 100 * math.Exp(d+1.645*sd)}, Sales: sales[t],
		})
	}
	return out, nil
}

// scopeNode finds the node of a scope.
func (m *Model) scopeNode(s Scope) (int32, error) {
	if s == (Scope{}) {
		return 0, nil
	}
	var found int32 = -1
	for v, l := range m.nodes.level {
		var name, want string
		switch {
		case s.Reference != "" && l == algebra.LevelReference:
			name, want = m.nodes.name[v], s.Reference
		case s.Reference == "" && s.Family != "" && l == algebra.LevelFamily:
			name, want = m.nodes.name[v], s.Family
		case s.Reference == "" && s.Family == "" && l == algebra.LevelMaker:
			name, want = m.nodes.name[v], s.Maker
		default:
			continue
		}
		if table.Fold(name) != table.Fold(want) || !m.below(int32(v), s) {
			continue
		}
		if found >= 0 {
			return 0, fmt.Errorf("%s: several makers have it. Name the maker too", s)
		}
		found = int32(v)
	}
	if found < 0 {
		return 0, fmt.Errorf("no sale of maker %q, family %q, reference %q", s.Maker, s.Family, s.Reference)
	}
	return found, nil
}

// below reports whether a node's ancestors agree with the scope.
func (m *Model) below(v int32, s Scope) bool {
	for ; v > 0; v = m.nodes.parent[v] {
		switch m.nodes.level[v] {
		case algebra.LevelFamily:
			if s.Family != "" && table.Fold(m.nodes.name[v]) != table.Fold(s.Family) {
				return false
			}
		case algebra.LevelMaker:
			if s.Maker != "" && table.Fold(m.nodes.name[v]) != table.Fold(s.Maker) {
				return false
			}
		}
	}
	return true
}

// mix gives the share of each metal and the sales by quarter below a node.
func (m *Model) mix(top int32) (share []float64, sales []int) {
	share, sales = make([]float64, m.m), make([]int, m.t)
	var n float64
	from, to := m.leavesBelow(top)
	for leaf := from; leaf < to; leaf++ {
		for i := m.start[leaf]; i < m.start[leaf+1]; i++ {
			k := int(m.obs[i].idx[featCell])
			share[k/m.t]++
			sales[k%m.t]++
			n++
		}
	}
	for k := range share {
		share[k] /= n
	}
	return share, sales
}

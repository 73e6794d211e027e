package market

import (
	"errors"
	"midcase/market/algebra"
	"midcase/market/table"
)

// restore checks a model that was read and computes what the file does not hold.
func (m *Model) restore() error {
	for _, step := range []func() error{m.table.Restore, m.checkScheme, m.checkNodes, m.checkObs, m.restoreSystem} {
		if err := step(); err != nil {
			return err
		}
	}
	m.finish()
	return nil
}

func (m *Model) checkScheme() error {
	span := m.last - m.first
	if m.first < 0 || span < 0 || span >= maxQuarters || m.quarters < span+1 || m.quarters > span+1+forecastQuarters ||
		m.anchor < 0 || m.anchor > span || m.bins < 1 || m.bins > 64 || m.binWidth < 1 || m.binFirst < 0 ||
		m.binFirst > 3000 {
		return errors.New("the span of time is damaged")
	}
	for _, f := range []*factor{&m.metal, &m.dial, &m.completeness, &m.channel, &m.country} {
		if len(f.level) != len(f.count) || len(f.level) > maxLevels || len(f.level) == 0 {
			return errors.New("a feature is damaged")
		}
		f.index = map[string]int{}
		for k, s := range f.level {
			f.index[table.Fold(s)] = k
		}
	}
	off := m.off
	if m.setOffsets(); m.off != off {
		return errors.New("the columns are damaged")
	}
	if len(m.gap) != m.metal.width()+1 || m.scheme.base < 0 || m.scheme.base >= m.metal.width() {
		return errors.New("the walks are damaged")
	}
	for _, g := range m.gap {
		if g < 1 || g > widestGap {
			return errors.New("the walks are damaged")
		}
	}
	m.layout = newLayout(&m.scheme)
	return nil
}

func (m *Model) checkNodes() error {
	x := &m.nodes
	n := len(x.name)
	if n < 5 || len(x.parent) != n || len(x.level) != n || len(x.count) != n || len(x.metal) != n ||
		x.parent[0] != -1 || x.level[0] != algebra.LevelRoot {
		return errors.New("the tree of references is damaged")
	}
	x.by = make([]map[string]int32, n)
	for v := range x.by {
		x.by[v] = map[string]int32{}
	}
	for v := 1; v < n; v++ {
		p := x.parent[v]
		if p < 0 || int(p) >= v || p < x.parent[v-1] || x.level[v] != x.level[p]+1 || x.level[v] >= algebra.LevelCount {
			return errors.New("the tree of references is damaged")
		}
		x.by[p][table.Fold(x.name[v])] = int32(v)
	}
	return nil
}

func (m *Model) checkObs() error {
	if len(m.obs) == 0 || len(m.row) != len(m.obs) || len(m.class) != 4*m.channel.width() {
		return errors.New("the sales are damaged")
	}
	leaf := int32(0)
	for i := range m.obs {
		o := &m.obs[i]
		if o.leaf < leaf || int(o.leaf) >= len(m.nodes.level) || m.nodes.level[o.leaf] != algebra.LevelVariant ||
			int(o.class) >= len(m.class) || m.row[i] < 0 || int(m.row[i]) >= m.table.Len() {
			return errors.New("the sales are damaged")
		}
		leaf = o.leaf
		for k, c := range o.idx {
			if int(c) < m.featOff[k] || int(c) >= m.featOff[k]+m.featLen[k] {
				return errors.New("the sales are damaged")
			}
		}
	}
	return nil
}

func (m *Model) restoreSystem() error {
	s, n := m.sys, len(m.nodes.name)
	p := m.layout.p
	fits := s.P == p && len(s.Weight) == n && len(s.Info) == p*p && len(s.Cross) == n && len(m.theta) == n &&
		len(m.b) == p && len(m.logScale) == n && len(m.scaleN) == n
	comps := m.components(&m.scheme)
	if !fits || len(comps) != len(m.comps) {
		return errors.New("the equations are damaged")
	}
	for k := range comps {
		c, from := &comps[k], &m.comps[k]
		if !(from.Lambda > 0) || len(from.Steps) != len(c.Steps) || !(from.Phi >= 0 && from.Phi <= algebra.MaxPhi) {
			return errors.New("the equations are damaged")
		}
		if c.Lambda = from.Lambda; len(c.Steps) > 0 {
			for _, v := range from.Steps {
				if !(v > 0) {
					return errors.New("the equations are damaged")
				}
			}
			c.Steps, c.Phi = from.Steps, from.Phi
			c.K = algebra.Walk(c.N, c.Steps, c.Phi)
		}
	}
	for _, v := range s.Cross {
		if len(v.At) != len(v.Val) {
			return errors.New("the equations are damaged")
		}
		last := int32(-1)
		for _, i := range v.At {
			if i <= last || int(i) >= p {
				return errors.New("the equations are damaged")
			}
			last = i
		}
	}
	m.comps = comps
	s.Parent, s.Level = m.nodes.parent, m.nodes.level
	s.Prior = make([]float64, p*p)
	s.SetPrior(comps)
	if !s.Factor() {
		return errors.New("the equations have no solution")
	}
	return nil
}

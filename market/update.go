package market

import (
	"errors"
	"fmt"
	"maps"
	"runtime"
	"slices"
)

// ErrRefit is wrapped by Update when the new sales need a new fit: a name, level or
// quarter that the model does not know, or too many sales at once.
var ErrRefit = errors.New("a new fit is needed")

// mostUpdate is the share of new sales, against those of the model, beyond which the
// old ones can no longer be taken as a quadratic.
const mostUpdate = 0.1

// Update adds the sales of a table to a model without reading the old ones again:
// their information is added to the equations and one scoring step is taken, with
// the old sales as the quadratic that they are near their mode. Scales, degrees of
// freedom and variances stay as they were. The model itself is not changed and may
// be used meanwhile. Sales that are there already are left out and reported. It
// returns ErrRefit where this is not allowed; then Fit all sales again.
func (m *Model) Update(t *Table, opt Options) (*Model, FitReport, error) {
	rep := FitReport{RowsRead: t.Len()}
	if opt.Currency != "" && opt.Currency != m.currency {
		return nil, rep, fmt.Errorf("update: the model is in %s, not in %s", m.currency, opt.Currency)
	}
	rows, bad := t.usable(opt, m.currency)
	rep.Rejected = bad
	fresh := 0
	for _, r := range rows {
		if !m.table.seen.has(t.id[r.row]) {
			fresh++
		}
	}
	if float64(fresh) > mostUpdate*float64(len(m.obs)) {
		return nil, rep, fmt.Errorf("update: %w: %s against %d in the model", ErrRefit, plural(fresh, "new sale"), len(m.obs))
	}
	u := m.copyFor(len(rows))
	var added []addition
	for _, r := range rows {
		a, err := m.code1(t, r)
		if err != nil {
			return nil, rep, err
		}
		err = u.table.Append(t.At(int(r.row)))
		if errors.Is(err, ErrDuplicate) {
			rep.Rejected = append(rep.Rejected, RowError{Line: int(t.line[r.row]), Found: saleID(t.id[r.row]), Want: "a sale that is not yet there; this row is a duplicate", duplicate: true})
			continue
		}
		if err != nil {
			return nil, rep, fmt.Errorf("update: %w", err)
		}
		a.row = int32(u.table.Len() - 1)
		added = append(added, a)
	}
	if len(added) > 0 {
		u.merge(m, added)
		u.stepWith(m, added, opt)
	}
	u.finish()
	rep.RowsRejected = len(rep.Rejected)
	u.fillReport(&rep)
	return u, rep, nil
}

// addition is a new sale as the model reads it.
type addition struct {
	obs obs
	row int32
	day int32
	id  uint64
}

// code1 codes one sale with the names that the model knows.
func (m *Model) code1(t *Table, r prepared) (addition, error) {
	i := int(r.row)
	unknown := func(what, name string) (addition, error) {
		return addition{}, fmt.Errorf("update: %w: line %d has %s %q, which the model does not know", ErrRefit, t.line[i], what, name)
	}
	s := t.subjectAt(i)
	maker, ok := m.nodes.child(0, s.Maker)
	if !ok {
		return unknown("maker", s.Maker)
	}
	ref, ok := m.refOf[refName{maker, fold(s.Reference)}]
	if !ok {
		return unknown("reference", s.Reference)
	}
	leaf, ok := m.nodes.child(ref, variantName(s.Dial, s.Metal))
	if !ok {
		return unknown("variant", s.Dial+" "+s.Metal)
	}
	q := quarterOf(t.day[i])
	if q < m.first || q >= m.first+m.quarters {
		return unknown("quarter", quarterText(q))
	}
	metal := s.Metal
	if metal == "" {
		metal = m.nodes.metal[ref]
	}
	o := obs{y: r.y - m.centre, leaf: leaf}
	p := 0
	if s.Condition != nil {
		o.num[0] = float32(*s.Condition - m.condMid)
	} else {
		p++
	}
	if s.Originality != nil {
		o.num[1] = float32(*s.Originality - m.origMid)
	} else {
		p += 2
	}
	o.num[2] = float32(m.yearX(s.Year))
	channel := channelName(s.Venue, s.SaleBasis)
	for _, f := range []struct {
		name, level string
		feat        int
		f           *factor
	}{{"metal", metal, featCell, &m.metal}, {"dial", s.Dial, featDial, &m.dial}, {"completeness", s.Completeness, featCompleteness, &m.completeness},
		{"venue and basis", channel, featChannel, &m.channel}, {"country", s.Country, featCountry, &m.country}} {
		k := f.f.find(f.level)
		if k < 0 && len(f.f.level) < mostLevels && f.feat != featCell {
			return unknown(f.name, f.level)
		}
		o.idx[f.feat] = uint16(m.off[f.feat] + f.f.column(k))
	}
	class := int(o.idx[featChannel]) - m.off[featChannel]
	o.idx[featCell] = uint16(m.off[featCell] + int(o.idx[featCell])*m.quarters + q - m.first)
	o.idx[featYearBin] = uint16(m.off[featYearBin] + m.bin(s.Year))
	o.idx[featPattern] = uint16(m.off[featPattern] + p)
	o.class = uint16(p*m.channel.width() + class)
	return addition{obs: o, day: t.day[i], id: t.id[i]}, nil
}

// copyFor is a copy of the model that may take n more sales without touching the
// old one.
func (m *Model) copyFor(n int) *Model {
	u := *m
	u.table = m.table.copyFor(n)
	u.nodes.count = slices.Clone(m.nodes.count)
	u.theta, u.b = slices.Clone(m.theta), slices.Clone(m.b)
	for _, f := range []*factor{&u.metal, &u.dial, &u.completeness, &u.channel, &u.country} {
		f.count = slices.Clone(f.count)
	}
	return &u
}

func (t *Table) copyFor(n int) *Table {
	u := *t
	u.day, u.precision, u.coef, u.scale = more(t.day, n), more(t.precision, n), more(t.coef, n), more(t.scale, n)
	u.year, u.cond, u.orig = more(t.year, n), more(t.cond, n), more(t.orig, n)
	u.line, u.id = more(t.line, n), more(t.id, n)
	u.seen.slot = slices.Clone(t.seen.slot)
	for _, w := range u.categories() {
		w.code = more(w.code, n)
		w.spelling, w.hash, w.index = slices.Clone(w.spelling), slices.Clone(w.hash), maps.Clone(w.index)
	}
	for _, x := range []*texts{&u.serial, &u.source, &u.note} {
		x.bytes, x.end = slices.Clip(x.bytes), slices.Clip(x.end)
	}
	return &u
}

func more[T any](s []T, n int) []T {
	out := make([]T, len(s), len(s)+n)
	copy(out, s)
	return out
}

// merge puts the new sales between the old ones, in canonical order.
func (m *Model) merge(old *Model, added []addition) {
	slices.SortFunc(added, func(a, b addition) int { return compareSales(a.obs.leaf, b.obs.leaf, a.day, b.day, a.id, b.id) })
	n := len(old.obs) + len(added)
	m.obs, m.row = make([]obs, 0, n), make([]int32, 0, n)
	k := 0
	for i := range old.obs {
		row := old.row[i]
		for k < len(added) && compareSales(added[k].obs.leaf, old.obs[i].leaf, added[k].day, old.table.day[row], added[k].id, old.table.id[row]) < 0 {
			m.obs, m.row = append(m.obs, added[k].obs), append(m.row, added[k].row)
			k++
		}
		m.obs, m.row = append(m.obs, old.obs[i]), append(m.row, row)
	}
	for ; k < len(added); k++ {
		m.obs, m.row = append(m.obs, added[k].obs), append(m.row, added[k].row)
	}
	for _, a := range added {
		for v := a.obs.leaf; v >= 0; v = m.nodes.parent[v] {
			m.nodes.count[v]++
		}
		m.pattern[int(a.obs.idx[featPattern])-m.off[featPattern]]++
		m.last = max(m.last, m.first+int(a.obs.idx[featCell])%m.t)
		for feat, f := range map[int]*factor{featDial: &m.dial, featCompleteness: &m.completeness, featChannel: &m.channel, featCountry: &m.country} {
			if k := int(a.obs.idx[feat]) - m.off[feat]; k < len(f.count) {
				f.count[k]++
			}
		}
		if k := int(a.obs.idx[featCell]) / m.t; k < len(m.metal.count) {
			m.metal.count[k]++
		}
	}
}

func compareSales(leafA, leafB, dayA, dayB int32, a, b uint64) int {
	switch {
	case leafA != leafB:
		return int(leafA) - int(leafB)
	case dayA != dayB:
		return int(dayA) - int(dayB)
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// stepWith adds the information of the new sales to the old equations and takes one
// step. At the mode the gradient of the old sales and the priors is nothing, so the
// new sales' gradient is all there is.
func (m *Model) stepWith(old *Model, added []addition, opt Options) {
	d := &design{scheme: m.scheme}
	for _, a := range added {
		d.obs = append(d.obs, a.obs)
	}
	nodes := len(m.theta)
	f := &fitter{design: d, workers: max(1, min(opt.Workers, runtime.GOMAXPROCS(0))), layout: m.layout, n: len(d.obs), lanes: cutLanes(d.obs),
		theta: m.theta, b: m.b, logScale: m.logScale, class: m.class, hat: make([]float64, nodes), dof: m.dof, wild: m.wild, ref: make([]int32, nodes)}
	for v, l := range m.nodes.level {
		if l == levelVariant {
			f.ref[v] = m.nodes.parent[v]
		}
	}
	s := *old.sys
	s.chol, s.cov = nil, nil
	s.weight, s.cross = make([]float64, nodes), make([]sparse, nodes)
	s.info = make([]float64, s.p*s.p)
	f.sys = &s
	f.pass(true)
	f.score()
	add(s.info, old.sys.info)
	add(s.weight, old.sys.weight)
	for v := range s.cross {
		s.cross[v] = sum(old.sys.cross[v], s.cross[v])
	}
	s.factor()
	dt, db := s.solve(f.grad.node, f.collapse(f.grad.raw, f.grad.slope))
	add(m.theta, dt)
	add(m.b, db)
	m.sys = &s
}

// sum adds two ascending vectors.
func sum(a, b sparse) sparse {
	if len(b.at) == 0 {
		return a
	}
	minus := sparse{b.at, make([]float64, len(b.val))}
	for k, x := range b.val {
		minus.val[k] = -x
	}
	return difference(a, minus)
}

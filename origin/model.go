package origin

// The kinds of Item.
const (
	KindSerial = "serial"
	KindStamp  = "stamp"
	KindPapers = "papers"
	KindStated = "stated"
	KindSlot   = "slot"
)

// group is one factor of the model. Given the month, groups are independent. A
// slot and the stamps on its part are one group.
type group struct {
	like  []float64 // likelihood over months, above 0
	items []item
	parts *parts // nil where the group is no slot
	// original is the chance in each month that the part is original; nil where the
	// group is no slot.
	original []float64
}

// item is one piece of evidence within its group.
type item struct {
	id, kind string
	alone    []float64 // likelihood of this item alone
	without  []float64 // likelihood of its group without it; nil means 1
	stray    float64   // likelihood of the item if it says nothing about the watch
	// surprise takes the probabilities of the months by all other groups, and by all
	// other items.
	surprise func(rest, months []float64) float64
}

// model is a subject worked out on its grid.
type model struct {
	g      grid
	prior  []float64 // logs
	groups []group
	slots  []int // index in groups of each slot of the subject
}

func newModel(s Subject) *model {
	m := &model{g: newGrid(s.Span)}
	m.prior = m.g.logPrior(s.Span)
	for _, x := range s.Serials {
		n := newNumbered(x, m.g)
		m.single(x.ID, KindSerial, n.likelihood(), n.stray(), n.surprise)
	}
	listed := make(map[string]int)
	for i, x := range s.Slots {
		listed[x.Name] = i
	}
	onSlot := make([][]Stamp, len(s.Slots))
	for _, x := range s.Stamps {
		if i, ok := listed[x.Slot]; ok {
			onSlot[i] = append(onSlot[i], x)
			continue
		}
		d := x.dated(m.g)
		m.single(x.ID, KindStamp, d.likelihood(m.g), d.stray(), d.surprise)
	}
	for _, x := range s.Papers {
		d := x.dated(m.g)
		m.single(x.ID, KindPapers, d.likelihood(m.g), d.stray(), d.surprise)
	}
	for _, x := range s.Stated {
		d := x.dated(m.g)
		m.single(x.ID, KindStated, d.likelihood(m.g), d.stray(), d.surprise)
	}
	for i, x := range s.Slots {
		m.slots = append(m.slots, len(m.groups))
		m.groups = append(m.groups, slotGroup(x, onSlot[i], m.g))
	}
	return m
}

// single adds an item that depends on nothing but the month.
func (m *model) single(id, kind string, like []float64, stray float64, surprise func([]float64) float64) {
	m.groups = append(m.groups, group{like: like, items: []item{{id: id, kind: kind, alone: like, stray: stray,
		surprise: func(_, months []float64) float64 { return surprise(months) }}}})
}

// slotGroup joins a slot with the stamps on its part.
func slotGroup(s Slot, stamps []Stamp, g grid) group {
	on := make([]dated, len(stamps))
	for j, x := range stamps {
		on[j] = x.dated(g)
	}
	p := newParts(s, on, g)
	out := group{parts: p}
	out.like, out.original = p.factor(p.seen, -1)
	if p.seen >= 0 {
		it := item{id: s.ID, kind: KindSlot, alone: out.like,
			surprise: func(_, months []float64) float64 { return p.surprise(months) }}
		if len(on) > 0 {
			it.alone, _ = p.with(0, 0).factor(p.seen, -1)
			it.without, _ = p.factor(-1, -1)
		}
		out.items = append(out.items, it)
	}
	for j, x := range stamps {
		it := item{id: x.ID, kind: KindStamp, stray: on[j].stray(),
			surprise: func(rest, _ []float64) float64 { return p.stampSurprise(rest, j) }}
		it.alone, _ = p.with(j, j+1).factor(-1, -1)
		it.without, _ = p.factor(p.seen, j)
		out.items = append(out.items, it)
	}
	return out
}

// leaveOneOut returns, for each group, the log weights of the months by the prior
// and all other groups, and last the log weights by everything. Running sums from
// both ends leave a group out without subtracting it.
func (m *model) leaveOneOut() (rest [][]float64, all []float64) {
	n := len(m.groups)
	rest = make([][]float64, n)
	each := make([][]float64, n)
	run := append([]float64(nil), m.prior...)
	for k, g := range m.groups {
		rest[k] = append([]float64(nil), run...)
		each[k] = logs(g.like)
		addTo(run, each[k])
	}
	all = append([]float64(nil), run...)
	tail := make([]float64, m.g.n)
	for k := n - 1; k >= 0; k-- {
		addTo(rest[k], tail)
		addTo(tail, each[k])
	}
	return rest, all
}

// everything is the log weights of the months by everything.
func (m *model) everything() []float64 {
	sum := append([]float64(nil), m.prior...)
	for _, g := range m.groups {
		addTo(sum, logs(g.like))
	}
	return sum
}

func addTo(sum, x []float64) {
	for i := range sum {
		sum[i] += x[i]
	}
}

func total(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum
}

package origin

// The kinds of Item.
const (
	KindSerial = "serial"
	KindStamp  = "stamp"
	KindPapers = "papers"
	KindStated = "stated"
	KindSlot   = "slot"
)

// group is one factor of the model beside the parts. Given the month, groups and parts
// are independent.
type group struct {
	like  []float64 // likelihood over months, above 0
	items []item
}

// item is one piece of evidence within its group.
type item struct {
	id, kind string
	alone    []float64 // likelihood of this item alone
	without  []float64 // likelihood of its group without it; nil means 1
	astray   []float64 // likelihood of its group if the item says nothing about the watch
	// surprise takes the probabilities of the months by all other items.
	surprise func(months []float64) float64
}

// model is a subject worked out on its grid.
type model struct {
	g      grid
	s      Subject
	prior  []float64 // logs
	groups []group
	// onSlot are the marks on the parts of each slot, with what they are in the subject.
	onSlot  [][]mark
	onItems [][]item
	joint   *joint
	// place and original are set where gains are worked out: the likeliest place of
	// delivery, and by month the chance that each part is original.
	place    place
	original [][]float64
}

func newModel(s Subject) *model {
	m := &model{g: newGrid(s.Span), s: s}
	m.prior = m.g.logPrior(s.Span)
	m.onSlot, m.onItems = make([][]mark, len(s.Slots)), make([][]item, len(s.Slots))
	listed := make(map[string]int)
	for i, x := range s.Slots {
		listed[x.Name] = i
	}
	add := func(id, kind, slot string, x mark) {
		if i, ok := listed[slot]; ok && slot != "" {
			m.onSlot[i] = append(m.onSlot[i], x)
			m.onItems[i] = append(m.onItems[i], item{id: id, kind: kind})
			return
		}
		m.single(id, kind, x)
	}
	for _, x := range s.Serials {
		add(x.ID, KindSerial, x.Slot, newNumbered(x, m.g))
	}
	for _, x := range s.Stamps {
		add(x.ID, KindStamp, x.Slot, x.dated(m.g))
	}
	if len(s.Papers) > 0 {
		m.groups = append(m.groups, saleGroup(s.Papers, m.g))
	}
	for _, x := range s.Stated {
		m.single(x.ID, KindStated, x.dated(m.g))
	}
	m.joint = newJoint(s, m.onSlot, m.g, posterior(m.prior, nil))
	m.joint.run(posterior(m.marks(), nil))
	return m
}

// single adds a mark that depends on nothing but the month.
func (m *model) single(id, kind string, x mark) {
	like := x.likelihood(m.g)
	astray := make([]float64, m.g.n)
	for i := range astray {
		astray[i] = x.stray()
	}
	m.groups = append(m.groups, group{like: like, items: []item{{id: id, kind: kind, alone: like, astray: astray,
		surprise: x.surprise}}})
}

// marks is the log weights of the months by everything but the parts.
func (m *model) marks() []float64 {
	sum := append([]float64(nil), m.prior...)
	for _, g := range m.groups {
		addTo(sum, logs(g.like))
	}
	return sum
}

// leaveOneOut returns, for each group, the log weights of the months by the prior, the
// parts and all other groups, and last the log weights by everything. Running sums from
// both ends leave a group out without subtracting it.
func (m *model) leaveOneOut() (rest [][]float64, all []float64) {
	n := len(m.groups)
	rest = make([][]float64, n)
	each := make([][]float64, n)
	run := append([]float64(nil), m.prior...)
	addTo(run, logs(m.joint.like))
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
	sum := m.marks()
	addTo(sum, logs(m.joint.like))
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

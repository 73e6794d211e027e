package market

import (
	"math"
	"time"

	"midcase/market/algebra"
	"midcase/market/table"
	"midcase/say"
)

// What the model forecasts. After the last sale the market and the premium of a metal go
// on as they were found to move: the long-run drift of the market for as long as one
// looks ahead, and the momentum of the last step until it has run out. The median follows
// that, and the range takes in how uncertain both are and every step to come, of which
// nothing is known but its scale. There is no horizon at which this changes.

// moment is the market and a metal at a quarter, which may lie after the last sale.
type moment struct {
	market, metal []term
	noise         float64 // variance of steps that no coefficient stands for
}

// moment of a metal's column k and a quarter. What lies before the first sale is put there.
func (m *Model) moment(k, q int) moment {
	t, last := m.column(q), m.quarters-1
	at := moment{market: m.timeTerms(t, nil), metal: m.metalTerms(k, t, nil)}
	ahead := q - m.first - last
	if ahead <= 0 {
		return at
	}
	at.market, at.noise = m.time.ahead(0, m.component("quarter"), ahead)
	at.market = append(at.market, term{m.drift, float64(q-m.first-m.anchorAt) / 4})
	if w := m.walkOff[k]; w >= 0 {
		terms, noise := m.layout.grid[k].ahead(w, m.component("metal quarter "+m.metal.level[k]), ahead)
		at.metal, at.noise = terms, at.noise+noise
	}
	return at
}

func (m *Model) component(name string) *algebra.Component {
	for k := range m.comps {
		if m.comps[k].Name == name {
			return &m.comps[k]
		}
	}
	return &algebra.Component{Lambda: math.Inf(1)}
}

// ahead continues a walk for so many quarters after its last point: the coefficients that
// it then has, its momentum running out, and the variance of the steps on the way.
func (g timeGrid) ahead(off int, c *algebra.Component, quarters int) ([]term, float64) {
	steps := float64(quarters) / float64(g.gap)
	whole := math.Floor(steps)
	part, phi := steps-whole, c.Phi
	// carried is how far a step has gone on after n more.
	carried := func(n float64) float64 { return (1 - math.Pow(phi, n+1)) / (1 - phi) }
	mixed := func(f func(float64) float64, n float64) float64 { return (1-part)*f(n) + part*f(n+1) }
	s := mixed(func(n float64) float64 { return carried(n) - 1 }, whole)
	var noise float64
	for k := range int(math.Ceil(steps)) {
		w := mixed(func(n float64) float64 {
			if n < 0 {
				return 0
			}
			return carried(n)
		}, whole-1-float64(k))
		noise += w * w
	}
	n := off + g.n - 1
	if g.n < 2 || s == 0 {
		return []term{{n, 1}}, noise * algebra.FutureStep / c.Lambda
	}
	return []term{{n, 1 + s}, {n - 1, -s}}, noise * algebra.FutureStep / c.Lambda
}

// Movement is how far prices move from one quarter to a later one, in logs.
type Movement struct {
	Mean float64 // expected
	// Common is the standard deviation of what all prices share, Metal that of what a
	// metal has beside.
	Common, Metal float64
}

// movement of a metal's column between two quarters.
func (m *Model) movement(k, from, to int) Movement {
	a, b := m.moment(k, from), m.moment(k, to)
	part := func(x, y []term) (float64, float64) {
		terms := append([]term(nil), y...)
		for _, t := range x {
			terms = append(terms, term{t.at, -t.x})
		}
		v := collect(terms)
		return v.Dot(m.b), m.sys.Quadratic(v)
	}
	market, vm := part(a.market, b.market)
	metal, vk := part(a.metal, b.metal)
	base, none := m.moment(len(m.metal.level), from), m.moment(len(m.metal.level), to)
	common := none.noise - base.noise
	return Movement{Mean: market + metal, Common: math.Sqrt(math.Max(0, vm+common)),
		Metal: math.Sqrt(math.Max(0, vk+b.noise-a.noise-common))}
}

// Outlook is how far prices may move over a time to come, in logs: what all share, and
// what those of each metal have beside.
type Outlook struct {
	Common Move            `json:"common"`
	Metals map[string]Move `json:"metals"`
}

// Move is a movement of log price: expected, and its standard deviation.
type Move struct {
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"`
}

// Outlook is the model's own forecast of the movement from a day over so many months: the
// drift with its error, momentum, and steps of heavy tails, as in a value of a later day.
func (m *Model) Outlook(from time.Time, months float64) Outlook {
	q, ahead := table.QuarterOf(dayOf(from)), months/3
	out := Outlook{Metals: map[string]Move{}}
	at := func(k, quarters int) Movement { return m.movement(k, q, q+quarters) }
	between := func(k int) (mean, common, metal float64) {
		whole := math.Floor(ahead)
		a, b, part := at(k, int(whole)), at(k, int(whole)+1), ahead-whole
		mixed := func(x, y float64) float64 { return (1-part)*x + part*y }
		return mixed(a.Mean, b.Mean), math.Sqrt(mixed(a.Common*a.Common, b.Common*b.Common)),
			math.Sqrt(mixed(a.Metal*a.Metal, b.Metal*b.Metal))
	}
	mean, common, _ := between(m.scheme.base)
	out.Common = Move{mean, common}
	for k, name := range m.metal.level {
		if own, _, metal := between(k); name != "" {
			out.Metals[name] = Move{own - mean, metal}
		}
	}
	return out
}

// sinceLast says what the model makes of the time since the last sale.
func (m *Model) sinceLast(k, q int, day int32) say.Statement {
	v := m.movement(k, m.last, q)
	half := 1.645 * math.Hypot(v.Common, v.Metal)
	months := max(1, int(math.Round(float64(day-m.lastDay())/daysPerMonth)))
	return say.That("market.later", quarter("quarter", m.last), say.Count("months", months),
		say.Moved("move", percent(v.Mean), percent(v.Mean-half), percent(v.Mean+half)))
}

const daysPerMonth = 30.4375

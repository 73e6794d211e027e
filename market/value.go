package market

import (
	"math"
	"slices"
	"strings"
	"time"

	"midcase/market/algebra"
	"midcase/market/table"
	"midcase/say"
)

// Value says what the subject is worth as of a day on a basis. The model must have
// been fitted to sales up to that day (Options.AsOf); a later fit would know more
// than could be known then, and Value says so. An unknown maker or reference is
// valued by what is known, with a wider range; without any sale there is no Model
// and no number.
func (m *Model) Value(s Subject, asOf time.Time, basis Basis) (*Valuation, error) {
	p, err := m.toldPoint(s, asOf, basis)
	if err != nil {
		return nil, err
	}
	path := m.sys.PathOf(p.node)
	v := m.valuation(&p, path)
	v.Basis, v.Definition, v.AsOf = basis, basis.Definition(), asOf.UTC().Format(time.DateOnly)
	if last := m.lastDay(); last > dayOf(asOf) {
		p.tell(say.That("market.knows-later", say.Day("day", table.DateText(last, table.DayDate))))
	}
	m.contributions(v, &p, path)
	m.compare(v, &p, path, asOf, 6)
	m.thin(v, &p)
	v.Says = p.says
	return v, nil
}

// toldPoint places a subject by what the sales can tell of it.
func (m *Model) toldPoint(s Subject, asOf time.Time, basis Basis) (point, error) {
	told, says, err := m.told(s, asOf, basis)
	if err != nil {
		return point{}, err
	}
	p, err := m.pointOf(told, asOf, basis)
	if s.Condition != nil {
		p.says = slices.DeleteFunc(p.says, func(t say.Statement) bool { return t.Kind == noCondition.Kind })
	}
	p.says = append(p.says, says...)
	return p, err
}

func dayOf(t time.Time) int32 {
	u := t.UTC()
	return table.DayNumber(u.Year(), int(u.Month()), u.Day())
}

func (m *Model) lastDay() int32 { return m.latest }

// Predict gives the distribution alone, without comparables and contributions: for
// long lists. It is Value's in all fields that it sets.
func (m *Model) Predict(s Subject, asOf time.Time, basis Basis) (*Valuation, error) {
	p, err := m.toldPoint(s, asOf, basis)
	if err != nil {
		return nil, err
	}
	v := m.valuation(&p, m.sys.PathOf(p.node))
	v.Basis, v.AsOf, v.Says = basis, asOf.UTC().Format(time.DateOnly), p.says
	return v, nil
}

// median is the log price of a point, less the centre.
func (m *Model) median(p *point) float64 { return m.theta[p.node] + p.x.Dot(m.b) }

func (m *Model) valuation(p *point, path algebra.Path) *Valuation {
	shared := m.sys.Variance(path, p.x) + m.levelDoubt(path) + p.below
	variance := shared + p.extra
	own := math.Min(m.ownNoise(path), variance)
	d := m.predict(math.Sqrt(p.scale*p.scale+own), p.logVar, variance-own)
	mid := m.centre + m.median(p)
	v := &Valuation{Currency: m.currency, LogMedian: mid, LogScale: d.scale, DoF: d.dof, SalesUsed: len(m.obs),
		LogShared: math.Sqrt(shared)}
	v.Median = math.Exp(mid)
	v.Mean = v.Median * math.Exp(m.smear*p.scale*p.scale+math.Min(variance, 2)/2)
	v.Interval = map[int][2]float64{}
	for level, q := range map[int]float64{50: d.q50, 80: d.q80, 90: d.q90} {
		v.Interval[level] = [2]float64{math.Exp(mid - q), math.Exp(mid + q)}
	}
	n := p.node
	if m.nodes.level[n] == algebra.LevelVariant {
		n = m.nodes.parent[n]
	}
	if m.nodes.level[n] == algebra.LevelReference {
		v.SalesOfReference = m.nodes.count[n]
	}
	return v
}

// thin says plainly where little is known.
func (m *Model) thin(v *Valuation, p *point) {
	if len(m.obs) < 30 {
		p.tell(say.That("market.few", say.Count("n", len(m.obs))))
	}
	if n := v.SalesOfReference; n > 0 && n < 5 {
		p.tell(say.That("market.few-of-reference", say.Count("n", n)))
	}
}

// contributions lead from the typical sale to the value, feature by feature.
func (m *Model) contributions(v *Valuation, p *point, path algebra.Path) {
	base := m.mean.Theta
	add := func(feature, level string, logDelta, variance float64) {
		half := 1.645 * math.Sqrt(math.Max(variance, 0))
		v.Contributions = append(v.Contributions, Contribution{feature, level, percent(logDelta),
			percent(logDelta - half), percent(logDelta + half)})
	}
	add(onReference, m.nodeTitle(p.node), m.theta[p.node]-m.mean.Theta, m.sys.AgainstAverage(path, &m.mean)+p.below)
	for _, l := range p.lines {
		terms := append([]term(nil), l.terms...)
		mean := m.typical[l.feature]
		for _, t := range mean {
			terms = append(terms, term{t.at, -t.x})
			base += t.x * m.b[t.at]
		}
		x := collect(terms)
		if l.feature == "records" {
			base += x.Dot(m.b)
			continue
		}
		add(l.feature, l.level, x.Dot(m.b), m.sys.Quadratic(x))
	}
	v.Baseline = math.Exp(m.centre + base)
}

func percent(log float64) float64 { return 100 * math.Expm1(log) }

// nodeTitles names two nodes, with dial and metal where it takes them to tell one
// from the other.
func (m *Model) nodeTitles(a, b int32) (string, string) {
	x, y := m.nodeTitle(a), m.nodeTitle(b)
	if x == y {
		x, y = m.variantTitle(x, a), m.variantTitle(y, b)
	}
	return x, y
}

// variantTitle is the title of a reference with dial and metal of one variant of it.
func (m *Model) variantTitle(title string, v int32) string {
	if m.nodes.level[v] != algebra.LevelVariant {
		return say.That("market.usual-variant", say.Name("reference", title)).String()
	}
	dial, metal, _ := strings.Cut(m.nodes.name[v], "\x1f")
	return say.That("market.variant", say.Name("reference", title), say.Name("dial", orUnknown(dial)),
		say.Name("metal", orUnknown(metal))).String()
}

// nodeTitle names a node in words.
func (m *Model) nodeTitle(v int32) string {
	if m.nodes.level[v] == algebra.LevelVariant {
		v = m.nodes.parent[v]
	}
	name := m.nodes.name[v]
	switch m.nodes.level[v] {
	case algebra.LevelRoot:
		return say.That("market.unknown-maker").String()
	case algebra.LevelMaker:
		return say.That("market.unknown-reference", say.Name("name", name)).String()
	case algebra.LevelFamily:
		family := m.nodes.name[m.nodes.parent[v]] + " " + familyTitle(name)
		return say.That("market.unknown-reference", say.Name("name", family)).String()
	}
	maker := m.nodes.parent[m.nodes.parent[v]]
	return m.nodes.name[maker] + " " + name
}

// setTypical finds the mean of each feature over the sales.
func (m *Model) setTypical() {
	count := make([]float64, m.raw)
	var slope [slopeCount]float64
	m.latest = math.MinInt32
	for i := range m.obs {
		o := &m.obs[i]
		for _, k := range o.idx {
			count[k]++
		}
		c, c2, orig, year := o.slopes()
		slope[0] += c
		slope[1] += c2
		slope[2] += orig
		slope[3] += year
		m.latest = max(m.latest, m.table.Day[m.row[i]])
	}
	m.yearless = int(count[m.off[featYearBin]])
	n := float64(len(m.obs))
	feat := [featCount]string{onMetal, onDial, onCompleteness, onChannel, onCountry, onYear, "records"}
	m.typical = map[string][]term{}
	for f := range feat {
		for k := 0; k < m.featLen[f]; k++ {
			raw := m.off[f] + k
			if count[raw] == 0 {
				continue
			}
			for _, t := range m.expand(raw, nil) {
				name := feat[f]
				if f == featCell && t.at <= m.drift {
					name = onTime
				}
				m.typical[name] = append(m.typical[name], term{t.at, t.x * count[raw] / n})
			}
		}
	}
	for name, t := range m.typical {
		s := collect(t)
		t = t[:0]
		for k, at := range s.At {
			t = append(t, term{int(at), s.Val[k]})
		}
		m.typical[name] = t
	}
	m.typical[onCondition] = []term{{m.slope, slope[0] / n}, {m.slope + 1, slope[1] / n}}
	m.typical[onOriginality] = []term{{m.slope + 2, slope[2] / n}}
	m.typical[onYear] = append(m.typical[onYear], term{m.slope + 3, slope[3] / n})
}

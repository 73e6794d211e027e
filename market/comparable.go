package market

import (
	"math"
	"midcase/market/algebra"
	"midcase/market/table"
	"slices"
	"time"
)

// candidate is a past sale with the variance of its predicted difference to the
// subject, the doubt about the adjustments themselves included.
type candidate struct {
	at       int // index into obs
	variance float64
}

// compare finds the k sales whose log-price difference to the subject is best
// predicted and fills in the grid.
func (m *Model) compare(v *Valuation, p *point, path algebra.Path, asOf time.Time, k int) {
	best := m.nearest(p, path, dayOf(asOf), k)
	if len(best) == 0 {
		return
	}
	var total float64
	for _, c := range best {
		g := m.grid(p, c)
		v.Comparables = append(v.Comparables, g)
		total += g.Weight
	}
	for i := range v.Comparables {
		v.Comparables[i].Weight /= total
	}
	v.Reconciled = reconcile(v.Comparables)
}

// salePoint is a sale as the grid shows it.
func (m *Model) salePoint(o *obs, s table.Sale) point {
	var p point
	p.node = o.leaf
	k := int(o.idx[featCell])
	t, metal := k%m.t, k/m.t
	p.lines = append(p.lines,
		line{onTime, table.QuarterText(m.first + t), m.timeTerms(t, nil)},
		line{onMetal, orUnknown(s.Metal), m.metalTerms(metal, t, nil)},
		line{onDial, orUnknown(s.Dial), m.expand(int(o.idx[featDial]), nil)})
	pattern := int(o.idx[featPattern]) - m.off[featPattern]
	c, c2, orig, year := o.slopes()
	cond := line{onCondition, "not known", m.halfPattern(pattern, 1)}
	if s.Condition != nil {
		cond.level = trimFloat(*s.Condition)
		cond.terms = append(cond.terms, term{m.slope, c}, term{m.slope + 1, c2})
	}
	orl := line{onOriginality, "not known", m.halfPattern(pattern, 2)}
	if s.Originality != nil {
		orl.level = trimFloat(*s.Originality)
		orl.terms = append(orl.terms, term{m.slope + 2, orig})
	}
	yl := line{onYear, "not known", append(m.expand(int(o.idx[featYearBin]), nil), term{m.slope + 3, year})}
	if s.Year != 0 {
		yl.level = trimFloat(float64(s.Year))
	}
	p.lines = append(p.lines, cond, orl, yl,
		line{onCompleteness, orUnknown(s.Completeness), m.expand(int(o.idx[featCompleteness]), nil)},
		line{onCountry, orUnknown(s.Country), m.expand(int(o.idx[featCountry]), nil)},
		line{onChannel, orUnknown(channelName(s.Venue, s.Basis)), m.expand(int(o.idx[featChannel]), nil)})
	return p
}

// order of the lines in a grid: the market's movement first, then what the watch
// is, then how it was sold.
var gridOrder = [gridLines]string{onTime, onReference, onMetal, onDial, onYear, onCondition, onOriginality,
	onCompleteness, onCountry, onChannel}

// grid moves a sale towards the subject line by line.
func (m *Model) grid(p *point, c candidate) Comparable {
	o := &m.obs[c.at]
	s := m.table.At(int(m.row[c.at]))
	q := m.salePoint(o, s)
	out := Comparable{ID: s.ID, Sale: s, Price: cents(math.Exp(o.y + m.centre)), Adjustments: []Adjustment{}}
	running := out.Price
	var gross float64
	for _, feature := range gridOrder {
		ours, ourText := m.lineEffect(p, feature)
		theirs, theirText := m.lineEffect(&q, feature)
		if feature == onReference {
			ours, theirs = m.theta[p.node], m.theta[q.node]
			ourText, theirText = m.nodeTitles(p.node, q.node)
		}
		d := ours - theirs
		if math.Abs(d) < 1e-9 {
			continue
		}
		next := cents(running * math.Exp(d))
		if !(next > 0) {
			continue
		}
		out.Adjustments = append(out.Adjustments, Adjustment{feature, ourText, theirText, 100 * (next/running - 1),
			cents(next - running)})
		gross += 100 * math.Abs(next/running-1)
		running = next
	}
	out.Adjusted, out.GrossPercent = running, gross
	out.Weight = 1 / c.variance
	return out
}

// cents rounds to a hundredth, so that the lines of a grid add up as printed.
func cents(v float64) float64 {
	if v > 1e12 || v < 1 {
		return v
	}
	return math.Round(v*100) / 100
}

func (m *Model) lineEffect(p *point, feature string) (effect float64, level string) {
	for _, l := range p.lines {
		if l.feature == feature {
			for _, t := range l.terms {
				effect += t.x * m.b[t.at]
			}
			return effect, l.level
		}
	}
	return 0, ""
}

// reconcile gives the weighted median of the adjusted prices and the range of
// their middle 80 %.
func reconcile(c []Comparable) *Reconciled {
	s := slices.Clone(c)
	slices.SortStableFunc(s, func(a, b Comparable) int {
		switch {
		case a.Adjusted < b.Adjusted:
			return -1
		case a.Adjusted > b.Adjusted:
			return 1
		}
		return 0
	})
	at := func(level float64) float64 {
		var sum float64
		for i := range s {
			sum += s[i].Weight
			if sum >= level-1e-12 {
				return s[i].Adjusted
			}
		}
		return s[len(s)-1].Adjusted
	}
	return &Reconciled{Median: at(0.5), Range: [2]float64{at(0.1), at(0.9)}}
}

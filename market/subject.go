package market

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/market/algebra"
	"midcase/market/table"
	"midcase/say"
)

// line is one feature of a subject or a sale: what it is, and which coefficients it
// brings in.
type line struct {
	feature, level string
	terms          []term
}

// point is a subject or a sale as the model sees it.
type point struct {
	node  int32 // the deepest node that is known
	below float64
	lines []line // of β
	x     algebra.Sparse
	extra float64 // variance of what is not known
	// Residual scale and the variance of its logarithm.
	scale, logVar float64
	says          []say.Statement
}

func (p *point) tell(s say.Statement) { p.says = append(p.says, s) }

// Features as named in grids and contributions, in the order of adjustment.
const (
	onTime         = "time"
	onMetal        = "metal"
	onReference    = "reference"
	onDial         = "dial"
	onYear         = "year of making"
	onCondition    = "condition"
	onCompleteness = "completeness"
	onOriginality  = "originality"
	onCountry      = "country"
	onChannel      = "venue and basis"
)

// noCondition is said where nothing is known of the condition.
var noCondition = say.That("market.no-condition")

var errNoDay = errors.New("value: want a date as of which to value")

// pointOf places a subject in the model.
func (m *Model) pointOf(s Subject, asOf time.Time, basis Basis) (point, error) {
	if asOf.IsZero() {
		return point{}, errNoDay
	}
	p := point{}
	metal := m.place(&p, s)
	if len(p.says) > 0 && len(m.unrated) > 0 { // the sales that were missed may be among those left out
		p.tell(leftOutFor(m.unrated))
	}
	m.cellLines(&p, s, metal, asOf)
	m.dialLine(&p, s)
	m.slopeLines(&p, s)
	m.categoryLine(&p, onCompleteness, featCompleteness, &m.completeness, s.Completeness)
	m.categoryLine(&p, onCountry, featCountry, &m.country, s.Country)
	channel, err := m.channelLine(&p, s, basis)
	if err != nil {
		return p, err
	}
	p.finish()
	m.scaleFor(&p, s, channel)
	return p, nil
}

func (p *point) finish() {
	var all []term
	for _, l := range p.lines {
		all = append(all, l.terms...)
	}
	p.x = collect(all)
}

// collect sums terms into an ascending vector.
func collect(all []term) algebra.Sparse {
	sort.SliceStable(all, func(i, j int) bool { return all[i].at < all[j].at })
	var out algebra.Sparse
	for _, t := range all {
		if n := len(out.At); n > 0 && out.At[n-1] == int32(t.at) {
			out.Val[n-1] += t.x
			continue
		}
		out.At, out.Val = append(out.At, int32(t.at)), append(out.Val, t.x)
	}
	return out
}

// place finds the node and the metal of the subject.
func (m *Model) place(p *point, s Subject) (metal string) {
	metal = s.Metal
	maker, ok := m.nodes.child(0, s.Maker)
	if !ok || s.Maker == "" {
		p.tell(say.That("market.no-maker"))
		p.below = m.linkVar(algebra.LevelMaker) + m.linkVar(algebra.LevelFamily) + m.linkVar(algebra.LevelReference) +
			m.linkVar(algebra.LevelVariant)
		return metal
	}
	ref, ok := m.findReference(maker, s)
	if !ok {
		p.below = m.linkVar(algebra.LevelFamily) + m.linkVar(algebra.LevelReference) + m.linkVar(algebra.LevelVariant)
		p.node = maker
		if fam, ok := m.nodes.child(maker, s.Family); ok && s.Family != "" {
			p.node, p.below = fam, m.linkVar(algebra.LevelReference)+m.linkVar(algebra.LevelVariant)
			p.tell(say.That("market.no-reference"))
			return metal
		}
		p.tell(say.That("market.no-family"))
		return metal
	}
	if metal == "" && m.nodes.metal[ref] != "" {
		metal = m.nodes.metal[ref]
	}
	p.node, p.below = ref, m.linkVar(algebra.LevelVariant)
	if v, ok := m.nodes.child(ref, variantName(s.Dial, metal)); ok {
		p.node, p.below = v, 0
	} else if v, ok := m.nodes.child(ref, variantName(s.Dial, "")); ok && s.Metal == "" {
		p.node, p.below = v, 0
	}
	return metal
}

// linkVar is the variance that a new node of a level has around its parent. It is
// itself an estimate from the nodes of that level, so the new node is t-distributed,
// and a t of k degrees of freedom has k/(k−2) times the variance of a normal.
func (m *Model) linkVar(level int) float64 {
	k := m.tellers(level)
	return k / (k - 2) / m.sys.Link[level]
}

// findReference looks below the maker for the reference, in the named family first.
func (m *Model) findReference(maker int32, s Subject) (int32, bool) {
	if s.Reference == "" {
		return 0, false
	}
	if fam, ok := m.nodes.child(maker, s.Family); ok {
		if r, ok := m.nodes.child(fam, s.Reference); ok {
			return r, true
		}
	}
	r, ok := m.refOf[refName{maker, table.Fold(s.Reference)}]
	return r, ok
}

type refName struct {
	maker int32
	name  string
}

// cellLines adds the market at that time and the metal.
func (m *Model) cellLines(p *point, s Subject, metal string, asOf time.Time) {
	day := dayOf(asOf)
	q := table.QuarterOf(day)
	k := m.metal.find(metal)
	switch {
	case metal == "" && k < 0:
		p.tell(say.That("market.metal-unknown", metalArg("metal", m.metal.level[m.scheme.base])))
		k = m.scheme.base
	case k < 0:
		p.tell(say.That("market.no-metal", metalArg("metal", metal)))
		p.extra += sdMetal * sdMetal
		k = len(m.metal.level)
	}
	at := m.moment(k, q)
	p.extra += at.noise
	if q > m.last {
		p.tell(m.sinceLast(k, q, day))
	}
	if q < m.first {
		p.tell(say.That("market.earlier", quarter("quarter", m.first)))
		p.extra += algebra.FutureStep * float64(m.first-q) / float64(m.time.gap) / m.lambdaOf("quarter")
	}
	p.lines = append(p.lines, line{onTime, table.QuarterText(q), at.market})
	name := metal
	if name == "" && k < len(m.metal.level) {
		name = m.metal.level[k]
	}
	p.lines = append(p.lines, line{onMetal, orUnknown(name), at.metal})
}

// quarter is the months of a quarter.
func quarter(name string, q int) say.Arg {
	first := edtf.MonthOf(q/4, q%4*3+1)
	return say.Span(name, first, first+2)
}

// metalArg is a metal as sales name it.
func metalArg(name, metal string) say.Arg { return say.Term(name, "sold_metal", metal, "") }

// channelArg is venue and basis of sales, such as auction/hammer.
func channelArg(name, channel string) say.Arg { return say.Term(name, "channel", channel, channel) }

func orUnknown(s string) string {
	if s == "" {
		return "not known"
	}
	return s
}

func (m *Model) lambdaOf(name string) float64 {
	for _, c := range m.comps {
		if c.Name == name {
			return c.Lambda
		}
	}
	return math.Inf(1)
}

// dialLine adds the dial; one that is not known is the mean over the dials of the
// reference's sales.
func (m *Model) dialLine(p *point, s Subject) {
	if k := m.dial.find(s.Dial); k >= 0 || s.Dial != "" {
		if k < 0 {
			p.extra += 1 / m.lambdaOf("dial")
			p.tell(say.That("market.no-dial", say.Name("dial", s.Dial)))
		}
		p.lines = append(p.lines, line{onDial, orUnknown(s.Dial), []term{{m.dense[featDial] + m.dial.column(k), 1}}})
		return
	}
	m.averageLine(p, onDial, featDial, m.dial.count)
}

// averageLine stands for a feature that is not known where all sales give it: the
// mean over the sales, and the spread between levels as variance.
func (m *Model) averageLine(p *point, feature string, feat int, count []int) {
	var n, mean, sq float64
	for _, c := range count {
		n += float64(c)
	}
	var terms []term
	for k, c := range count {
		at := m.dense[feat] + k
		w := float64(c) / n
		terms = append(terms, term{at, w})
		mean += w * m.b[at]
		sq += w * m.b[at] * m.b[at]
	}
	p.extra += math.Max(0, sq-mean*mean)
	p.lines = append(p.lines, line{feature, "not known", terms})
}

func (m *Model) categoryLine(p *point, feature string, feat int, f *factor, value string) {
	k := f.find(value)
	if value == "" && k < 0 {
		m.averageLine(p, feature, feat, f.count)
		return
	}
	if k < 0 {
		p.extra += 1 / m.lambdaOf(feature)
		p.tell(say.That("market.no-level", say.Term("feature", "feature", feature, feature),
			say.Name("level", value)))
	}
	p.lines = append(p.lines, line{feature, orUnknown(value), []term{{m.dense[feat] + f.column(k), 1}}})
}

// fewMissing is how many sales must lack a feature before what they fetched says
// something about a subject that lacks it.
const fewMissing = 20

// patternOf says which of the missing features the sales can speak for.
func (m *Model) patternOf(s Subject) int {
	p := 0
	if s.Condition == nil && m.pattern[1]+m.pattern[3] >= fewMissing {
		p++
	}
	if s.Originality == nil && m.pattern[2]+m.pattern[3] >= fewMissing {
		p += 2
	}
	return p
}

// slopeLines adds condition, originality and year of making.
func (m *Model) slopeLines(p *point, s Subject) {
	pattern := m.patternOf(s)
	b := m.b[m.slope:]
	p.lines = append(p.lines, line{"records", "as recorded", []term{{m.dense[featPattern], 1}}})
	c := line{onCondition, "not known", m.halfPattern(pattern, 1)}
	if s.Condition != nil {
		x := single(*s.Condition - m.condMid)
		c.level = trimFloat(*s.Condition)
		c.terms = append(c.terms, term{m.slope + slopeCondition, x}, term{m.slope + slopeCurve, x * x})
		g := b[slopeCondition] + 2*b[slopeCurve]*x
		p.extra += g * g * s.ConditionSD * s.ConditionSD
	} else if pattern&1 == 0 {
		p.extra += b[slopeCondition] * b[slopeCondition] * m.condVar
		p.tell(noCondition)
	}
	o := line{onOriginality, "not known", m.halfPattern(pattern, 2)}
	if s.Originality != nil {
		o.level = trimFloat(*s.Originality)
		o.terms = append(o.terms, term{m.slope + slopeOriginality, single(*s.Originality - m.origMid)})
		p.extra += b[slopeOriginality] * b[slopeOriginality] * s.OriginalitySD * s.OriginalitySD
	} else if pattern&2 == 0 {
		p.extra += b[slopeOriginality] * b[slopeOriginality] * m.origVar
	}
	y := line{feature: onYear, level: "not known"}
	bin := m.bin(s.Year)
	y.terms = []term{{m.dense[featYearBin] + bin, 1}}
	if s.Year != 0 {
		y.level = trimFloat(s.Year)
		y.terms = append(y.terms, term{m.slope + slopeYear, single(m.yearX(s.Year))})
		g := b[slopeYear] / 10
		p.extra += g * g * s.YearSD * s.YearSD
	} else if m.yearless < fewMissing {
		g := b[slopeYear] / 10
		p.extra += g * g * m.yearVar
		if m.bins > 1 {
			y.terms = []term{{m.dense[featYearBin] + m.bin(m.yearMid), 1}}
		}
	}
	p.lines = append(p.lines, c, o, y)
}

// single is a value as sales hold it, so that like is set against like.
func single(v float64) float64 { return float64(float32(v)) }

// trimFloat shows two decimals at most.
func trimFloat(v float64) string {
	return strconv.FormatFloat(math.Round(100*v)/100, 'f', -1, 64)
}

// channelsFor lists venue and basis pairs that stand for a basis of value, best
// first.
func channelsFor(b Basis) []string {
	switch b {
	case Retail:
		return []string{"dealer/sold", "dealer/all-in", "dealer/", "/sold", "dealer/asking"}
	case Trade:
		return []string{"trade/sold", "trade/", "trade/all-in", "trade/asking"}
	case Private:
		return []string{"private/sold", "private/", "private/all-in", "private/asking"}
	case AuctionHammer:
		return []string{"auction/hammer", "/hammer"}
	case AuctionAllIn:
		return []string{"auction/all-in", "/all-in", "auction/sold", "auction/"}
	case Insurance:
		return []string{"dealer/asking", "dealer/sold", "dealer/", "/asking", "/sold"}
	}
	return nil
}

// channelLine adds venue and basis, and gives the channel's column.
func (m *Model) channelLine(p *point, s Subject, basis Basis) (int, error) {
	f := &m.channel
	if s.Venue != "" || s.SaleBasis != "" || basis == "" {
		name := channelName(s.Venue, s.SaleBasis)
		k := f.find(name)
		if k < 0 && name == "" {
			m.averageLine(p, onChannel, featChannel, f.count)
			return f.common(), nil
		}
		if k < 0 {
			k = f.like(s.Venue, s.SaleBasis)
		}
		if k < 0 {
			p.extra += 1 / m.lambdaOf("channel")
			p.tell(say.That("market.no-channel", channelArg("channel", name)))
		}
		p.lines = append(p.lines, line{onChannel, orUnknown(name), []term{{m.dense[featChannel] + f.column(k), 1}}})
		return f.column(k), nil
	}
	wanted := channelsFor(basis)
	if wanted == nil {
		return 0, fmt.Errorf("basis %q: want one of %v", basis, Bases())
	}
	for i, name := range wanted {
		if k := f.find(name); k >= 0 {
			if i > 0 {
				p.tell(say.That("market.other-channel", channelArg("wanted", wanted[0]), channelArg("from", name)))
				if basis != Insurance {
					p.extra += 0.25 / m.lambdaOf("channel")
				}
			}
			p.lines = append(p.lines, line{onChannel, f.level[k], []term{{m.dense[featChannel] + k, 1}}})
			return k, nil
		}
	}
	if len(f.level) == 1 && f.level[0] == "" {
		p.tell(say.That("market.channel-unknown"))
		p.lines = append(p.lines, line{onChannel, "not known", []term{{m.dense[featChannel], 1}}})
		return 0, nil
	}
	p.tell(say.That("market.no-basis"))
	p.extra += 1 / m.lambdaOf("channel")
	m.averageLine(p, onChannel, featChannel, f.count)
	return f.common(), nil
}

// like is the commonest channel that agrees with a venue or basis given alone.
func (f *factor) like(venue, basis string) int {
	best := -1
	for k, level := range f.level {
		v, b, _ := strings.Cut(table.Fold(level), "/")
		if (venue == "" || v == table.Fold(venue)) && (basis == "" || b == table.Fold(basis)) &&
			(best < 0 || f.count[k] > f.count[best]) {
			best = k
		}
	}
	return best
}

// scaleFor sets the residual scale.
func (m *Model) scaleFor(p *point, s Subject, channel int) {
	class := m.class[m.patternOf(s)*m.channel.width()+channel]
	log, v := m.scaleMid, m.scaleVar+m.scaleMidVar
	n := p.node
	if m.nodes.level[n] == algebra.LevelVariant {
		n = m.nodes.parent[n]
	}
	if m.nodes.level[n] == algebra.LevelReference {
		log, v = m.logScale[n], 1/math.Max(m.scaleN[n], 1e-9)
		drawn := math.Min(1, v/m.scaleVar) // how far it follows the mean
		v += drawn * drawn * m.scaleMidVar
	}
	p.scale, p.logVar = math.Exp(log+class), v
}

package market

import (
	"fmt"
	"math"
	"midcase/market/table"
	"sort"

	"midcase/money"
)

// The categorical features of a sale, in the order of their raw columns.
const (
	featCell         = iota // metal and quarter together
	featDial                //
	featCompleteness        //
	featChannel             // venue with basis
	featCountry             //
	featYearBin             // years of making, a few at a time
	featPattern             // which of condition and originality are not given
	featCount
)

// The slopes of a sale.
const (
	slopeCondition = iota
	slopeCurve     // condition squared
	slopeOriginality
	slopeYear
	slopeCount
)

// obs is a sale as the fit reads it: 40 bytes, in the order of the nodes.
type obs struct {
	y     float64 // log price, less the centre
	num   [3]float32
	leaf  int32
	idx   [featCount]uint16 // raw columns
	class uint16            // of scale: pattern and channel
}

// numerics gives the slopes' values.
func (o *obs) slopes() (c, c2, orig, year float64) {
	c = float64(o.num[0])
	return c, c * c, float64(o.num[1]), float64(o.num[2])
}

// factor is a categorical feature: its levels by canonical order. Level 0 is "not
// given" where such sales exist.
type factor struct {
	level []string // as spelled
	count []int
	index map[string]int // by folded spelling
}

func (f *factor) find(s string) int {
	if k, ok := f.index[table.Fold(s)]; ok {
		return k
	}
	return -1
}

// scheme is how a sale or a subject becomes columns.
type scheme struct {
	currency money.Currency
	centre   float64 // of log price
	first    int     // first quarter of data
	last     int     // last quarter of data
	quarters int     // columns in time, forecast included
	anchor   int     // column at which the walks are fixed
	base     int     // the commonest metal
	gap      []int   // quarters between the points of the general walk and of each metal's

	metal, dial, completeness, channel, country factor
	binFirst, binWidth, bins                    int // years of making; bin 0 is "not given"
	off                                         [featCount]int
	raw                                         int // raw columns of the factors
	condMid, origMid, yearMid                   float64
	condVar, origVar, yearVar                   float64 // of the sales that give them
	pattern                                     [4]int  // sales by pattern

	nodes nodeIndex
}

// forecastQuarters is how far ahead of the last sale the random walks are carried.
const forecastQuarters = 4

// maxLevels bounds the levels of a crossed factor; rarer ones share a level.
const maxLevels = 60

// design is the data of a fit.
type design struct {
	scheme
	obs []obs
	row []int32 // of the table
}

// prepared is one usable row before sorting.
type prepared struct {
	row int32
	y   float64
}

// newDesign turns the table into sorted, coded sales. The order of the rows in the
// table has no influence on it.
func newDesign(t *table.Table, opt Options) (*design, []table.RowError, error) {
	d := &design{}
	d.currency = opt.Currency
	if d.currency == "" {
		d.currency = commonCurrency(t)
	}
	rows, bad := usable(t, opt, d.currency)
	if len(rows) == 0 {
		return nil, bad, leftOut(t, opt, d.currency, bad)
	}
	d.centre = medianOf(rows)
	leaf := d.buildNodes(t, rows)
	d.buildScheme(t, rows)
	d.fill(t, rows, leaf)
	return d, bad, nil
}

// commonCurrency is the one of most sales.
func commonCurrency(t *table.Table) money.Currency {
	n := make([]int, len(t.Currency.Spelling))
	for _, c := range t.Currency.Code {
		n[c]++
	}
	best := 0
	for c := range n {
		if n[c] > n[best] || (n[c] == n[best] && n[c] > 0 && t.Currency.Spelling[c] < t.Currency.Spelling[best]) {
			best = c
		}
	}
	return money.Currency(t.Currency.Spelling[best])
}

// lastDay is the last day whose sales count.
func lastDay(opt Options) int32 {
	if opt.AsOf.IsZero() {
		return math.MaxInt32
	}
	u := opt.AsOf.UTC()
	return table.DayNumber(u.Year(), int(u.Month()), u.Day())
}

// usable converts prices and leaves out what cannot be used, with the reason.
func usable(t *table.Table, opt Options, to money.Currency) ([]prepared, []table.RowError) {
	last := lastDay(opt)
	var bad []table.RowError
	rows := make([]prepared, 0, t.Len())
	code := make([]bool, len(t.Currency.Spelling)) // is the model's own
	for c, s := range t.Currency.Spelling {
		code[c] = money.Currency(s) == to
	}
	for i := range t.Day {
		if t.Day[i] > last {
			continue
		}
		y := math.Log(t.Price(i))
		if !code[t.Currency.Code[i]] {
			f, err := opt.Rates.factor(money.Currency(t.Currency.At(i)), to, t.Day[i])
			if err != nil {
				bad = append(bad, table.RowError{Line: int(t.Line[i]), Field: "currency", Found: t.Currency.At(i),
					Want: fmt.Sprintf("a rate to %s (%v)", to, err)})
				continue
			}
			y += math.Log(f)
		}
		rows = append(rows, prepared{int32(i), y})
	}
	return rows, bad
}

// medianOf is the median to a thousandth, by counting, so that it takes one pass and
// no order of the rows shows. Log prices lie well within ±64.
func medianOf(rows []prepared) float64 {
	const bins, span = 1 << 17, 64
	var count [bins + 1]int32
	for _, r := range rows {
		k := int((r.y + span) * (bins / (2 * span)))
		count[min(max(k, 0), bins)]++
	}
	left := len(rows) / 2
	for k, c := range count {
		if left -= int(c); left < 0 {
			return (float64(k)+0.5)*(2*span)/bins - span
		}
	}
	return 0
}

// newFactor lists the levels that the rows have, in alphabetical order, rare ones
// beyond maxLevels left out, each in its commonest spelling. code gives each spelling's level, −1 for a rare one.
func newFactor(spelling []string, count []int) (f factor, code []int) {
	f.index = map[string]int{}
	type level struct {
		key, text string
		n, shown  int // sales, and those of the spelling to show
	}
	byKey := map[string]*level{}
	for c, s := range spelling {
		if count[c] == 0 {
			continue
		}
		k := table.Fold(s)
		l := byKey[k]
		if l == nil {
			l = &level{key: k, text: s, shown: count[c]}
			byKey[k] = l
		}
		l.n += count[c]
		if count[c] > l.shown || (count[c] == l.shown && s < l.text) {
			l.text, l.shown = s, count[c]
		}
	}
	list := make([]*level, 0, len(byKey))
	for _, l := range byKey {
		list = append(list, l)
	}
	sort.Slice(list, func(i, j int) bool {
		if list[i].n != list[j].n {
			return list[i].n > list[j].n
		}
		return list[i].key < list[j].key
	})
	list = list[:min(len(list), maxLevels)]
	sort.Slice(list, func(i, j int) bool { return list[i].key < list[j].key })
	for k, l := range list {
		f.index[l.key] = k
		f.level, f.count = append(f.level, l.text), append(f.count, l.n)
	}
	code = make([]int, len(spelling))
	for c, s := range spelling {
		code[c] = f.find(s)
	}
	return f, code
}

func countCodes(code []uint32, n int, rows []prepared) []int {
	count := make([]int, n)
	for _, r := range rows {
		count[code[r.row]]++
	}
	return count
}

// quarterTable maps days to quarters by a table, since there are few days.
type quarterTable struct {
	low int32
	q   []int32
}

func newQuarterTable(t *table.Table, rows []prepared) quarterTable {
	low, high := t.Day[rows[0].row], t.Day[rows[0].row]
	for _, r := range rows {
		low, high = min(low, t.Day[r.row]), max(high, t.Day[r.row])
	}
	q := quarterTable{low, make([]int32, high-low+1)}
	for i := range q.q {
		q.q[i] = int32(table.QuarterOf(low + int32(i)))
	}
	return q
}

func (q quarterTable) of(day int32) int { return int(q.q[day-q.low]) }
func (q quarterTable) first() int       { return int(q.q[0]) }
func (q quarterTable) last() int        { return int(q.q[len(q.q)-1]) }

package market

import (
	"math"
	"midcase/market/table"
	"slices"
)

// buildScheme finds the levels, ranges and middles that the columns need.
func (d *design) buildScheme(t *table.Table, rows []prepared) {
	q := newQuarterTable(t, rows)
	d.span(t, rows, q)
	count := func(w *table.Words) []int { return countCodes(w.Code, len(w.Spelling), rows) }
	d.metal, _ = newFactor(t.Metal.Spelling, count(&t.Metal))
	d.metal.limit(maxMetals)
	d.setGaps(len(rows))
	d.dial, _ = newFactor(t.Dial.Spelling, count(&t.Dial))
	d.completeness, _ = newFactor(t.Completeness.Spelling, count(&t.Completeness))
	d.country, _ = newFactor(t.Country.Spelling, count(&t.Country))
	d.channel = channels(t, rows)
	d.yearBins(t, rows)
	d.middles(t, rows)
	d.setOffsets()
}

// setOffsets places the raw columns of the features one after the other.
func (d *scheme) setOffsets() {
	off := 0
	for k, n := range [featCount]int{
		featCell: d.metal.width() * d.quarters, featDial: d.dial.width(), featCompleteness: d.completeness.width(),
		featChannel: d.channel.width(), featCountry: d.country.width(), featYearBin: d.bins, featPattern: 4,
	} {
		d.off[k] = off
		off += n
	}
	d.raw = off
}

// Bounds that keep the dense part of the system small: quarters of history, metals
// with a walk, and points of all walks.
const (
	maxQuarters = 160
	maxMetals   = 12
	maxPoints   = 480
)

// span finds the quarters of the model. A few mistyped dates must not stretch it:
// where one sale in a thousand lies more than five years apart from the others, it
// is counted at the nearest end.
func (d *design) span(t *table.Table, rows []prepared, q quarterTable) {
	count := make([]int, q.last()-q.first()+1)
	for _, r := range rows {
		count[q.of(t.Day[r.row])-q.first()]++
	}
	spare := len(rows) / 2000
	low, high := 0, len(count)-1
	for n := count[low]; n <= spare && low < high; n += count[low] {
		low++
	}
	for n := count[high]; n <= spare && low < high; n += count[high] {
		high--
	}
	d.first, d.last = q.first(), q.last()
	if low > 20 {
		d.first = q.first() + low
	}
	if len(count)-1-high > 20 {
		d.last = q.first() + high
	}
	d.first = max(d.first, d.last-maxQuarters+1)
	d.quarters = d.last - d.first + 1 + forecastQuarters
	d.anchor = (d.last - d.first) / 2
}

// column of a quarter in time; what lies outside is put at the nearest end.
func (s *scheme) column(q int) int { return min(max(q-s.first, 0), s.quarters-1) }

// width is the number of columns: the levels and one for all others.
func (f *factor) width() int { return len(f.level) + 1 }

// column is where a level is put; unknown ones share the last column.
func (f *factor) column(k int) int {
	if k < 0 {
		return len(f.level)
	}
	return k
}

// limit keeps the n commonest levels.
func (f *factor) limit(n int) {
	if len(f.level) <= n {
		return
	}
	keep := make([]int, len(f.level))
	for k := range keep {
		keep[k] = k
	}
	slices.SortStableFunc(keep, func(a, b int) int { return f.count[b] - f.count[a] })
	keep = keep[:n]
	slices.Sort(keep)
	g := factor{index: map[string]int{}}
	for k, old := range keep {
		g.level, g.count = append(g.level, f.level[old]), append(g.count, f.count[old])
		g.index[table.Fold(f.level[old])] = k
	}
	*f = g
}

// common is the commonest named level, or the commonest at all.
func (f *factor) common() int {
	best := -1
	for k, n := range f.count {
		if f.level[k] != "" && (best < 0 || n > f.count[best]) {
			best = k
		}
	}
	return max(best, 0)
}

func channelName(venue, basis string) string {
	if venue == "" && basis == "" {
		return ""
	}
	return venue + "/" + basis
}

func channels(t *table.Table, rows []prepared) factor {
	n := len(t.Basis.Spelling)
	count := make([]int, len(t.Venue.Spelling)*n)
	for _, r := range rows {
		count[int(t.Venue.Code[r.row])*n+int(t.Basis.Code[r.row])]++
	}
	names := make([]string, len(count))
	for k := range names {
		if count[k] > 0 {
			names[k] = channelName(t.Venue.Spelling[k/n], t.Basis.Spelling[k%n])
		}
	}
	f, _ := newFactor(names, count)
	return f
}

func (d *design) yearBins(t *table.Table, rows []prepared) {
	low, high := math.MaxInt, math.MinInt
	var years []int16
	for _, r := range rows {
		if y := t.Year[r.row]; y != 0 {
			years = append(years, y)
		}
	}
	d.bins, d.binWidth = 1, 1
	if len(years) == 0 {
		return
	}
	slices.Sort(years)
	// A mistyped year must not stretch the range.
	low, high = int(years[len(years)/1000]), int(years[len(years)-1-len(years)/1000])
	d.binFirst = low
	d.binWidth = max(1, (high-low+1+23)/24)
	d.bins = 1 + (high-low)/d.binWidth + 1
}

// bin is the column of a year of making within its feature.
func (s *scheme) bin(year float64) int {
	if year == 0 || s.bins == 1 {
		return 0
	}
	k := int(math.Floor((year - float64(s.binFirst)) / float64(s.binWidth)))
	return 1 + min(max(k, 0), s.bins-2)
}

// yearX is the slope value of a year, kept to the range of the bins.
func (s *scheme) yearX(year float64) float64 {
	if year == 0 || s.bins == 1 {
		return 0
	}
	low, high := float64(s.binFirst), float64(s.binFirst+s.binWidth*(s.bins-1))
	return (math.Min(math.Max(year, low), high) - s.yearMid) / 10
}

func (d *design) middles(t *table.Table, rows []prepared) {
	var c, o, y moments
	for _, r := range rows {
		k := r.row
		p := 0
		if v := float64(t.Cond[k]); v == v {
			c.add(math.Round(v * milli))
		} else {
			p++
		}
		if v := float64(t.Orig[k]); v == v {
			o.add(math.Round(v * milli))
		} else {
			p += 2
		}
		if v := t.Year[k]; v != 0 {
			y.add(float64(v))
		}
		d.pattern[p]++
	}
	d.condMid, d.condVar = c.mean()/milli, c.variance()/(milli*milli)
	d.origMid, d.origVar = o.mean()/milli, o.variance()/(milli*milli)
	d.yearMid, d.yearVar = y.mean(), y.variance()
	// Where no sale says, a subject is set against a usual one.
	if c.n == 0 {
		d.condMid = usualCondition
	}
	if o.n == 0 {
		d.origMid = usualOriginality
	}
}

// Grades of a usual watch at sale: common practice, no published source.
const (
	usualCondition   = 7
	usualOriginality = 0.9
)

// milli turns grades into whole numbers, whose sums are exact in any order.
const milli = 1000

type moments struct{ n, sum, sq float64 }

func (m *moments) add(v float64) { m.n++; m.sum += v; m.sq += v * v }
func (m *moments) mean() float64 {
	if m.n == 0 {
		return 0
	}
	return m.sum / m.n
}
func (m *moments) variance() float64 {
	if m.n < 2 {
		return 0
	}
	return math.Max(0, m.sq/m.n-m.mean()*m.mean())
}

// fill codes the rows and puts them in canonical order: by leaf, day and content.
func (d *design) fill(t *table.Table, rows []prepared, leaf []int32) {
	n := len(rows)
	start := make([]int, len(d.nodes.name)+1)
	for _, l := range leaf {
		start[l+1]++
	}
	for l := range d.nodes.name {
		start[l+1] += start[l]
	}
	next := slices.Clone(start)
	type keyed struct {
		key uint64
		at  int32
	}
	sorted := make([]keyed, n)
	for i, l := range leaf {
		k := rows[i].row
		sorted[next[l]] = keyed{uint64(uint32(t.Day[k])+1<<31)<<32 | t.ID[k]>>32, int32(i)}
		next[l]++
	}
	d.obs, d.row = make([]obs, n), make([]int32, n)
	code := d.coder(t, rows)
	for l := range d.nodes.name {
		part := sorted[start[l]:start[l+1]]
		slices.SortFunc(part, func(a, b keyed) int {
			if a.key != b.key {
				if a.key < b.key {
					return -1
				}
				return 1
			}
			if t.ID[rows[a.at].row] < t.ID[rows[b.at].row] {
				return -1
			}
			return 1
		})
		for j, s := range part {
			at := start[l] + j
			d.row[at] = rows[s.at].row
			d.obs[at] = code(rows[s.at], int32(l))
		}
	}
}

// coder returns the function that codes one row.
func (d *design) coder(t *table.Table, rows []prepared) func(prepared, int32) obs {
	codes := func(f *factor, w *table.Words) []uint16 {
		out := make([]uint16, len(w.Spelling))
		for c, s := range w.Spelling {
			out[c] = uint16(f.column(f.find(s)))
		}
		return out
	}
	metal, dial := codes(&d.metal, &t.Metal), codes(&d.dial, &t.Dial)
	compl, country := codes(&d.completeness, &t.Completeness), codes(&d.country, &t.Country)
	nb := len(t.Basis.Spelling)
	channel := make([]uint16, len(t.Venue.Spelling)*nb)
	for k := range channel {
		channel[k] = uint16(d.channel.column(d.channel.find(channelName(t.Venue.Spelling[k/nb],
			t.Basis.Spelling[k%nb]))))
	}
	q := newQuarterTable(t, rows)
	none := uint16(d.metal.column(d.metal.find("")))
	return func(r prepared, leaf int32) obs {
		k := r.row
		o := obs{y: r.y - d.centre, leaf: leaf}
		m := metal[t.Metal.Code[k]]
		if m == none {
			if s := d.nodes.metal[d.nodes.parent[leaf]]; s != "" {
				m = uint16(d.metal.column(d.metal.find(s)))
			}
		}
		p := 0
		if v := float64(t.Cond[k]); v == v {
			o.num[0] = float32(v - d.condMid)
		} else {
			p++
		}
		if v := float64(t.Orig[k]); v == v {
			o.num[1] = float32(v - d.origMid)
		} else {
			p += 2
		}
		o.num[2] = float32(d.yearX(float64(t.Year[k])))
		ch := channel[int(t.Venue.Code[k])*nb+int(t.Basis.Code[k])]
		o.idx = [featCount]uint16{
			featCell: uint16(d.off[featCell] + int(m)*d.quarters +
				min(d.column(q.of(t.Day[k])), d.last-d.first)),
			featDial:         uint16(d.off[featDial]) + dial[t.Dial.Code[k]],
			featCompleteness: uint16(d.off[featCompleteness]) + compl[t.Completeness.Code[k]],
			featChannel:      uint16(d.off[featChannel]) + ch, featCountry: uint16(d.off[featCountry]) +
				country[t.Country.Code[k]],
			featYearBin: uint16(d.off[featYearBin] + d.bin(float64(t.Year[k]))),
			featPattern: uint16(d.off[featPattern] + p),
		}
		o.class = uint16(p*d.channel.width()) + ch
		return o
	}
}

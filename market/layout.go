package market

import "midcase/market/algebra"

// layout maps the raw columns of sales to the coefficients β.
type layout struct {
	p        int
	base     int        // the commonest metal, against which the others are measured
	time     timeGrid   // of the general walk, which comes first
	grid     []timeGrid // of each metal's walk
	walkOff  []int      // of each metal's walk, −1 without one
	constOff []int      // of each metal's constant, −1 without one
	drift    int
	anchorAt int // quarter at which the walks are fixed
	dense    [featCount]int
	slope    int
	t        int
	m        int
	featOff  [featCount]int
	featLen  [featCount]int
}

func newLayout(s *scheme) layout {
	l := layout{t: s.quarters, m: s.metal.width(), base: s.base, time: newTimeGrid(s, s.gap[0])}
	l.drift, l.anchorAt = l.time.n, s.anchor
	l.p = l.drift + 1
	for k := 0; k < l.m; k++ {
		w, c := -1, -1
		var g timeGrid
		switch {
		case k == l.base:
		case k < len(s.metal.level) && s.metal.level[k] != "":
			g = newTimeGrid(s, s.gap[1+k])
			w = l.p
			l.p += g.n
		default:
			c = l.p
			l.p++
		}
		l.walkOff, l.constOff, l.grid = append(l.walkOff, w), append(l.constOff, c), append(l.grid, g)
	}
	widths := [featCount]int{l.m * l.t, s.dial.width(), s.completeness.width(), s.channel.width(), s.country.width(),
		s.bins, 4}
	for k := range widths {
		l.featOff[k], l.featLen[k] = s.off[k], widths[k]
		if k == featCell {
			continue
		}
		l.dense[k] = l.p
		l.p += widths[k]
	}
	l.slope = l.p
	l.p += slopeCount
	return l
}

// term is one coefficient with its weight.
type term struct {
	at int
	x  float64
}

// expand gives the coefficients of a raw column.
func (l *layout) expand(raw int, out []term) []term {
	f := featCell
	for f+1 < featCount && raw >= l.featOff[f+1] {
		f++
	}
	if f != featCell {
		return append(out, term{l.dense[f] + raw - l.featOff[f], 1})
	}
	m, q := raw/l.t, raw%l.t
	return l.metalTerms(m, q, l.timeTerms(q, out))
}

// timeTerms are the coefficients of the general market in a quarter.
func (l *layout) timeTerms(q int, out []term) []term {
	return append(l.time.terms(0, q, out), term{l.drift, float64(q-l.anchorAt) / 4})
}

// metalTerms are those of a metal against the commonest.
func (l *layout) metalTerms(m, q int, out []term) []term {
	if w := l.walkOff[m]; w >= 0 {
		return l.grid[m].terms(w, q, out)
	}
	if c := l.constOff[m]; c >= 0 {
		return append(out, term{c, 1})
	}
	return out
}

// effects gives the contribution of each raw column.
func (l *layout) effects(b []float64, raw int) []float64 {
	out := make([]float64, raw)
	var buf [5]term
	for r := range out {
		for _, t := range l.expand(r, buf[:0]) {
			out[r] += t.x * b[t.at]
		}
	}
	return out
}

// collapse turns a gradient over raw columns and slopes into one over β.
func (l *layout) collapse(raw []float64, slope [slopeCount]float64) []float64 {
	out := make([]float64, l.p)
	var buf [5]term
	for r, g := range raw {
		if g == 0 {
			continue
		}
		for _, t := range l.expand(r, buf[:0]) {
			out[t.at] += t.x * g
		}
	}
	copy(out[l.slope:], slope[:])
	return out
}

// Prior standard deviations of what is not given a variance of its own: our choice,
// wide against what watches show, and no wider, since with sales that do not tell
// they are what a value's range rests on.
const (
	sdMarket    = 30   // level of log price
	sdMetal     = 0.7  // log price of a metal against the commonest
	sdDrift     = 0.05 // log price a year
	sdCondition = 0.15 // log price a grade
	sdCurve     = 0.05
	sdOriginal  = 1   // log price from all replaced to all original
	sdYear      = 0.2 // log price a decade
	sdMissing   = 0.1
)

func precision(sd float64) float64 { return 1 / (sd * sd) }

// components lists the variances of β.
func (l *layout) components(s *scheme) []algebra.Component {
	fixed := func(name string, off, n int, lambda float64) algebra.Component {
		return algebra.Component{Name: name, Off: off, N: n, Rank: n, Lambda: lambda, Fixed: true}
	}
	free := func(name string, off, n int, s0 float64) algebra.Component {
		return algebra.Component{Name: name, Off: off, N: n, Rank: n, Lambda: precision(s0), A: 1, S0: s0}
	}
	seen := s.last - s.first + 1
	out := []algebra.Component{
		l.time.walk("quarter", 0, seen, algebra.MarketCarry, 0.02, 1),
		fixed("anchor", l.time.near(l.anchorAt), 1, 1e6),
		fixed("drift", l.drift, 1, precision(sdDrift)),
	}
	for m := range l.walkOff {
		if off := l.walkOff[m]; off >= 0 {
			g := l.grid[m]
			out = append(out, g.walk("metal quarter "+s.metal.level[m], off, seen, algebra.PremiumCarry, 0.01, 2),
				fixed("metal", off+g.near(l.anchorAt), 1, precision(sdMetal)))
		}
		if c := l.constOff[m]; c >= 0 {
			out = append(out, fixed("metal", c, 1, precision(sdMetal)))
		}
	}
	out = append(out,
		free("dial", l.dense[featDial], l.featLen[featDial], 0.1),
		free("completeness", l.dense[featCompleteness], l.featLen[featCompleteness], 0.15),
		free("channel", l.dense[featChannel], l.featLen[featChannel], 0.15),
		free("country", l.dense[featCountry], l.featLen[featCountry], 0.05),
		fixed("year missing", l.dense[featYearBin], 1, precision(sdMissing)),
		fixed("pattern", l.dense[featPattern], 4, precision(sdMissing)),
		fixed("condition", l.slope+slopeCondition, 1, precision(sdCondition)),
		fixed("curve", l.slope+slopeCurve, 1, precision(sdCurve)),
		fixed("originality", l.slope+slopeOriginality, 1, precision(sdOriginal)),
		fixed("year", l.slope+slopeYear, 1, precision(sdYear)))
	if n := s.bins - 1; n > 0 {
		off := l.dense[featYearBin] + 1
		out = append(out, algebra.Component{Name: "year", Off: off, N: n, K: algebra.Walk(n, nil, 0), Rank: n - 1,
			Lambda: precision(0.006), A: 2, S0: 0.003},
			fixed("year anchor", off+n/2, 1, 1e6))
	}
	return out
}

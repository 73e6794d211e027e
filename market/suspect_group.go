package market

import (
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"

	"midcase/market/table"
	"midcase/money"
	"midcase/say"
)

// Mistakes smaller than the scatter of prices cannot be seen in one sale, but in a group
// of one source: whether a share of its prices lies off by the same step. Chances
// beforehand: that a group is so, and that a sale outside of one is. Our choice.
const (
	groupSales  = 4
	groupLeast  = 3 // of them, that look so
	groupWrong  = 0.05
	groupSpread = 0.05 // standard deviation by which sources differ in truth, log price
	singleWrong = 0.005
	singleShown = 0.3  // chance from which a sale is listed where only its level speaks
	leastStep   = 0.04 // in logs
)

// shifted is a sale that may be off by a step.
type shifted struct {
	at    int
	shift float64
}

// channels looks for hammer prices noted as all-in and the reverse.
func (d *doubts) channels() {
	m := d.m
	hammer, all := m.channel.find("auction/hammer"), m.channel.find("auction/all-in")
	if all < 0 && hammer < 0 {
		return
	}
	step := usualPremium
	if all >= 0 && hammer >= 0 {
		at := m.dense[featChannel]
		step = math.Max(m.b[at+all]-m.b[at+hammer], leastPremium)
	}
	for _, k := range []struct {
		channel int
		shift   float64
	}{{all, -step}, {hammer, step}} {
		if k.channel < 0 {
			continue
		}
		var rows []shifted
		for i := range m.obs {
			if int(m.obs[i].idx[featChannel])-m.off[featChannel] == k.channel {
				rows = append(rows, shifted{i, k.shift})
			}
		}
		d.groups(rows, func(u float64, g *group) say.Statement {
			switch {
			case g == nil && k.shift < 0:
				return say.That("suspect.without-premium")
			case g == nil:
				return say.That("suspect.with-premium")
			case k.shift < 0:
				return say.That("suspect.source-without-premium", say.Count("n", g.wrong), say.Count("of", len(g.rows)),
					say.Name("source", g.name))
			}
			return say.That("suspect.source-with-premium", say.Count("n", g.wrong), say.Count("of", len(g.rows)),
				say.Name("source", g.name))
		})
	}
}

// The log of a buyer's premium where the sales do not show it, and the least that can be
// told from nothing: common practice, no published source.
const (
	usualPremium = 0.22
	leastPremium = 0.1
)

// currencies looks for sources whose prices were in another currency than noted.
func (d *doubts) currencies() {
	if d.rates == nil {
		return
	}
	by := map[string][]shifted{}
	for i := range d.m.obs {
		noted := d.m.table.Currency.At(int(d.m.row[i]))
		for c, shift := range d.otherCurrencies(i) {
			if math.Abs(shift) >= leastStep {
				by[noted+" "+c] = append(by[noted+" "+c], shifted{i, shift})
			}
		}
	}
	for _, pair := range slices.Sorted(maps.Keys(by)) {
		noted, c, _ := strings.Cut(pair, " ")
		d.groups(by[pair], func(u float64, g *group) say.Statement {
			if g == nil {
				return say.Statement{}
			}
			return say.That("suspect.source-currency", say.Count("n", g.wrong), say.Count("of", len(g.rows)),
				say.Name("source", g.name), say.Name("noted", noted), say.Name("currency", c))
		})
	}
}

// group is the sales of one source.
type group struct {
	name  string
	rows  []shifted
	wrong int // of them, that look so
}

// groups looks at the sources of sales, at each year of a source and at each day; then at
// each sale that is left by itself.
func (d *doubts) groups(rows []shifted, reason func(u float64, g *group) say.Statement) {
	done := map[int]bool{}
	for _, key := range []func(int) string{d.source, d.sourceAndYear, d.sourceAndDay} {
		by := map[string]*group{}
		for _, r := range rows {
			if name := key(int(d.m.row[r.at])); name != "" && !done[r.at] {
				if by[name] == nil {
					by[name] = &group{name: name}
				}
				by[name].rows = append(by[name].rows, r)
			}
		}
		for _, name := range slices.Sorted(maps.Keys(by)) {
			g := by[name]
			chance, each := d.judge(g.rows)
			if len(g.rows) < groupSales || chance < flagged {
				continue
			}
			for _, p := range each {
				if p >= flagged {
					g.wrong++
				}
			}
			if g.wrong < groupLeast {
				continue
			}
			for k, r := range g.rows {
				if done[r.at] = true; each[k] >= flagged {
					d.suspect(r.at, d.u[r.at], chance*each[k], reason(d.u[r.at], g))
				}
			}
		}
	}
	for _, r := range rows {
		say := reason(d.u[r.at], nil)
		if done[r.at] || say.IsZero() {
			continue
		}
		s := d.m.scaleOf(&d.m.obs[r.at])
		off := singleWrong * d.density(d.u[r.at]-r.shift, s)
		if p := off / (off + (1-singleWrong)*d.density(d.u[r.at], s)); p >= singleShown {
			d.suspect(r.at, d.u[r.at], p, say)
		}
	}
}

// judge gives the chance that some of a group are off by their step, and that of each.
func (d *doubts) judge(rows []shifted) (chance float64, each []float64) {
	shares := []float64{0, 0.25, 0.5, 0.75, 0.97}
	level := []float64{-2, -1, 0, 1, 2}
	weight := []float64{0.054, 0.242, 0.399, 0.242, 0.054}
	l := make([][]float64, len(shares))
	best := math.Inf(-1)
	for k, share := range shares {
		l[k] = make([]float64, len(level))
		for j, g := range level {
			sum := math.Log(weight[j])
			for _, r := range rows {
				sum += math.Log(d.mixed(r, share, g*groupSpread))
			}
			prior := groupWrong / float64(len(shares)-1)
			if share == 0 {
				prior = 1 - groupWrong
			}
			l[k][j] = sum + math.Log(prior)
			best = math.Max(best, l[k][j])
		}
	}
	each = make([]float64, len(rows))
	var all, wrong float64
	for k, share := range shares {
		for j, g := range level {
			w := math.Exp(l[k][j] - best)
			all += w
			if share == 0 {
				continue
			}
			wrong += w
			for i, r := range rows {
				s := d.m.scaleOf(&d.m.obs[r.at])
				each[i] += w * share * d.density(d.u[r.at]-r.shift-g*groupSpread, s) / d.mixed(r, share, g*groupSpread)
			}
		}
	}
	for i := range each {
		each[i] /= math.Max(wrong, 1e-300)
	}
	return wrong / all, each
}

// mixed is the density of a sale of which a share is off.
func (d *doubts) mixed(r shifted, share, level float64) float64 {
	s, u := d.m.scaleOf(&d.m.obs[r.at]), d.u[r.at]-level
	return (1-share)*d.density(u, s) + share*d.density(u-r.shift, s) + 1e-12
}

// sourceOf is a source without its figures: the house, the list.
func sourceOf(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) }), " ")
}

func (d *doubts) source(row int) string { return sourceOf(d.m.table.Source(row)) }

func (d *doubts) sourceAndYear(row int) string { return sourceAndYear(d.m.table.Source(row)) }

// sourceAndDay is a source on one day, such as an auction.
func (d *doubts) sourceAndDay(row int) string {
	if !d.m.table.IsDay(row) {
		return ""
	}
	return strings.TrimSpace(d.source(row) + " " + table.DateText(d.m.table.Day[row], table.DayDate))
}

// sourceAndYear is a source with the figures that name a year.
func sourceAndYear(s string) string {
	var out []string
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		if y := figureOf(f); y == 0 || y >= 1900 && y < 2100 {
			out = append(out, f)
		}
	}
	return strings.Join(out, " ")
}

// currencies lists those that have rates.
func (r *Rates) currencies() []money.Currency {
	return append(slices.Sorted(maps.Keys(r.rate)), r.base)
}

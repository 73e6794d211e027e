package market

import (
	"cmp"
	"math"
	"slices"

	"midcase/market/table"
	"midcase/say"
)

// Suspects lists the sales of the model that it finds hard to believe, the oddest
// first, with what may have gone wrong. Nothing is dropped: such sales weigh little
// in the fit, and the dealer confirms or corrects them.
func (m *Model) Suspects() []Suspect {
	type odd struct {
		s Suspect
		z float64
	}
	eff := m.effects(m.b, m.raw)
	b := m.b[m.slope:]
	auction := m.channelSteps()
	var found []odd
	for i := range m.obs {
		o := &m.obs[i]
		c, c2, orig, year := o.slopes()
		u := o.y - m.theta[o.leaf] - b[0]*c - b[1]*c2 - b[2]*orig - b[3]*year
		for _, k := range o.idx {
			u -= eff[k]
		}
		scale := m.scaleOf(o)
		z := u / scale
		if math.Abs(z) < oddResidual || math.Abs(u) < 0.15 {
			continue
		}
		// A reference with a few sales only says little about what is odd.
		if v := m.sys.Variance(m.sys.PathOf(o.leaf), m.columns(o)); math.Abs(u) < 4*math.Sqrt(scale*scale+v) {
			continue
		}
		row := int(m.row[i])
		s := Suspect{Line: int(m.table.Line[row]), ID: table.SaleID(m.table.ID[row]),
			Expected: math.Exp(m.centre + o.y - u), Found: math.Exp(m.centre + o.y)}
		s.Reason = m.oddReason(o, u, scale, auction)
		found = append(found, odd{s, z})
	}
	slices.SortStableFunc(found, func(a, b odd) int {
		return cmp.Or(cmp.Compare(math.Abs(b.z), math.Abs(a.z)), cmp.Compare(a.s.ID, b.s.ID))
	})
	out := make([]Suspect, 0, len(found))
	for _, f := range found {
		out = append(out, f.s)
	}
	return out
}

// oddResidual is the standardised residual from which a sale is looked at. With t
// errors of four degrees of freedom about 1 sale in 500 lies beyond it by chance.
const oddResidual = 7

// channelSteps are the columns of hammer and all-in prices at auction, −1 where
// there are none.
func (m *Model) channelSteps() [2]int {
	return [2]int{m.channel.find("auction/hammer"), m.channel.find("auction/all-in")}
}

// oddReason names the likeliest mistake: the one after whose correction the sale
// fits.
func (m *Model) oddReason(o *obs, u, scale float64, auction [2]int) say.Statement {
	near := func(shift float64) bool { return math.Abs(u-shift) < math.Max(3*scale, 0.05) }
	switch {
	case near(math.Ln10):
		return say.That("suspect.ten-high", times("times", u))
	case near(-math.Ln10):
		return say.That("suspect.ten-low", times("times", u))
	case near(math.Log(100)) || near(-math.Log(100)):
		return say.That("suspect.hundred", times("times", u))
	case near(math.Log(1000)) || near(-math.Log(1000)):
		return say.That("suspect.thousand", times("times", u))
	}
	ch := int(o.idx[featChannel]) - m.off[featChannel]
	if auction[0] >= 0 && auction[1] >= 0 {
		step := m.b[m.dense[featChannel]+auction[1]] - m.b[m.dense[featChannel]+auction[0]]
		if ch == auction[0] && near(step) && u > 0 {
			return say.That("suspect.with-premium")
		}
		if ch == auction[1] && near(-step) && u < 0 {
			return say.That("suspect.without-premium")
		}
	}
	return say.That("suspect.other", times("times", u))
}

// times is how many times the expected price was found, to two or three digits.
func times(name string, logRatio float64) say.Arg {
	decimals := min(max(0, 1-int(math.Floor(logRatio/math.Ln10))), 4)
	return say.Fixed(name, math.Exp(logRatio), say.None, decimals)
}

// Suspects fits the table and lists its doubtful sales.
func Suspects(t *table.Table, opt Options) ([]Suspect, error) {
	m, _, err := Fit(t, opt)
	if err != nil {
		return nil, err
	}
	return m.Suspects(), nil
}

package market

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"midcase/market/table"
	"midcase/say"
)

// Suspects lists the sales of the model that are hard to believe, the likeliest mistake
// first, with what may have gone wrong. What is expected of a sale comes from the other
// sales alone. Rates, where given, let it look for prices in another currency than noted.
// Nothing is dropped: such sales weigh little in the fit, and the dealer confirms or
// corrects them.
func (m *Model) Suspects(rates *Rates) []Suspect {
	d := &doubts{m: m, rates: rates, by: map[int32]Suspect{}}
	d.residuals()
	d.singles()
	d.channels()
	d.currencies()
	d.days()
	out := make([]Suspect, 0, len(d.by))
	for _, s := range d.by {
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b Suspect) int {
		return cmp.Or(cmp.Compare(b.Chance, a.Chance), cmp.Compare(b.far(), a.far()), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// far is how far the price lies from what is expected, in logs.
func (s Suspect) far() float64 { return math.Abs(math.Log(s.Found / s.Expected)) }

// doubts gathers what speaks against sales.
type doubts struct {
	m        *Model
	rates    *Rates
	u        []float64 // log price less what is expected, of each sale
	constant float64   // of the t density
	by       map[int32]Suspect
}

// Chances beforehand that a price is a mistake of a kind: shares of the estimated share of
// mistakes. Our choice.
const (
	leastMistakes, mostMistakes                   = 0.002, 0.05
	tenShare, hundredShare, thousandShare, anyway = 0.3, 0.05, 0.025, 0.25
	flagged                                       = 0.5 // chance from which a sale is listed
	leastOdd                                      = 0.15
	worthLooking                                  = 2.5 // standardised residual from which a sale is looked at closely
)

func (d *doubts) residuals() {
	m := d.m
	eff, b := m.effects(m.b, m.raw), m.b[m.slope:]
	d.u, d.constant = make([]float64, len(m.obs)), math.Exp(logT(m.dof))
	for i := range m.obs {
		o := &m.obs[i]
		c, c2, orig, year := o.slopes()
		u := o.y - m.theta[o.leaf] - b[0]*c - b[1]*c2 - b[2]*orig - b[3]*year
		for _, k := range o.idx {
			u -= eff[k]
		}
		d.u[i] = u
	}
}

// density of a residual under the errors of a scale.
func (d *doubts) density(u, scale float64) float64 {
	z := u / scale
	return d.constant * math.Pow(1+z*z/d.m.dof, -(d.m.dof+1)/2) / scale
}

func (d *doubts) suspect(i int, u, chance float64, reason say.Statement) {
	row := d.m.row[i]
	if old, ok := d.by[row]; ok && old.Chance >= chance {
		return
	}
	y := d.m.centre + d.m.obs[i].y
	d.by[row] = Suspect{Line: int(d.m.table.Line[row]), ID: table.SaleID(d.m.table.ID[row]), Chance: chance,
		Expected: math.Exp(y - u), Found: math.Exp(y), Reason: reason}
}

// singles looks at each sale by itself.
func (d *doubts) singles() {
	m := d.m
	most := math.Max(oddResidual, distuv.StudentsT{Sigma: 1, Nu: m.dof}.Quantile(1-oddShare/2))
	share := math.Min(math.Max(m.wild, leastMistakes), mostMistakes)
	for i := range m.obs {
		o := &m.obs[i]
		ref := m.sys.Parent[o.leaf]
		if thin := m.nodes.count[ref] <= fewSiblings; !thin && math.Abs(d.u[i]) < worthLooking*m.scaleOf(o) {
			continue
		}
		x := d.expect(i)
		u := x.u
		if math.Abs(u) < leastOdd {
			continue
		}
		fair, wrong, kind, best := (1-share)*x.density(d, 0), 0.0, mistake{}, 0.0
		for _, h := range mistakes {
			p := share * h.share * x.density(d, h.shift)
			if wrong += p; p > best {
				best, kind = p, h
			}
		}
		for c, shift := range d.otherCurrencies(i) {
			if math.Abs(shift) > math.Ln2 {
				p := share * tenShare / 10 * x.density(d, shift)
				if wrong += p; p > best {
					best, kind = p, mistake{kind: "currency", currency: c}
				}
			}
		}
		other := share * anyway * wildDensity
		wrong += other
		chance := wrong / (fair + wrong)
		odd := math.Abs(u) > most*x.scale && math.Abs(u) > 4*math.Sqrt(x.scale*x.scale+x.variance)
		if chance < flagged && !odd {
			continue
		}
		if best < other {
			kind = mistake{}
		}
		d.suspect(i, u, chance, d.reason(i, kind, u))
	}
}

const (
	oddResidual = 7         // standardised residual from which a price is odd whatever it means
	oddShare    = 1.0 / 450 // of prices that may be so by chance
	fewSiblings = 3         // sales of a reference that may have drawn it to themselves
)

// mistake is a kind of mistake: by how much it moves the log price.
type mistake struct {
	kind     say.Kind
	shift    float64
	share    float64
	currency string
}

var mistakes = []mistake{
	{"suspect.ten-high", math.Ln10, tenShare, ""}, {"suspect.ten-low", -math.Ln10, tenShare, ""},
	{"suspect.hundred", math.Log(100), hundredShare, ""}, {"suspect.hundred", -math.Log(100), hundredShare, ""},
	{"suspect.thousand", math.Log(1000), thousandShare, ""},
	{"suspect.thousand", -math.Log(1000), thousandShare, ""},
}

// reason names the likeliest mistake: the one after whose correction the sale fits.
func (d *doubts) reason(i int, k mistake, u float64) say.Statement {
	switch k.kind {
	case "suspect.ten-high":
		return say.That("suspect.ten-high", times("times", u))
	case "suspect.ten-low":
		return say.That("suspect.ten-low", times("times", u))
	case "suspect.hundred":
		return say.That("suspect.hundred", times("times", u))
	case "suspect.thousand":
		return say.That("suspect.thousand", times("times", u))
	case "currency":
		return say.That("suspect.currency", times("times", u), say.Name("currency", k.currency))
	}
	row := int(d.m.row[i])
	if text, ok := slipOf(d.m.table.At(row).Price.Amount(), u, 2*d.m.scaleOf(&d.m.obs[i])); ok {
		return say.That("suspect.slip", times("times", u), say.Name("amount", text))
	}
	return say.That("suspect.other", times("times", u))
}

// slipOf is the amount that a slip of one digit would have made into the one found and
// that fits what is expected: a digit more, a digit less, two the other way round.
func slipOf(amount string, u, near float64) (string, bool) {
	whole, _, _ := cutPoint(amount)
	found := figureOf(whole)
	best, off := "", near
	try := func(s string) {
		if v := figureOf(s); v > 0 && s[0] != '0' {
			if x := math.Abs(math.Log(found/v) - u); x < off {
				best, off = s, x
			}
		}
	}
	for k := range whole {
		if k+1 < len(whole) && whole[k] != whole[k+1] {
			try(whole[:k] + whole[k+1:k+2] + whole[k:k+1] + whole[k+2:])
		}
		if len(whole) > 1 {
			try(whole[:k] + whole[k+1:])
		}
	}
	if best != "" {
		return best, true
	}
	for k := 0; k <= len(whole); k++ {
		for c := byte('0'); c <= '9'; c++ {
			try(whole[:k] + string(c) + whole[k:])
		}
	}
	return best, best != ""
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
	return m.Suspects(opt.Rates), nil
}

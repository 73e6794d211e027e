package deal

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// Holding is one watch of the stock.
type Holding struct {
	ID        string
	Reference string  // any name, such as maker and number; empty: not known
	Metal     string  // likewise
	Paid      float64 // money tied up in it
	// Value today: ln of the median and the standard deviation of its natural log that
	// is the watch's own, which no other watch shares.
	LogMedian float64
	OwnLogSD  float64
	// SharedLogSD is that of the error which it shares with the others of its reference and
	// metal: what the reference is worth is known no better for five than for one.
	SharedLogSD float64
	// ExpectedProfit is what selling it should earn, as Buy says at the price paid.
	ExpectedProfit float64
}

// PortfolioInput is the whole stock and what moves its values together.
type PortfolioInput struct {
	Currency money.Currency
	Months   float64 // looked ahead, for the sentences only
	Holdings []Holding
	// CommonLogSD is the standard deviation of the natural log by which all prices move
	// together over the time looked ahead; MetalLogSD that by which those of one metal
	// move beside, for metals that MetalLogSDs does not name.
	CommonLogSD float64
	MetalLogSD  float64
	MetalLogSDs map[string]float64
	Falls       []Fall
	Seed        uint64
	Draws       int // 0 means DefaultDraws
}

// Fall is a fall to think about: of one metal's premium, or with All of all prices by the
// part By.
type Fall struct {
	Metal string
	// Premium of the metal over the commonest, as a fraction: 0.8 is 80 % dearer. By is
	// the part of it that goes: 0.2 takes 0.8 to 0.64.
	Premium float64
	By      float64
	All     bool
}

// PortfolioReport is what the stock comes to.
type PortfolioReport struct {
	Currency money.Currency `json:"currency"`
	Months   float64        `json:"months"` // looked ahead
	Watches  int            `json:"watches"`
	TiedUp   float64        `json:"tied_up"`
	// Mean and SD of the value are exact; the rest is drawn.
	Mean       float64           `json:"mean"`
	SD         float64           `json:"sd"`
	Median     float64           `json:"median"`
	Interval90 estimate.Interval `json:"interval_90"`
	// SDAlone is what the standard deviation would be if no two watches moved together.
	SDAlone         float64 `json:"sd_if_independent"`
	ChanceUnderPaid float64 `json:"chance_under_paid"` // that all is worth less than was paid
	// ExpectedProfit is what selling the watches one by one should earn.
	ExpectedProfit float64         `json:"expected_profit"`
	References     []Concentration `json:"references"` // largest share of value first
	Metals         []Concentration `json:"metals"`
	// Herfindahl is the sum of the squared shares of value: 1/n for n equal ones, 1 for
	// one alone.
	HerfindahlReferences float64         `json:"herfindahl_references"`
	HerfindahlMetals     float64         `json:"herfindahl_metals"`
	Falls                []FallEffect    `json:"falls"`
	Says                 []say.Statement `json:"says"`
}

// Concentration is one group of the stock.
type Concentration struct {
	Name    string  `json:"name"` // empty: not known
	Watches int     `json:"watches"`
	TiedUp  float64 `json:"tied_up"`
	Mean    float64 `json:"mean"`
	Share   float64 `json:"share"` // of the mean value of all
}

// FallEffect is what a fall would do.
type FallEffect struct {
	All     bool    `json:"all,omitempty"` // all prices, not a metal's premium
	Metal   string  `json:"metal"`
	Premium float64 `json:"premium"`
	By      float64 `json:"by"`
	Watches int     `json:"watches"`
	// Change is that of the mean value of the stock, in currency and as a share.
	Change float64 `json:"change"`
	Share  float64 `json:"share"`
	// ChanceUnderPaid is that of the whole stock after the fall.
	ChanceUnderPaid float64 `json:"chance_under_paid"`
}

// metalGroup is the part of the stock in one metal.
type metalGroup struct {
	name     string
	holdings []Holding
	lots     map[string][]Holding // by reference; those of unknown reference apart
	logSD    float64
	mean     float64 // of its value with the factors at their medians: own spread only
	variance float64 // likewise
}

// Portfolio says what the whole stock is worth, as a range in which watches move
// together, where it is concentrated, and what falls of a metal's premium would do.
// It errs on an input that makes no sense, naming the fields.
func Portfolio(in PortfolioInput) (PortfolioReport, error) {
	if err := in.Check(); err != nil {
		return PortfolioReport{}, err
	}
	groups := in.groups()
	out := PortfolioReport{Currency: in.Currency, Months: in.Months, Watches: len(in.Holdings), Falls: []FallEffect{},
		Says: []say.Statement{}}
	for _, h := range in.Holdings {
		out.TiedUp += h.Paid
		out.ExpectedProfit += h.ExpectedProfit
	}
	out.moments(in, groups)
	out.concentrate(in)
	totals := in.drawTotals(groups, nil)
	out.ChanceUnderPaid = shareUnder(totals, out.TiedUp)
	r := rangeOf(totals)
	out.Median, out.Interval90 = r.Median, r.Interval90
	for _, f := range in.Falls {
		out.Falls = append(out.Falls, in.fall(f, groups, out))
	}
	out.say()
	return out, nil
}

func shareUnder(xs []float64, limit float64) float64 {
	n := 0
	for _, x := range xs {
		if x < limit {
			n++
		}
	}
	return float64(n) / float64(max(1, len(xs)))
}

// logNormalMoments are mean and variance of exp(N(mu, sd²)).
func logNormalMoments(mu, sd float64) (mean, variance float64) {
	mean = math.Exp(mu + sd*sd/2)
	return mean, mean * mean * math.Expm1(sd*sd)
}

func (in PortfolioInput) groups() []metalGroup {
	at, metalSD := map[string]int{}, in.metalSD()
	var out []metalGroup
	for _, h := range in.Holdings {
		key := fold(h.Metal)
		k, ok := at[key]
		if !ok {
			k = len(out)
			at[key] = k
			out = append(out, metalGroup{name: h.Metal, logSD: metalSD(key), lots: map[string][]Holding{}})
		}
		g := &out[k]
		g.holdings = append(g.holdings, h)
		lot := fold(h.Reference)
		if lot == "" {
			lot = fmt.Sprintf("\x00%d", len(g.holdings))
		}
		m, v := logNormalMoments(h.LogMedian, math.Hypot(h.OwnLogSD, h.SharedLogSD))
		g.mean += m
		g.variance += v
		for _, other := range g.lots[lot] {
			o, _ := logNormalMoments(other.LogMedian, math.Hypot(other.OwnLogSD, other.SharedLogSD))
			g.variance += 2 * m * o * math.Expm1(h.SharedLogSD*other.SharedLogSD)
		}
		g.lots[lot] = append(g.lots[lot], h)
	}
	// By name, so that each metal has the same draws whatever stands first in the list.
	slices.SortFunc(out, func(a, b metalGroup) int { return cmp.Compare(fold(a.name), fold(b.name)) })
	return out
}

// metalSD gives the spread of each metal by its folded name.
func (in PortfolioInput) metalSD() func(folded string) float64 {
	named := map[string]float64{}
	for name, sd := range in.MetalLogSDs {
		named[fold(name)] = sd
	}
	return func(folded string) float64 {
		if sd, ok := named[folded]; ok {
			return sd
		}
		return in.MetalLogSD
	}
}

// moments are exact: with the value of a group at its factors' medians of mean m and
// variance v, E = Σ m·e^{(c²+g²)/2}, and E of the product of two values has e^{c²} more
// between groups and e^{c²+g²} within.
func (r *PortfolioReport) moments(in PortfolioInput, groups []metalGroup) {
	c := in.CommonLogSD * in.CommonLogSD
	means := make([]float64, len(groups))
	variance := 0.0
	for i, g := range groups {
		own := g.logSD * g.logSD
		means[i] = g.mean * math.Exp((c+own)/2)
		r.Mean += means[i]
		spread := math.Expm1(c + own) // of the factors
		variance += means[i]*means[i]*spread + g.variance*math.Exp(c+own)*(1+spread)
		for _, before := range means[:i] {
			variance += 2 * means[i] * before * math.Expm1(c)
		}
		for _, h := range g.holdings {
			_, v := logNormalMoments(h.LogMedian, math.Sqrt(h.OwnLogSD*h.OwnLogSD+h.SharedLogSD*h.SharedLogSD+c+own))
			r.SDAlone += v
		}
	}
	r.SD, r.SDAlone = math.Sqrt(variance), math.Sqrt(r.SDAlone)
}

// few watches of a metal are drawn one by one; the sum of more is drawn as a
// lognormal of the same mean and variance (Fenton 1960, IRE Trans. Commun. Systems 8,
// 57–67), to which such a sum is then close.
const few = 32

// drawTotals draws the value of the whole stock; factor, where given, multiplies the
// value of a group.
func (in PortfolioInput) drawTotals(groups []metalGroup, factor func(metal string) float64) []float64 {
	n := in.Draws
	if n == 0 {
		n = DefaultDraws
	}
	out, common := make([]float64, n), make([]float64, n)
	rng := stream(in.Seed, 1)
	for i := range common {
		common[i] = in.CommonLogSD * quantileNormal((float64(i)+rng.Float64())/float64(n))
	}
	for k, g := range groups {
		f := 1.0
		if factor != nil {
			f = factor(g.name)
		}
		metal, own := stream(in.Seed, 1<<20+2*uint64(k)), stream(in.Seed, 1<<20+2*uint64(k)+1)
		sd, lots := math.Sqrt(math.Log1p(g.variance/(g.mean*g.mean))), sortedKeys(g.lots)
		for i := range out {
			sum := 0.0
			if len(g.holdings) > few {
				sum = g.mean * math.Exp(sd*own.NormFloat64()-sd*sd/2)
			} else {
				for _, lot := range lots {
					shared := own.NormFloat64()
					for _, h := range g.lots[lot] {
						sum += math.Exp(h.LogMedian + h.SharedLogSD*shared + h.OwnLogSD*own.NormFloat64())
					}
				}
			}
			out[i] += f * sum * math.Exp(common[i]+g.logSD*metal.NormFloat64())
		}
	}
	return out
}

func (r *PortfolioReport) concentrate(in PortfolioInput) {
	r.References, r.HerfindahlReferences = in.concentration(func(h Holding) string { return h.Reference })
	r.Metals, r.HerfindahlMetals = in.concentration(func(h Holding) string { return h.Metal })
}

// concentration lists groups by their share of the mean value. Watches whose group is
// not known are one line, but count as each its own in the Herfindahl index.
func (in PortfolioInput) concentration(of func(Holding) string) ([]Concentration, float64) {
	at, metalSD := map[string]int{}, in.metalSD()
	out := []Concentration{}
	total, squares := 0.0, 0.0
	for _, h := range in.Holdings {
		key := fold(of(h))
		k, ok := at[key]
		if !ok {
			k = len(out)
			at[key] = k
			out = append(out, Concentration{Name: of(h)})
		}
		sd := metalSD(fold(h.Metal))
		m, _ := logNormalMoments(h.LogMedian, math.Sqrt(h.OwnLogSD*h.OwnLogSD+h.SharedLogSD*h.SharedLogSD+
			in.CommonLogSD*in.CommonLogSD+sd*sd))
		c := &out[k]
		c.Watches++
		c.TiedUp += h.Paid
		c.Mean += m
		total += m
		if key == "" {
			squares += m * m
		}
	}
	for i := range out {
		out[i].Share = out[i].Mean / total
		if out[i].Name != "" {
			squares += out[i].Mean * out[i].Mean
		}
	}
	slices.SortFunc(out, func(a, b Concentration) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(fold(a.Name), fold(b.Name)))
	})
	if total == 0 {
		return out, 0
	}
	return out, squares / (total * total)
}

// factor is what a value in the metal is multiplied by.
func (f Fall) factor() float64 {
	if f.All {
		return 1 - f.By
	}
	return (1 + f.Premium*(1-f.By)) / (1 + f.Premium)
}

// hits reports whether a fall is one of prices in a metal.
func (f Fall) hits(metal string) bool { return f.All || fold(metal) == fold(f.Metal) }

func (in PortfolioInput) fall(f Fall, groups []metalGroup, r PortfolioReport) FallEffect {
	out := FallEffect{All: f.All, Metal: f.Metal, Premium: f.Premium, By: f.By}
	for _, g := range groups {
		if !f.hits(g.name) {
			continue
		}
		out.Watches += len(g.holdings)
		out.Change += (f.factor() - 1) * g.mean * math.Exp((in.CommonLogSD*in.CommonLogSD+g.logSD*g.logSD)/2)
	}
	if r.Mean > 0 {
		out.Share = out.Change / r.Mean
	}
	totals := in.drawTotals(groups, func(metal string) float64 {
		if f.hits(metal) {
			return f.factor()
		}
		return 1
	})
	out.ChanceUnderPaid = shareUnder(totals, r.TiedUp)
	return out
}

const concentrated = 0.25 // share of one reference from which it is spoken of

func (r *PortfolioReport) say() {
	if r.Watches == 0 {
		r.Says = append(r.Says, say.That("whole.none"))
		return
	}
	r.Says = append(r.Says, r.Earns())
	if r.SDAlone < 0.8*r.SD {
		r.Says = append(r.Says, say.That("whole.together", say.Fixed("times", r.SD/r.SDAlone, say.None, 1)))
	}
	if c := r.References[0]; c.Name != "" && c.Share >= concentrated && r.Watches > 1 {
		r.Says = append(r.Says, say.That("whole.concentrated", say.Share("share", c.Share),
			say.Name("reference", c.Name)))
	}
	for _, f := range r.Falls {
		r.Says = append(r.Says, f.says(r.Currency))
	}
}

// Earns says what selling the watches one by one should earn.
func (r *PortfolioReport) Earns() say.Statement {
	return say.That("whole.earns", say.Amount("profit", r.ExpectedProfit, r.Currency))
}

// says what a fall, or a rise, of a metal's premium does to the stock.
func (f FallEffect) says(c money.Currency) say.Statement {
	does := say.That("whole.gains", say.Amount("by", f.Change, c), say.Share("share", f.Share))
	if f.Change <= 0 {
		does = say.That("whole.loses", say.Amount("by", -f.Change, c), say.Share("share", -f.Share))
	}
	if f.All {
		return say.That("whole.fall-all", say.Share("by", f.By), say.Saying("does", does),
			say.Chance("under", f.ChanceUnderPaid))
	}
	metal := strings.ReplaceAll(f.Metal, "_", " ")
	if f.By < 0 {
		return say.That("whole.rise", say.Term("metal", "sold_metal", f.Metal, metal), say.Share("by", -f.By),
			say.Saying("does", does))
	}
	return say.That("whole.fall", say.Term("metal", "sold_metal", f.Metal, metal), say.Share("by", f.By),
		say.Saying("does", does))
}

// Check tells what is wrong with the input, field by field.
func (in PortfolioInput) Check() error {
	errs := []error{
		inRange("common_log_sd", in.CommonLogSD, 0, 2, "0 or more; 0.1 is about 10 %"),
		inRange("metal_log_sd", in.MetalLogSD, 0, 2, "0 or more; 0.05 is about 5 %")}
	seen := map[string]string{}
	for _, name := range sortedKeys(in.MetalLogSDs) {
		if other, ok := seen[fold(name)]; ok {
			errs = append(errs, bad("metal_log_sds["+name+"]", "the same metal as "+other, "each metal once"))
		}
		seen[fold(name)] = name
		errs = append(errs, inRange(fmt.Sprintf("metal_log_sds[%s]", name), in.MetalLogSDs[name], 0, 2,
			"0 or more; 0.05 is about 5 %"))
	}
	for i, h := range in.Holdings {
		at := fmt.Sprintf("holdings[%d]", i)
		errs = append(errs, inRange(at+".paid", h.Paid, 0, maxAmount, "a price of 0 or more"),
			inRange(at+".log_median", h.LogMedian, -10, math.Log(maxAmount), "the natural log of a price above 0"),
			inRange(at+".own_log_sd", h.OwnLogSD, 0, 5, "0 or more; 0.2 is about 20 %"),
			inRange(at+".shared_log_sd", h.SharedLogSD, 0, 5, "0 or more; 0.1 is about 10 %"),
			inRange(at+".expected_profit", h.ExpectedProfit, -maxAmount, maxAmount, "an amount"))
	}
	for i, f := range in.Falls {
		at := fmt.Sprintf("falls[%d]", i)
		if f.Metal == "" && !f.All {
			errs = append(errs, bad(at+".metal", "nothing", "the name of a metal"))
		}
		errs = append(errs, inRange(at+".premium", f.Premium, -0.99, 1000, "a fraction over −1; 0.8 is 80 % dearer"),
			inRange(at+".by", f.By, -10, 1, "a share up to 1; 0.2 is a fall by a fifth"))
	}
	if in.Draws != 0 && (in.Draws < minDraws || in.Draws > maxDraws) {
		errs = append(errs, bad("draws", in.Draws, fmt.Sprintf("0, or %d to %d", minDraws, maxDraws)))
	}
	return errors.Join(errs...)
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

package deal

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/estimate"
	"midcase/say"
)

// TimeToSell is how long watches take to sell, learned from a history.
type TimeToSell struct {
	Spells int `json:"spells"`
	Sold   int `json:"sold"`

	LogScaleDays Coefficient `json:"log_scale_days"` // asked at its value, no full set, reference and metal not known
	LogShape     Coefficient `json:"log_shape"`
	Price        Coefficient `json:"price"` // never under 0
	FullSet      Coefficient `json:"full_set"`
	References   []Effect    `json:"references"` // by name
	Metals       []Effect    `json:"metals"`
	ReferenceSD  float64     `json:"reference_sd"`
	MetalSD      float64     `json:"metal_sd"`
	// LogLikelihood is that of the history at the estimates, as a density of days,
	// without the prior.
	LogLikelihood float64         `json:"log_likelihood"`
	Says          []say.Statement `json:"says"`

	fit failureFit
}

// Coefficient is an estimate with its standard error, from the observed information
// and the prior.
type Coefficient struct {
	Estimate float64 `json:"estimate"`
	SE       float64 `json:"se"`
}

// Effect is by how much one reference or metal differs, in ln of days.
type Effect struct {
	Name   string `json:"name"`
	Spells int    `json:"spells"`
	Sold   int    `json:"sold"`
	Coefficient
}

// The columns of the design; metals follow.
const (
	colOne = iota
	colPrice
	colFullSet
	colMetals
)

// FitTimeToSell learns how long watches take to sell from the shop's spells, shrunk
// to the prior; without spells it is the prior. It errs on spells that make no
// sense, and where a flat prior meets a history without a sale.
func FitTimeToSell(spells []Spell, prior Prior) (*TimeToSell, error) {
	if err := prior.check(); err != nil {
		return nil, err
	}
	if err := checkSpells(spells); err != nil {
		return nil, err
	}
	d := designOf(spells, prior)
	if d.sold == 0 && (math.IsInf(prior.LogScaleDays.SD, 1) || math.IsInf(prior.LogShape.SD, 1)) {
		return nil, d.undetermined(errNoFit)
	}
	m := d.model
	theta, u := d.start(prior), make([]float64, m.groups)
	f, err := d.fitSpreads(prior, theta, u)
	if err != nil {
		return nil, d.undetermined(err)
	}
	says := []say.Statement{}
	if f.theta[colPrice] < 0 {
		says = append(says, say.That("time.dearer-sooner"))
		m.held = make([]bool, len(theta))
		m.held[colPrice], theta[colPrice] = true, 0
		if f, err = m.fit(theta, u); err != nil {
			return nil, d.undetermined(err)
		}
	}
	t := d.result(f)
	t.Says = append(says, t.history()...)
	return t, nil
}

// design is the model with the names of its groups.
type design struct {
	model              *failureModel
	references, metals []Effect
	referenceSD        float64
	metalSD            float64
	sold               int
}

func (d *design) undetermined(err error) error {
	return fmt.Errorf("%w: spells: %d, of which %d sold: %w", ErrInput, len(d.model.ended), d.sold, err)
}

func designOf(spells []Spell, prior Prior) *design {
	d := &design{model: &failureModel{}, referenceSD: prior.ReferenceSD, metalSD: prior.MetalSD}
	if prior.ReferenceSD > 0 {
		d.references = names(spells, func(s Spell) string { return s.Reference })
	}
	if prior.MetalSD > 0 {
		d.metals = names(spells, func(s Spell) string { return s.Metal })
	}
	m := d.model
	m.groups = len(d.references)
	for _, s := range spells {
		x := make([]float64, colMetals+len(d.metals))
		x[colOne], x[colPrice] = 1, s.logAsk()
		if s.FullSet {
			x[colFullSet] = 1
		}
		if k := find(d.metals, s.Metal); k >= 0 {
			x[colMetals+k] = 1
		}
		m.x = append(m.x, x)
		m.group = append(m.group, find(d.references, s.Reference))
		m.logTime, m.logEntry, m.ended = append(m.logTime, math.Log(s.days())),
			append(m.logEntry, math.Log(s.EntryDays)), append(m.ended, s.Sold)
		if s.Sold {
			d.sold++
		}
	}
	m.prior = []Normal{prior.LogScaleDays, prior.Price, prior.FullSet}
	for range d.metals {
		m.prior = append(m.prior, Normal{0, d.metalSD})
	}
	m.prior = append(m.prior, Normal{-prior.LogShape.Mean, prior.LogShape.SD})
	m.groupSD = d.referenceSD
	return d
}

// names lists the groups in the order of their folded names, under the first name
// that was used.
func names(spells []Spell, of func(Spell) string) []Effect {
	at := map[string]int{}
	var out []Effect
	for _, s := range spells {
		key := fold(of(s))
		if key == "" {
			continue
		}
		k, ok := at[key]
		if !ok {
			k = len(out)
			at[key] = k
			out = append(out, Effect{Name: strings.Join(strings.Fields(of(s)), " ")})
		}
		out[k].Spells++
		if s.Sold {
			out[k].Sold++
		}
	}
	slices.SortFunc(out, func(a, b Effect) int { return strings.Compare(fold(a.Name), fold(b.Name)) })
	return out
}

func find(effects []Effect, name string) int {
	k, ok := slices.BinarySearchFunc(effects, fold(name),
		func(e Effect, key string) int { return strings.Compare(fold(e.Name), key) })
	if !ok {
		return -1
	}
	return k
}

// start is the prior's mean; with a flat prior on the scale, the exponential rate of
// the history.
func (d *design) start(prior Prior) []float64 {
	theta := make([]float64, len(d.model.prior))
	for j, p := range d.model.prior {
		theta[j] = p.Mean
	}
	if math.IsInf(prior.LogScaleDays.SD, 1) && d.sold > 0 {
		days := 0.0
		for i, t := range d.model.logTime {
			days += math.Exp(t) - math.Exp(d.model.logEntry[i])
		}
		theta[colOne] = math.Log(days / float64(d.sold))
	}
	return theta
}

const (
	spreadSteps = 30
	spreadEnd   = 1e-3
)

// fitSpreads fits in turn the coefficients and how much groups differ, the latter by
// the EM step (ν₀s₀² + Σ(û² + var û)) / (ν₀ + q), with the prior counting as ν₀ groups.
func (d *design) fitSpreads(prior Prior, theta, u []float64) (failureFit, error) {
	m := d.model
	for step := 0; ; step++ {
		f, err := m.fit(theta, u)
		if err != nil || math.IsInf(prior.Groups, 1) || step == spreadSteps {
			return f, err
		}
		reference, metal := 0.0, 0.0
		x := make([]float64, len(theta))
		for g, v := range u {
			reference += v*v + f.varianceOf(x, g)
		}
		for k := range d.metals {
			metal += theta[colMetals+k]*theta[colMetals+k] + f.cov.At(colMetals+k, colMetals+k)
		}
		reference = spread(prior.ReferenceSD, prior.Groups, reference, len(u))
		metal = spread(prior.MetalSD, prior.Groups, metal, len(d.metals))
		if math.Abs(reference-d.referenceSD) < spreadEnd*d.referenceSD+1e-12 &&
			math.Abs(metal-d.metalSD) < spreadEnd*d.metalSD+1e-12 {
			return f, nil
		}
		d.referenceSD, d.metalSD, m.groupSD = reference, metal, reference
		for k := range d.metals {
			m.prior[colMetals+k].SD = metal
		}
	}
}

// minSpread keeps groups that show no difference from dividing by nothing.
const minSpread = 1e-3

func spread(before, groups, squares float64, n int) float64 {
	if n == 0 || before == 0 {
		return before
	}
	return math.Max(minSpread, math.Sqrt((groups*before*before+squares)/(groups+float64(n))))
}

func (d *design) result(f failureFit) *TimeToSell {
	c := func(j int) Coefficient { return Coefficient{f.theta[j], f.se(j)} }
	last := len(f.theta) - 1
	t := &TimeToSell{Spells: len(d.model.ended), Sold: d.sold, LogScaleDays: c(colOne), Price: c(colPrice),
		FullSet:  c(colFullSet),
		LogShape: Coefficient{-f.theta[last], f.se(last)}, References: d.references, Metals: d.metals,
		ReferenceSD: d.referenceSD, MetalSD: d.metalSD, LogLikelihood: f.loglik, fit: f}
	for k := range t.Metals {
		t.Metals[k].Coefficient = c(colMetals + k)
	}
	x := make([]float64, len(f.theta))
	for g := range t.References {
		t.References[g].Coefficient = Coefficient{f.u[g], math.Sqrt(f.varianceOf(x, g))}
	}
	return t
}

const littleSold = 10

func (t *TimeToSell) history() []say.Statement {
	switch {
	case t.Spells == 0:
		return []say.Statement{say.That("time.no-history")}
	case t.Sold < littleSold:
		return []say.Statement{say.That("time.few-sold", say.Count("sold", t.Sold), say.Count("spells", t.Spells))}
	}
	return nil
}

// row is the linear form that gives ln of the scale.
func (t *TimeToSell) row(c Covariates) (x []float64, reference int) {
	x = make([]float64, len(t.fit.theta))
	x[colOne], x[colPrice] = 1, c.logAsk()
	if c.FullSet {
		x[colFullSet] = 1
	}
	if k := find(t.Metals, c.Metal); k >= 0 {
		x[colMetals+k] = 1
	}
	return x, find(t.References, c.Reference)
}

// At is the time to sell of a watch. A reference or metal without history is an
// average one.
func (t *TimeToSell) At(c Covariates) Weibull {
	x, g := t.row(c)
	log := 0.0
	for j, v := range x {
		log += v * t.fit.theta[j]
	}
	if g >= 0 {
		log += t.fit.u[g]
	}
	// Far outside all history the figures still have to be days.
	return Weibull{Shape: clampTo(math.Exp(t.LogShape.Estimate), minShape, maxShape),
		ScaleDays: clampTo(math.Exp(log), minScale, maxDays)}
}

func clampTo(x, low, high float64) float64 { return max(low, min(high, x)) }

// MedianDays is the day by which such a watch is as likely sold as not, with the
// 90 % interval that the history leaves: its uncertainty, not the spread of watches.
func (t *TimeToSell) MedianDays(c Covariates) estimate.Figure {
	x, g := t.row(c)
	// ln of the median is ln scale + σ·ln ln 2, whose slope by ln σ is σ·ln ln 2.
	x[len(x)-1] = math.Exp(-t.LogShape.Estimate) * math.Log(math.Ln2)
	v := t.fit.varianceOf(x, g) + t.unseen(c)
	const z90 = 1.6448536269514722
	median, half := t.At(c).Quantile(0.5), z90*math.Sqrt(v)
	return estimate.Between(median, median*math.Exp(-half), median*math.Exp(half), 0.9, "d")
}

// unseen is the variance of the effects of a reference and a metal without history.
func (t *TimeToSell) unseen(c Covariates) float64 {
	v := 0.0
	if find(t.References, c.Reference) < 0 {
		v += t.ReferenceSD * t.ReferenceSD
	}
	if find(t.Metals, c.Metal) < 0 {
		v += t.MetalSD * t.MetalSD
	}
	return v
}

// logScaleSD is how uncertain ln of the scale is.
func (t *TimeToSell) logScaleSD(c Covariates) float64 {
	x, g := t.row(c)
	return math.Sqrt(t.fit.varianceOf(x, g) + t.unseen(c))
}

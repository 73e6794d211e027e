package deal

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func fitTime(t interface{ Fatal(...any) }, spells []Spell, p Prior) *TimeToSell {
	m, err := FitTimeToSell(spells, p)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// flat is a prior that says nothing of scale and shape.
func flat() Prior {
	p := CommonPrior()
	p.LogScaleDays.SD, p.LogShape.SD, p.ReferenceSD, p.MetalSD = math.Inf(1), math.Inf(1), 0, 0
	return p
}

// Five watches, sold after 10, 20 and 30 days, unsold after 60 and 90: shape 0.9456,
// scale 71.14, median 48.28 days, computed independently by maximum likelihood.
func TestWorkedExampleOfDaysOnMarket(t *testing.T) {
	m := fitTime(t, []Spell{{Days: 10, Sold: true}, {Days: 20, Sold: true}, {Days: 30, Sold: true}, {Days: 60},
		{Days: 90}}, flat())
	w := m.At(Covariates{})
	within(t, "shape", w.Shape, 0.9456, 5e-5)
	within(t, "scale", w.ScaleDays, 71.14, 5e-3)
	within(t, "median", w.Quantile(0.5), 48.28, 5e-3)
	// With the shape held at 1 the mean is days over sales: 210/3.
	exponential := flat()
	exponential.LogShape = Normal{0, 1e-5}
	within(t, "exponential mean", fitTime(t, []Spell{{Days: 10, Sold: true}, {Days: 20, Sold: true},
		{Days: 30, Sold: true}, {Days: 60}, {Days: 90}}, exponential).At(Covariates{}).ScaleDays, 70, 1e-4)
}

// With a flat prior on scale and shape and nothing else to tell watches apart, the
// log likelihood is R's of the null model on ovarian.csv.
func TestFitTimeToSellAgainstSurvreg(t *testing.T) {
	p := flat()
	var spells []Spell
	for _, r := range readCheck(t, "05_survival/ovarian.csv") {
		spells = append(spells, Spell{Days: number(t, r["futime"]), Sold: r["fustat"] == "1"})
	}
	m := fitTime(t, spells, p)
	within(t, "null log likelihood", m.LogLikelihood, -97.9539010471308, 1e-7)
}

func TestWithoutHistoryItIsThePrior(t *testing.T) {
	p := PriorAround(Weibull{Shape: 1.3, ScaleDays: 95})
	m := fitTime(t, nil, p)
	w := m.At(Covariates{Reference: "KR-1", Metal: "steel"})
	within(t, "shape", w.Shape, 1.3, 1e-12)
	within(t, "scale", w.ScaleDays, 95, 1e-10)
	within(t, "SE", m.LogScaleDays.SE, 0.6, 1e-12)
	within(t, "price", m.Price.Estimate, 4, 1e-12)
	within(t, "10 % dearer", m.At(Covariates{AskOverValue: 1.1}).ScaleDays, 95*math.Pow(1.1, 4), 1e-9)
	if len(m.Says) != 1 || m.Says[0].Kind != "time.no-history" {
		t.Errorf("says %q", m.Says)
	}
	// Half are sold by the median; all that is not known widens its interval.
	f, half := m.MedianDays(Covariates{}),
		1.6448536269514722*math.Sqrt(0.36+0.16+0.04+math.Pow(0.25/1.3*math.Log(math.Ln2), 2))
	within(t, "low median", f.Interval.Low(), w.Quantile(0.5)*math.Exp(-half), 1e-9)
}

// Little history moves the prior a little: between the prior and the history alone.
func TestShrinksToThePrior(t *testing.T) {
	p := CommonPrior()
	before := fitTime(t, nil, p).At(Covariates{}).ScaleDays
	var spells []Spell
	last := before
	for n := range 40 {
		spells = append(spells, Spell{Days: 20 + float64(n%5), Sold: true})
		now := fitTime(t, spells, p).At(Covariates{}).ScaleDays
		if now >= last+1e-9 && n < 5 {
			t.Fatalf("after %d fast sales the scale is %g, was %g", n+1, now, last)
		}
		last = now
	}
	if last > 35 || last < 20 {
		t.Errorf("after 40 sales in about 22 days the scale is %g", last)
	}
	one := fitTime(t, spells[:1], p).At(Covariates{}).ScaleDays
	if one < 0.5*before {
		t.Errorf("one sale moves the scale from %g to %g", before, one)
	}
}

// world draws spells of a known truth, among them unsold ones and ones recorded late.
type world struct {
	scale, shape, price, fullSet, referenceSD, metalSD float64
}

func (w world) spells(n int, rng *rand.Rand) (out []Spell, references []float64) {
	references = make([]float64, n/25+1)
	for i := range references {
		references[i] = w.referenceSD * rng.NormFloat64()
	}
	metals := map[string]float64{"steel": -w.metalSD, "yellow gold": 0.5 * w.metalSD, "steel and gold": 0.7 * w.metalSD}
	names := []string{"steel", "yellow gold", "steel and gold"}
	for len(out) < n {
		k := rng.IntN(len(references))
		s := Spell{Covariates: Covariates{AskOverValue: math.Exp(0.12 * rng.NormFloat64()),
			Reference: fmt.Sprint("ref ", k), Metal: names[rng.IntN(3)], FullSet: rng.IntN(3) == 0}}
		log := math.Log(w.scale) + w.price*s.logAsk() + references[k] + metals[s.Metal]
		if s.FullSet {
			log += w.fullSet
		}
		sells := math.Exp(log + math.Log(rng.ExpFloat64())/w.shape)
		if rng.IntN(3) == 0 {
			s.EntryDays = 60 * rng.Float64()
		}
		if sells <= math.Max(s.EntryDays, minDays) {
			continue // sold before the record began: never seen
		}
		seen := s.EntryDays + 1 + 250*rng.Float64()
		s.Days, s.Sold = math.Min(sells, seen), sells <= seen
		if s.days() <= s.EntryDays {
			continue
		}
		out = append(out, s)
	}
	return out, references
}

func TestRecoversKnownTruth(t *testing.T) {
	w := world{scale: 90, shape: 1.3, price: 3, fullSet: -0.3, referenceSD: 0.5, metalSD: 0.25}
	spells, references := w.spells(4000, rand.New(rand.NewPCG(4, 7)))
	before := slices.Clone(spells)
	m := fitTime(t, spells, CommonPrior())
	if !slices.Equal(before, spells) {
		t.Error("the spells were changed")
	}
	near := func(what string, c Coefficient, truth float64) {
		t.Helper()
		if math.Abs(c.Estimate-truth) > 3*c.SE || c.SE <= 0 {
			t.Errorf("%s: %.4f ± %.4f, truth %.4f", what, c.Estimate, c.SE, truth)
		}
	}
	near("shape", m.LogShape, math.Log(w.shape))
	near("price", m.Price, w.price)
	near("full set", m.FullSet, w.fullSet)
	near("scale", m.LogScaleDays, math.Log(w.scale))
	within(t, "spread of references", m.ReferenceSD, w.referenceSD, 0.1)
	if m.LogShape.SE > 0.03 || m.Price.SE > 0.3 {
		t.Errorf("4,000 spells leave SE %g of shape, %g of price", m.LogShape.SE, m.Price.SE)
	}
	// Nine in ten references lie within the 90 % interval of their effect.
	held := 0
	for _, e := range m.References {
		var k int
		if _, err := fmt.Sscanf(e.Name, "ref %d", &k); err != nil {
			t.Fatal(err)
		}
		if math.Abs(e.Estimate-references[k]) <= 1.645*e.SE {
			held++
		}
	}
	if share := float64(held) / float64(len(m.References)); share < 0.82 || share > 0.97 {
		t.Errorf("the 90 %% intervals hold %.0f %% of %d references", 100*share, len(m.References))
	}
}

// Leaving out what is unsold makes watches look faster than they are; counting late
// entries from the first day makes them look slower.
func TestCensoringAndEntryMatter(t *testing.T) {
	w := world{scale: 120, shape: 1.2, price: 3}
	spells, _ := w.spells(2000, rand.New(rand.NewPCG(8, 8)))
	p := flat()
	right := fitTime(t, spells, p).At(Covariates{}).ScaleDays
	var sold, whole []Spell
	for _, s := range spells {
		if s.Sold {
			sold = append(sold, s)
		}
		s.EntryDays = 0
		whole = append(whole, s)
	}
	if got := fitTime(t, sold, p).At(Covariates{}).ScaleDays; got > 0.85*right {
		t.Errorf("sold only: %g, all: %g", got, right)
	}
	if got := fitTime(t, whole, p).At(Covariates{}).ScaleDays; got < 1.05*right {
		t.Errorf("without entries: %g, with: %g", got, right)
	}
}

// A history in which the dearer watches sold sooner has no effect of price, rather
// than one that would advise to ask more.
func TestDearerNeverSellsSooner(t *testing.T) {
	w := world{scale: 90, shape: 1.3, price: -4}
	spells, _ := w.spells(500, rand.New(rand.NewPCG(1, 1)))
	m := fitTime(t, spells, CommonPrior())
	if m.Price.Estimate != 0 || len(m.Says) == 0 || m.Says[0].Kind != "time.dearer-sooner" {
		t.Errorf("price %+v, says %q", m.Price, m.Says)
	}
	rapid.Check(t, func(t *rapid.T) {
		var spells []Spell
		for range rapid.IntRange(0, 12).Draw(t, "spells") {
			spells = append(spells, Spell{Days: rapid.Float64Range(0, 400).Draw(t, "days"),
				Sold: rapid.Bool().Draw(t, "sold"),
				Covariates: Covariates{AskOverValue: rapid.Float64Range(0.5, 2).Draw(t, "ask"),
					FullSet: rapid.Bool().Draw(t, "set"), Reference: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t,
						"reference")}})
		}
		m := fitTime(t, spells, CommonPrior())
		low, high := rapid.Float64Range(0.3, 2).Draw(t, "low"), rapid.Float64Range(1, 3).Draw(t, "times")
		a, b := m.At(Covariates{AskOverValue: low, Reference: "a"}),
			m.At(Covariates{AskOverValue: low * high, Reference: "a"})
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		if b.Quantile(p) < a.Quantile(p) {
			t.Fatalf("%g %% have sold by day %g, and by %g when asked dearer", 100*p, a.Quantile(p), b.Quantile(p))
		}
	})
}

// The order of the spells, and how names are written, change nothing.
func TestOrderAndNames(t *testing.T) {
	w := world{scale: 90, shape: 1.3, price: 3, referenceSD: 0.4, metalSD: 0.2}
	spells, _ := w.spells(300, rand.New(rand.NewPCG(2, 2)))
	a := fitTime(t, spells, CommonPrior())
	slices.Reverse(spells)
	for i := range spells {
		spells[i].Metal = "  " + strings.ToUpper(spells[i].Metal)
	}
	b := fitTime(t, spells, CommonPrior())
	c := Covariates{AskOverValue: 1.2, Reference: "REF 3", Metal: "Yellow  Gold"}
	within(t, "scale", b.At(c).ScaleDays, a.At(c).ScaleDays, 1e-6*a.At(c).ScaleDays)
	if find(a.References, c.Reference) < 0 || find(a.Metals, c.Metal) < 0 {
		t.Error("names are not found")
	}
}

func TestBadSpells(t *testing.T) {
	good := Spell{Days: 10, Sold: true}
	for field, s := range map[string]Spell{
		"spells[1].days":           {Days: math.NaN()},
		"spells[1].entry_days":     {Days: 5, EntryDays: 5},
		"spells[1].ask_over_value": {Days: 5, Covariates: Covariates{AskOverValue: -1}},
	} {
		m, err := FitTimeToSell([]Spell{good, s}, CommonPrior())
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), field+":") || m != nil {
			t.Errorf("%s: got %v", field, err)
		}
	}
	if _, err := FitTimeToSell([]Spell{{Days: 5}, {Days: 8}}, flat()); !errors.Is(err, ErrInput) ||
		!strings.Contains(err.Error(), "2, of which 0 sold") {
		t.Errorf("nothing sold and a flat prior: %v", err)
	}
	if m, err := FitTimeToSell([]Spell{{Days: 5, Sold: true}, {Days: 5, Sold: true}}, flat()); !errors.Is(err,
		ErrInput) {
		t.Errorf("two equal sales tell no shape: %+v %v", m, err)
	}
}

func TestBadPrior(t *testing.T) {
	for field, change := range map[string]func(*Prior){
		"prior.log_scale_days.mean": func(p *Prior) { p.LogScaleDays.Mean = math.NaN() },
		"prior.log_shape.sd":        func(p *Prior) { p.LogShape.SD = 0 },
		"prior.price.mean":          func(p *Prior) { p.Price.Mean = -1 },
		"prior.full_set.sd":         func(p *Prior) { p.FullSet.SD = math.NaN() },
		"prior.reference_sd":        func(p *Prior) { p.ReferenceSD = -1 },
		"prior.metal_sd":            func(p *Prior) { p.MetalSD = 9 },
		"prior.groups":              func(p *Prior) { p.Groups = -1 },
	} {
		p := CommonPrior()
		change(&p)
		if _, err := FitTimeToSell(nil, p); !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), field+":") {
			t.Errorf("%s: got %v", field, err)
		}
	}
}

func BenchmarkFitTimeToSell(b *testing.B) {
	w := world{scale: 90, shape: 1.3, price: 3, fullSet: -0.3, referenceSD: 0.5, metalSD: 0.25}
	spells, _ := w.spells(20_000, rand.New(rand.NewPCG(4, 7)))
	for b.Loop() {
		fitTime(b, spells, CommonPrior())
	}
}

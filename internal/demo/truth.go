package demo

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// The truth behind the prices. Every figure here is documented in
// docs/demo-world.md, so that what the program finds can be held against it.

// basePrice is what a watch of a maker and a family with no effect of their own
// brought in the first quarter of 1998, in EUR: steel, plain dial, condition 7,
// originality 0.90, made in 1960, the watch alone, sold by a dealer.
const basePrice = 600.0

var makerEffect = map[string]float64{
	"corvane": 0.35, "halmstedt-roy": 0.50, "ostrel": -0.15, "quillard": 0.05, "lindqvarn": -0.10, "brackwell": -0.25,
}

var familyEffect = map[string]float64{
	"plenaire": 1.05, "aurelane": -0.10, "nereon": 0.85, "solvane": 0, "skerrow": 0.45, "calden": -0.35,
	"comptelle": 0.75, "belorme": 0.05, "isfarare": 0, "djupare": 0.55, "wayfarthing": -0.25, "marlock": 0.40,
}

// market is what the sales know of a reference beside the book: its own level, its
// rank by number of sales, and a share of that number where it is rarer still.
type marketOf struct {
	effect float64
	rank   int
	rare   float64
}

// referenceMarket holds one entry a reference. Within a metal the effects sum to
// nil, so that the premium of a metal is what TruePremium says.
var referenceMarket = map[string]marketOf{
	"corvane KR-1": {0.05, 1, 1}, "corvane KR-2": {0.20, 4, 1}, "corvane KV-1": {-0.25, 6, 1},
	"corvane KR-8-14": {0.03, 17, 1}, "corvane KR-8-18": {0.06, 13, 1}, "corvane KV-3": {0.04, 21, 1},
	"corvane KD-1": {0.03, 16, 1}, "corvane KD-2": {0.02, 10, 1}, "corvane KD-5": {0.02, 25, 1},
	"halmstedt-roy 610": {0.18, 14, 1}, "halmstedt-roy 611": {0.04, 5, 1}, "halmstedt-roy 620": {-0.22, 3, 1},
	"halmstedt-roy 628": {-0.04, 20, 1},
	"halmstedt-roy 205": {0, 18, 1}, "halmstedt-roy 206": {-0.02, 27, 1}, "halmstedt-roy 210": {0, 12, 1},
	"ostrel OS-10": {0.20, 11, 1}, "ostrel OS-11": {0.02, 2, 1}, "ostrel OS-13": {-0.04, 19, 1},
	"ostrel OS-20": {-0.22, 7, 1},
	"ostrel 330":   {-0.04, 15, 1}, "ostrel 332": {-0.05, 22, 1}, "ostrel 340": {0.04, 8, 1},
	"quillard QC-1": {0.05, 24, 1}, "quillard QC-2": {0.04, 30, 1}, "quillard QC-5": {-0.05, 23, 1},
	"quillard QB-2": {0.02, 38, 0.06}, "quillard QB-4": {-0.02, 26, 1}, "quillard QB-5": {-0.01, 28, 1},
	"lindqvarn L-101": {0.06, 31, 1}, "lindqvarn L-102": {-0.06, 29, 1}, "lindqvarn L-104": {-0.01, 36, 0.5},
	"lindqvarn L-220": {0.15, 32, 1}, "lindqvarn L-221": {-0.02, 33, 1}, "lindqvarn L-224": {-0.13, 41, 0.05},
	"brackwell 850": {0.08, 35, 1}, "brackwell 852": {-0.08, 9, 1}, "brackwell 854": {-0.01, 37, 1},
	"brackwell 880": {0.06, 34, 1}, "brackwell 881": {-0.08, 39, 1}, "brackwell 888": {-0.04, 40, 0.6},
}

var dialEffect = map[string]float64{
	"silver": 0, "black": 0.10, "gilt": 0.30, "reverse": 0.35, "contrast": 0.22, "linen": 0.06,
	"salmon": 0.25, "blue": 0.08,
}

var completenessEffect = map[string]float64{"watch": 0, "papers": 0.09, "full": 0.17}

var countryEffect = map[string]float64{"DE": 0, "CH": 0.03, "FR": -0.01, "GB": 0, "IT": 0.03, "US": 0.02,
	"SE": -0.02, "NL": 0}

// channel is a way of selling: who sold and what the price noted means.
type channel struct {
	venue, basis string
	effect       float64
	share        float64
}

var channels = []channel{
	{"dealer", "sold", 0, 0.30}, {"dealer", "asking", 0.07, 0.18}, {"auction", "hammer", -0.27, 0.14},
	{"auction", "all-in", -0.05, 0.16}, {"private", "sold", -0.12, 0.14}, {"trade", "sold", -0.20, 0.08},
}

const (
	conditionEffect   = 0.11   // a point of condition
	originalityEffect = 1.20   // from 0 to 1
	yearEffect        = -0.006 // a year later made
	plainCondition    = 7.0
	plainOriginality  = 0.90
	plainYear         = 1960
)

// indexKnots is the logarithm of the market's level by year; straight lines between.
var indexKnots = [][2]float64{
	{1998.0, 0}, {2001.0, 0.12}, {2007.5, 0.48}, {2009.25, 0.38}, {2014.0, 0.72}, {2019.5, 0.98}, {2020.25, 0.95},
	{2022.25, 1.38}, {2024.0, 1.20}, {2026.75, 1.29}, {2030.0, 1.38},
}

// Quarter names a quarter of a year, such as 2015-Q1.
type Quarter struct{ Year, Q int }

// QuarterOf is the quarter in which a day lies.
func QuarterOf(t time.Time) Quarter { return Quarter{t.Year(), (int(t.Month())-1)/3 + 1} }

// ParseQuarter reads a quarter such as 2015-Q1.
func ParseQuarter(s string) (Quarter, error) {
	var q Quarter
	if _, err := fmt.Sscanf(s, "%4d-Q%1d", &q.Year, &q.Q); err != nil || q.Q < 1 || q.Q > 4 || q.String() != s {
		return Quarter{}, fmt.Errorf("quarter %q: want a form such as 2015-Q1", s)
	}
	return q, nil
}

// String is the quarter as it is written, such as 2015-Q1.
func (q Quarter) String() string { return fmt.Sprintf("%04d-Q%d", q.Year, q.Q) }

// middle is the middle of the quarter in years.
func (q Quarter) middle() float64 { return float64(q.Year) + (float64(q.Q)-0.5)/4 }

// TrueIndex is the logarithm of the true level of the market in a quarter, 0 at the
// start of 1998.
func (w *World) TrueIndex(q Quarter) float64 { return trueIndex(q) }

func trueIndex(q Quarter) float64 {
	t := q.middle()
	for i := 1; i < len(indexKnots); i++ {
		a, b := indexKnots[i-1], indexKnots[i]
		if t <= b[0] {
			return a[1] + (b[1]-a[1])*(t-a[0])/(b[0]-a[0])
		}
	}
	return indexKnots[len(indexKnots)-1][1]
}

// TruePremium is the true premium of 18 karat gold over steel in a quarter, as a
// fraction, everything else held equal: 0.24 = 24 % dearer. It lies near 0.24 until
// 2020 and comes to about three times as much by the end of 2022.
func (w *World) TruePremium(q Quarter) float64 { return truePremium(q) }

func truePremium(q Quarter) float64 {
	t := q.middle()
	p := 0.24 + 0.02*math.Sin(2*math.Pi*(t-1998)/9)
	return p + 0.50*smoothStep((t-2020)/2.75)
}

// smoothStep rises from 0 at 0 to 1 at 1 with level ends.
func smoothStep(x float64) float64 {
	x = math.Min(1, math.Max(0, x))
	return x * x * (3 - 2*x)
}

// metalEffect is the logarithm of a metal's premium over steel in a quarter.
func metalEffect(metal string, q Quarter) float64 {
	gold := math.Log1p(truePremium(q))
	switch metal {
	case "gold18":
		return gold
	case "gold14":
		return 0.62 * gold
	case "two_tone":
		return 0.35 * gold
	case "gold_filled":
		return -0.30
	}
	return 0
}

// scale is the scale of the t errors of a reference: 0.08 to 0.18.
func (m marketOf) scale() float64 {
	_, part := math.Modf(float64(m.rank) * 0.618034)
	return 0.08 + 0.10*part
}

// features are what the truth of a price depends on.
type features struct {
	Maker, Family, Reference string // ids of the book
	Metal, Dial              string
	Completeness, Country    string
	Condition, Originality   float64
	Year                     int
	Channel                  channel
}

func (f features) key() string { return f.Maker + " " + f.Reference }

// logPrice is the logarithm of the true median price in EUR.
func (f features) logPrice(q Quarter) float64 {
	return math.Log(basePrice) + makerEffect[f.Maker] + familyEffect[f.Family] + referenceMarket[f.key()].effect +
		trueIndex(q) + metalEffect(f.Metal, q) + dialEffect[f.Dial] + conditionEffect*(f.Condition-plainCondition) +
		originalityEffect*(f.Originality-plainOriginality) + completenessEffect[f.Completeness] +
		countryEffect[f.Country] +
		yearEffect*float64(f.Year-plainYear) + f.Channel.effect
}

// median is the true median price in EUR.
func (f features) median(q Quarter) float64 { return math.Exp(f.logPrice(q)) }

// slug turns an id into a part of a file name.
func slug(s string) string {
	return strings.ToLower(strings.NewReplacer("/", "-", " ", "-", "&", "and").Replace(s))
}

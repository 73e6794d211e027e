package market

import (
	"time"

	"midcase/market/table"
	"midcase/money"
	"midcase/say"
)

// Basis is the kind of value that is asked for.
type Basis string

// The bases of value.
const (
	Retail        Basis = "retail"
	Trade         Basis = "trade"
	Private       Basis = "private"
	AuctionHammer Basis = "auction-hammer"
	AuctionAllIn  Basis = "auction-all-in"
	Insurance     Basis = "insurance"
)

// Bases lists all bases of value.
func Bases() []Basis {
	return []Basis{Retail, Trade, Private, AuctionHammer, AuctionAllIn, Insurance}
}

// Definition says what the basis means; a valuation quotes it.
func (b Basis) Definition() say.Statement {
	switch b {
	case Retail:
		return say.That("basis.retail")
	case Trade:
		return say.That("basis.trade")
	case Private:
		return say.That("basis.private")
	case AuctionHammer:
		return say.That("basis.auction-hammer")
	case AuctionAllIn:
		return say.That("basis.auction-all-in")
	case Insurance:
		return say.That("basis.insurance")
	}
	return say.Statement{}
}

// Subject is the watch to be valued, as far as it is known. Empty text, nil and 0
// mean not known, which is not the same as none.
type Subject struct {
	Maker        string   `json:"maker"`
	Family       string   `json:"family,omitempty"`
	Reference    string   `json:"reference"`
	Metal        string   `json:"metal,omitempty"`
	Dial         string   `json:"dial,omitempty"`
	Year         float64  `json:"year,omitempty"`
	Condition    *float64 `json:"condition,omitempty"`   // 1–10
	Originality  *float64 `json:"originality,omitempty"` // 0–1
	Completeness string   `json:"completeness,omitempty"`
	Country      string   `json:"country,omitempty"`

	// Standard deviations of what is only estimated.
	YearSD        float64 `json:"year_sd,omitempty"`
	ConditionSD   float64 `json:"condition_sd,omitempty"`
	OriginalitySD float64 `json:"originality_sd,omitempty"`

	// Venue and SaleBasis, where given, take the place of the basis of value: the
	// price as recorded by a sale of this venue and basis.
	Venue     string `json:"venue,omitempty"`
	SaleBasis string `json:"basis,omitempty"`
}

// Valuation is what the market says of a subject. The log price has a Student-t
// distribution around LogMedian with LogScale and DoF, from which the intervals
// come and from which others can draw.
type Valuation struct {
	Basis      Basis              `json:"basis"`
	Definition say.Statement      `json:"definition"`
	Currency   money.Currency     `json:"currency"`
	AsOf       string             `json:"as_of"`
	Median     float64            `json:"median"`
	Mean       float64            `json:"mean"`
	Interval   map[int][2]float64 `json:"interval"` // by probability content: 50, 80, 90 %
	LogMedian  float64            `json:"log_median"`
	LogScale   float64            `json:"log_scale"`
	DoF        float64            `json:"dof"`
	// LogShared is the standard deviation of the error of LogMedian, which all watches of
	// the reference share; it is part of LogScale.
	LogShared     float64        `json:"-"`
	Comparables   []Comparable   `json:"comparables"`
	Reconciled    *Reconciled    `json:"reconciled,omitempty"`
	Contributions []Contribution `json:"contributions,omitempty"`
	// the typical sale from which the contributions lead to Median
	Baseline         float64         `json:"baseline"`
	SalesUsed        int             `json:"sales_used"`
	SalesOfReference int             `json:"sales_of_reference"`
	Says             []say.Statement `json:"says"`
}

// Comparable is a past sale moved towards the subject line by line.
type Comparable struct {
	ID           string       `json:"sale"`
	Sale         table.Sale   `json:"record"`
	Price        float64      `json:"price"` // in the valuation's currency, at the rate of its day
	Adjustments  []Adjustment `json:"adjustments"`
	Adjusted     float64      `json:"adjusted"`
	Weight       float64      `json:"weight"` // they sum to 1
	GrossPercent float64      `json:"gross_percent"`
}

// Adjustment is one line of the grid, in the order of application: the running
// price times 1 + Percent/100 is the running price plus Amount.
type Adjustment struct {
	Feature    string  `json:"feature"`
	Subject    string  `json:"subject"`
	Comparable string  `json:"comparable"`
	Percent    float64 `json:"percent"`
	Amount     float64 `json:"amount"`
}

// Reconciled is what the comparables come to: the weighted median of the adjusted
// prices and the range of their middle 80 % of weight.
type Reconciled struct {
	Median float64    `json:"median"`
	Range  [2]float64 `json:"range"`
}

// Contribution is what one feature adds against the typical sale. The baseline
// times all 1 + Percent/100 is the median.
type Contribution struct {
	Feature string  `json:"feature"`
	Level   string  `json:"level"`
	Percent float64 `json:"percent"`
	Low90   float64 `json:"low_90"`
	High90  float64 `json:"high_90"`
}

// IndexPoint is a constant-quality index at one quarter; the first is 100.
type IndexPoint struct {
	Quarter  string     `json:"quarter"`
	Index    float64    `json:"index"`
	Interval [2]float64 `json:"interval_90"`
	Sales    int        `json:"sales"`
	Forecast bool       `json:"forecast,omitempty"` // after the last sale
}

// PremiumPoint is by how much one level is dearer than another at one quarter, as
// a fraction, all else equal.
type PremiumPoint struct {
	Quarter  string     `json:"quarter"`
	Premium  float64    `json:"premium"`
	Interval [2]float64 `json:"interval_90"`
	Sales    int        `json:"sales"` // of the level in the quarter
	Forecast bool       `json:"forecast,omitempty"`
}

// Scope narrows an index; empty fields mean all.
type Scope struct {
	Maker     string
	Family    string
	Reference string
}

// Suspect is a sale that the dealer should look at.
type Suspect struct {
	Line     int           `json:"line"`
	ID       string        `json:"sale"`
	Reason   say.Statement `json:"reason"`
	Chance   float64       `json:"chance"`   // that it is a mistake
	Expected float64       `json:"expected"` // by the other sales, in the model's currency
	Found    float64       `json:"found"`
}

// Options of a fit.
type Options struct {
	// Currency of the model; empty takes the commonest currency of the table.
	Currency money.Currency
	// Rates convert sales in other currencies; without a rate such a sale is left out
	// and reported.
	Rates *Rates
	// AsOf leaves out sales after this day; zero uses all.
	AsOf time.Time
	// DegreesOfFreedom of the Student-t errors; 0 estimates them.
	DegreesOfFreedom float64
	// Workers that share the work; 0 is one a processor. The result does not depend
	// on it.
	Workers int
}

// FitReport says what a fit used and found.
type FitReport struct {
	RowsRead      int                `json:"rows_read"`
	RowsUsed      int                `json:"rows_used"`
	RowsRejected  int                `json:"rows_rejected"`
	Seconds       float64            `json:"seconds"` // left to the caller, who has a clock
	ResidualScale float64            `json:"residual_scale"`
	DoF           float64            `json:"dof"`
	ErrorShare    float64            `json:"error_share"` // estimated share of prices that are mistakes
	Variance      map[string]float64 `json:"variance"`
	Condition     CurvatureTest      `json:"condition_curvature"`
	Currency      money.Currency     `json:"currency"`
	Iterations    int                `json:"iterations"`
	Rejected      []table.RowError   `json:"rejected,omitempty"`
	Unrated       []Unrated          `json:"unrated,omitempty"` // of those rejected: no rate converts them
	Says          []say.Statement    `json:"says"`
}

// CurvatureTest asks whether log price is a straight line in condition.
type CurvatureTest struct {
	Tested   bool    `json:"tested"`
	Estimate float64 `json:"estimate"` // log price per squared grade
	SE       float64 `json:"se"`
	Z        float64 `json:"z"`
	P        float64 `json:"p"`
	Used     bool    `json:"used"` // whether the curve is part of the model
}

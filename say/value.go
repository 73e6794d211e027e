package say

import (
	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
)

// Value is an argument of a statement: one of the types of this file, or a Statement.
type Value interface {
	// typeName names the type in JSON.
	typeName() string
}

// Exact is an amount of money to its minor unit.
type Exact struct{ Money money.Money }

// Estimate is an estimate of money, with its range where there is one.
type Estimate struct {
	Value    float64
	Range    estimate.Interval
	Currency money.Currency
}

// Unit is a unit of measure; the catalogue knows how it is written.
type Unit string

// The units.
const (
	None         Unit = ""
	MM           Unit = "mm"
	Gram         Unit = "g"
	GramPerCM3   Unit = "g/cm3"
	Newton       Unit = "N"
	SecondPerDay Unit = "s/d"
	Millisecond  Unit = "ms"
	Degree       Unit = "deg"
	Grade        Unit = "grade" // of 10
	Days         Unit = "days"
	Seconds      Unit = "s"
	Percent      Unit = "%"
	PerMille     Unit = "permille"
	Celsius      Unit = "celsius"
	PerHour      Unit = "per hour"
)

// Measure is a figure with a unit, to so many decimals at most. With Signed a plus is
// written too.
type Measure struct {
	Value    float64
	Range    estimate.Interval
	Unit     Unit
	Decimals int
	Signed   bool
}

// Percentage is a share of a whole, 0.2 for 20 %.
type Percentage float64

// Probability is a chance.
type Probability float64

// Number is a number of things.
type Number int

// Date is a day, ISO 8601.
type Date string

// Months is a span of months, both included. A month of 0 is an open end.
type Months struct{ First, Last edtf.Month }

// Noun is a word of the trade: ID names it within its Set. English is the word where the
// English catalogue does not list it.
type Noun struct{ Set, ID, English string }

// Proper is a proper name or words typed by somebody.
type Proper string

// List is several values.
type List []Value

func (Exact) typeName() string       { return "money" }
func (Estimate) typeName() string    { return "estimate" }
func (Measure) typeName() string     { return "measure" }
func (Percentage) typeName() string  { return "share" }
func (Probability) typeName() string { return "chance" }
func (Number) typeName() string      { return "count" }
func (Date) typeName() string        { return "day" }
func (Months) typeName() string      { return "months" }
func (Noun) typeName() string        { return "term" }
func (Proper) typeName() string      { return "name" }
func (List) typeName() string        { return "list" }
func (Statement) typeName() string   { return "statement" }

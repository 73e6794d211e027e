package table

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Precision of a sale's date.
const (
	DayDate uint8 = iota
	monthDate
	yearDate
)

// Table holds sales by column, about 120 bytes a sale plus its note. Make one with
// ReadCSV or NewTable; rows are added by Append and never changed.
type Table struct {
	Day       []int32 // days since 1970-01-01; the middle of a month or year
	precision []uint8
	coef      []int64 // price = coef / 10^scale
	scale     []uint8
	Year      []int16
	Cond      []float32 // NaN where not given
	Orig      []float32
	Line      []int32
	ID        []uint64

	Maker, Reference, Family, Metal, Dial, Completeness, Country, Venue, Basis, Currency Words
	serial, source, note                                                                 texts

	seen    hashSet
	ignored []string
}

// ErrDuplicate is wrapped by Append for a sale whose content is already there.
var ErrDuplicate = errors.New("the same sale is already in the table")

// EmptyTable is a table without sales.
func EmptyTable() *Table {
	t := &Table{}
	for _, w := range t.categories() {
		*w = newWords()
	}
	return t
}

func (t *Table) categories() []*Words {
	return []*Words{&t.Maker, &t.Reference, &t.Family, &t.Metal, &t.Dial, &t.Completeness, &t.Country, &t.Venue,
		&t.Basis, &t.Currency}
}

// NewTable makes a table of sales made in code or read from a store. The first
// sale that is not acceptable stops it, with its index in the error; a duplicate is
// an error too.
func NewTable(sales []Sale) (*Table, error) {
	t := EmptyTable()
	for i, s := range sales {
		if err := t.Append(s); err != nil {
			return nil, fmt.Errorf("sale %d: %w", i, err)
		}
	}
	return t, nil
}

// Len is the number of sales.
func (t *Table) Len() int { return len(t.Day) }

// Source is where row i was found, as given.
func (t *Table) Source(i int) string { return t.source.at(i) }

// IsDay reports whether the date of row i is a day, not a month or a year.
func (t *Table) IsDay(i int) bool { return t.precision[i] == DayDate }

// IgnoredColumns are columns of the file that a sales file does not have; their
// content was not read.
func (t *Table) IgnoredColumns() []string { return append([]string(nil), t.ignored...) }

// Append adds a sale under the rules of a sales file. It returns a RowError for a
// value that is not acceptable and ErrDuplicate for a sale that is there already.
func (t *Table) Append(s Sale) error {
	var f [columnCount][]byte
	f[colDate], f[colMaker], f[colReference] = []byte(s.Date), []byte(s.Maker), []byte(s.Reference)
	if !s.Price.IsZero() {
		f[colPrice], f[colCurrency] = []byte(s.Price.Decimal().String()), []byte(s.Price.Currency())
	}
	f[colFamily], f[colMetal], f[colDial] = []byte(s.Family), []byte(s.Metal), []byte(s.Dial)
	if s.Year != 0 {
		f[colYear] = strconv.AppendInt(nil, int64(s.Year), 10)
	}
	if s.Condition != nil {
		f[colCondition] = strconv.AppendFloat(nil, *s.Condition, 'f', -1, 64)
	}
	if s.Originality != nil {
		f[colOriginality] = strconv.AppendFloat(nil, *s.Originality, 'f', -1, 64)
	}
	f[colCompleteness], f[colCountry], f[colVenue] = []byte(s.Completeness), []byte(s.Country), []byte(s.Venue)
	f[colBasis], f[colSerial], f[colSource], f[colNote] = []byte(s.Basis), []byte(s.Serial), []byte(s.Source),
		[]byte(s.Note)
	if e := t.addRow(&f, s.Line, false, math.MaxInt32); e != nil {
		if e.duplicate {
			return fmt.Errorf("%w: %s", ErrDuplicate, e.Found)
		}
		return *e
	}
	return nil
}

// At is the sale of row i, with the text as it was given.
func (t *Table) At(i int) Sale {
	s := Sale{
		ID: SaleID(t.ID[i]), Line: int(t.Line[i]), Date: DateText(t.Day[i], t.precision[i]),
		Maker: t.Maker.At(i), Reference: t.Reference.At(i), Family: t.Family.At(i), Metal: t.Metal.At(i),
		Dial: t.Dial.At(i), Year: int(t.Year[i]), Condition: Given(t.Cond[i]), Originality: Given(t.Orig[i]),
		Completeness: t.Completeness.At(i), Country: t.Country.At(i), Venue: t.Venue.At(i), Basis: t.Basis.At(i),
		Serial: t.serial.at(i), Source: t.source.at(i), Note: t.note.at(i),
	}
	if d, err := decimal.New(t.coef[i], int(t.scale[i])); err == nil {
		if m, err := money.Parse(d.String(), t.Currency.At(i)); err == nil {
			s.Price = m
		}
	}
	return s
}

// Price is the price of row i in its own currency.
func (t *Table) Price(i int) float64 { return float64(t.coef[i]) / pow10[t.scale[i]] }

var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9}

// SaleID is the identifier of a sale by the hash of its content.
func SaleID(h uint64) string { return fmt.Sprintf("sale_%016x", h) }

// Given turns a stored figure back, at the five decimals that a sales file can
// sensibly give.
func Given(f float32) *float64 {
	if f != f {
		return nil
	}
	v := math.Round(float64(f)*1e5) / 1e5
	return &v
}

// DateText is a day as it was given: a day, month or year.
func DateText(day int32, precision uint8) string {
	d := DayTime(day)
	switch precision {
	case yearDate:
		return d.Format("2006")
	case monthDate:
		return d.Format("2006-01")
	}
	return d.Format(time.DateOnly)
}

// DayTime is the midnight that a day begins with.
func DayTime(day int32) time.Time { return time.Unix(int64(day)*86400, 0).UTC() }

// DayNumber counts days from 1970-01-01 in the proleptic Gregorian calendar.
// Algorithm: Howard Hinnant, "chrono-compatible low-level date algorithms"
// (from memory); checked against package time in the tests.
func DayNumber(y, m, d int) int32 {
	if m <= 2 {
		y--
	}
	era := y / 400
	yoe := y - era*400
	mp := (m + 9) % 12
	doy := (153*mp+2)/5 + d - 1
	doe := yoe*365 + yoe/4 - yoe/100 + doy
	return int32(era*146097 + doe - 719468)
}

// QuarterOf numbers quarters as 4·year + 0…3.
func QuarterOf(day int32) int {
	t := DayTime(day)
	return 4*t.Year() + (int(t.Month())-1)/3
}

// QuarterText is a quarter as 2015-Q1.
func QuarterText(q int) string { return fmt.Sprintf("%04d-Q%d", q/4, q%4+1) }

// reserve makes room for about n sales, so that a large file is not copied over and
// over while it grows.
func (t *Table) reserve(n int) {
	t.Day, t.precision, t.coef, t.scale = slices.Grow(t.Day, n), slices.Grow(t.precision, n), slices.Grow(t.coef, n),
		slices.Grow(t.scale, n)
	t.Year, t.Cond, t.Orig = slices.Grow(t.Year, n), slices.Grow(t.Cond, n), slices.Grow(t.Orig, n)
	t.Line, t.ID = slices.Grow(t.Line, n), slices.Grow(t.ID, n)
	for _, w := range t.categories() {
		w.Code = slices.Grow(w.Code, n)
	}
	size := 1024
	for size < 2*(n+1) {
		size *= 2
	}
	if size > len(t.seen.slot) {
		t.seen.resize(size)
	}
}

package market

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
	dayDate uint8 = iota
	monthDate
	yearDate
)

// Table holds sales by column, about 120 bytes a sale plus its note. Make one with
// ReadCSV or NewTable; rows are added by Append and never changed.
type Table struct {
	day       []int32 // days since 1970-01-01; the middle of a month or year
	precision []uint8
	coef      []int64 // price = coef / 10^scale
	scale     []uint8
	year      []int16
	cond      []float32 // NaN where not given
	orig      []float32
	line      []int32
	id        []uint64

	maker, reference, family, metal, dial, completeness, country, venue, basis, currency words
	serial, source, note                                                                 texts

	seen    hashSet
	ignored []string
}

// ErrDuplicate is wrapped by Append for a sale whose content is already there.
var ErrDuplicate = errors.New("the same sale is already in the table")

func emptyTable() *Table {
	t := &Table{}
	for _, w := range t.categories() {
		*w = newWords()
	}
	return t
}

func (t *Table) categories() []*words {
	return []*words{&t.maker, &t.reference, &t.family, &t.metal, &t.dial, &t.completeness, &t.country, &t.venue, &t.basis, &t.currency}
}

// NewTable makes a table of sales made in code or read from a store. The first
// sale that is not acceptable stops it, with its index in the error; a duplicate is
// an error too.
func NewTable(sales []Sale) (*Table, error) {
	t := emptyTable()
	for i, s := range sales {
		if err := t.Append(s); err != nil {
			return nil, fmt.Errorf("sale %d: %w", i, err)
		}
	}
	return t, nil
}

// Len is the number of sales.
func (t *Table) Len() int { return len(t.day) }

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
	f[colBasis], f[colSerial], f[colSource], f[colNote] = []byte(s.Basis), []byte(s.Serial), []byte(s.Source), []byte(s.Note)
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
		ID: saleID(t.id[i]), Line: int(t.line[i]), Date: dateText(t.day[i], t.precision[i]),
		Maker: t.maker.at(i), Reference: t.reference.at(i), Family: t.family.at(i), Metal: t.metal.at(i),
		Dial: t.dial.at(i), Year: int(t.year[i]), Condition: given(t.cond[i]), Originality: given(t.orig[i]),
		Completeness: t.completeness.at(i), Country: t.country.at(i), Venue: t.venue.at(i), Basis: t.basis.at(i),
		Serial: t.serial.at(i), Source: t.source.at(i), Note: t.note.at(i),
	}
	if d, err := decimal.New(t.coef[i], int(t.scale[i])); err == nil {
		if m, err := money.Parse(d.String(), t.currency.at(i)); err == nil {
			s.Price = m
		}
	}
	return s
}

func (t *Table) price(i int) float64 { return float64(t.coef[i]) / pow10[t.scale[i]] }

var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9}

func saleID(h uint64) string { return fmt.Sprintf("sale_%016x", h) }

// given turns a stored figure back, at the five decimals that a sales file can
// sensibly give.
func given(f float32) *float64 {
	if f != f {
		return nil
	}
	v := math.Round(float64(f)*1e5) / 1e5
	return &v
}

func dateText(day int32, precision uint8) string {
	d := dayTime(day)
	switch precision {
	case yearDate:
		return d.Format("2006")
	case monthDate:
		return d.Format("2006-01")
	}
	return d.Format(time.DateOnly)
}

func dayTime(day int32) time.Time { return time.Unix(int64(day)*86400, 0).UTC() }

// dayNumber counts days from 1970-01-01 in the proleptic Gregorian calendar.
// Algorithm: Howard Hinnant, "chrono-compatible low-level date algorithms"
// (from memory); checked against package time in the tests.
func dayNumber(y, m, d int) int32 {
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

// quarterOf numbers quarters as 4·year + 0…3.
func quarterOf(day int32) int {
	t := dayTime(day)
	return 4*t.Year() + (int(t.Month())-1)/3
}

func quarterText(q int) string { return fmt.Sprintf("%04d-Q%d", q/4, q%4+1) }

// reserve makes room for about n sales, so that a large file is not copied over and
// over while it grows.
func (t *Table) reserve(n int) {
	t.day, t.precision, t.coef, t.scale = slices.Grow(t.day, n), slices.Grow(t.precision, n), slices.Grow(t.coef, n), slices.Grow(t.scale, n)
	t.year, t.cond, t.orig = slices.Grow(t.year, n), slices.Grow(t.cond, n), slices.Grow(t.orig, n)
	t.line, t.id = slices.Grow(t.line, n), slices.Grow(t.id, n)
	for _, w := range t.categories() {
		w.code = slices.Grow(w.code, n)
	}
	size := 1024
	for size < 2*(n+1) {
		size *= 2
	}
	if size > len(t.seen.slot) {
		t.seen.resize(size)
	}
}

package table

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"midcase/money"
	"midcase/typed"
)

// The columns of a sales file.
const (
	colDate = iota
	colMaker
	colReference
	colPrice
	colCurrency
	colFamily
	colMetal
	colDial
	colYear
	colCondition
	colCompleteness
	colOriginality
	colCountry
	colVenue
	colBasis
	colSerial
	colSource
	colNote
	columnCount
)

var columnNames = [columnCount]string{
	"date", "maker", "reference", "price", "currency", "family", "metal", "dial", "year", "condition",
	"completeness", "originality", "country", "venue", "basis", "serial", "source", "note",
}

// requiredColumns come first in columnNames.
const requiredColumns = 5

// RowError says why a row of a file was kept out: where, what was found and what
// would be right.
type RowError struct {
	File  string `json:"file,omitempty"`
	Line  int    `json:"line"`
	Field string `json:"field,omitempty"` // column, empty where the whole row is meant
	Found string `json:"found"`
	Want  string `json:"want"`

	duplicate bool
	hash      uint64 // of a duplicate
}

// Error is the reason in one line: sales.csv:17: price "£5k": want …
func (e RowError) Error() string {
	var b strings.Builder
	if e.File != "" {
		fmt.Fprintf(&b, "%s:", e.File)
	}
	if e.Line > 0 {
		fmt.Fprintf(&b, "%d:", e.Line)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if e.Field != "" {
		b.WriteString(e.Field + " ")
	}
	fmt.Fprintf(&b, "%q: want %s", e.Found, e.Want)
	return b.String()
}

func wrong(field int, found []byte, want string) *RowError {
	return &RowError{Field: columnNames[field], Found: Excerpt(found), Want: want}
}

// Excerpt keeps what was found short and printable.
func Excerpt(b []byte) string {
	const most = 60
	s := strings.ToValidUTF8(string(b[:min(len(b), most)]), "�")
	if len(b) > most {
		s += "…"
	}
	return s
}

// addRow checks the fields of one sale and adds it. Nothing is added when it
// returns an error. plain says that all bytes are known to be printable ASCII.
func (t *Table) addRow(f *[columnCount][]byte, line int, plain bool, latest int32) *RowError {
	for k := range f {
		f[k] = trim(f[k])
		if k < requiredColumns && len(f[k]) == 0 {
			return wrong(k, nil, "a value; this column may not be empty")
		}
	}
	day, precision, problem := ParseDate(f[colDate])
	if problem != "" {
		return wrong(colDate, f[colDate], problem)
	}
	if first := firstDay(day, precision); first > latest {
		return wrong(colDate, f[colDate], "a date that is not in the future")
	}
	coef, scale, problem := parsePrice(f[colPrice])
	if problem != "" {
		return wrong(colPrice, f[colPrice], problem)
	}
	cur, e := t.currencyCode(f[colCurrency])
	if e != nil {
		return e
	}
	year, problem := parseYear(f[colYear])
	if problem != "" {
		return wrong(colYear, f[colYear], problem)
	}
	cond, ok := ParseFigure(f[colCondition], 1, 10)
	if !ok {
		return wrong(colCondition, f[colCondition], "a grade from 1 to 10, or nothing")
	}
	orig, ok := ParseFigure(f[colOriginality], 0, 1)
	if !ok {
		return wrong(colOriginality, f[colOriginality], "a share from 0 to 1, or nothing")
	}
	for k := range f {
		if plain && len(f[k]) <= typed.MaxLine && (len(f[k]) == 0 || f[k][0] != '\'') {
			continue
		}
		f[k] = []byte(typed.FromCell(string(f[k])))
		if e := cleanText(k, f[k]); e != nil {
			return e
		}
	}
	return t.push(f, parsedRow{day, precision, coef, scale, cur, year, cond, orig, int32(min(line, math.MaxInt32))})
}

type parsedRow struct {
	day       int32
	precision uint8
	coef      int64
	scale     uint8
	currency  uint32
	year      int16
	cond      float32
	orig      float32
	line      int32
}

func (t *Table) push(f *[columnCount][]byte, p parsedRow) *RowError {
	cats := t.categories()
	fields := [...]int{colMaker, colReference, colFamily, colMetal, colDial, colCompleteness, colCountry, colVenue,
		colBasis}
	var code [len(fields)]uint32
	h := chain(uint64(uint32(p.day))<<8|uint64(p.precision), uint64(uint16(p.year)))
	h = chain(h, math.Float64bits(float64(p.coef)/pow10[p.scale]))
	h = chain(h, uint64(math.Float32bits(p.cond))<<32|uint64(math.Float32bits(p.orig)))
	h = chain(h, t.Currency.hash[p.currency])
	for k, col := range fields {
		code[k] = cats[k].lookup(f[col])
		h = chain(h, cats[k].hash[code[k]])
	}
	for _, col := range [...]int{colSerial, colSource, colNote} {
		if len(f[col]) > 0 {
			h = chain(h, textHash(f[col])+uint64(col))
		}
	}
	if !t.seen.add(h) {
		return &RowError{Found: SaleID(h), Want: "a sale that is not yet there; this row is a duplicate",
			duplicate: true, hash: h}
	}
	for k := range fields {
		cats[k].Code = append(cats[k].Code, code[k])
	}
	t.Currency.Code = append(t.Currency.Code, p.currency)
	t.Day, t.precision = append(t.Day, p.day), append(t.precision, p.precision)
	t.coef, t.scale = append(t.coef, p.coef), append(t.scale, p.scale)
	t.Year, t.Cond, t.Orig = append(t.Year, p.year), append(t.Cond, p.cond), append(t.Orig, p.orig)
	t.Line, t.ID = append(t.Line, p.line), append(t.ID, h)
	row := len(t.Day) - 1
	t.serial.add(f[colSerial], row)
	t.source.add(f[colSource], row)
	t.note.add(f[colNote], row)
	return nil
}

// Duplicate reports whether the row was kept out only because the same sale was
// there already.
func (e RowError) Duplicate() bool { return e.duplicate }

func (t *Table) currencyCode(b []byte) (uint32, *RowError) {
	w := &t.Currency
	if s := w.Spelling[w.last]; s != "" && s == string(b) {
		return w.last, nil
	}
	c, err := money.ParseCurrency(string(b))
	if err != nil {
		return 0, wrong(colCurrency, b, "an ISO 4217 code, such as EUR")
	}
	return w.lookup([]byte(c)), nil
}

// cleanText refuses what is no text, or longer than a shop keeps.
func cleanText(k int, b []byte) *RowError {
	check := typed.Line
	if k == colSource || k == colNote {
		check = typed.Text
	}
	_, want := check(string(b))
	switch {
	case want == "":
		return nil
	case !utf8.Valid(b):
		return wrong(k, b, "text in UTF-8; save the file as UTF-8")
	}
	return wrong(k, b, want)
}

func trim(b []byte) []byte {
	if len(b) == 0 || (b[0] > ' ' && b[0] < utf8.RuneSelf && b[len(b)-1] > ' ' && b[len(b)-1] < utf8.RuneSelf) {
		return b
	}
	return bytes.TrimSpace(b)
}

// ParseDate reads an ISO 8601 day, month or year.
func ParseDate(b []byte) (day int32, precision uint8, problem string) {
	const want = "an ISO 8601 date: 2024-03-31, 2024-03 or 2024"
	y, ok := digits(b, 0, 4)
	if !ok || y < 1000 {
		return 0, 0, want
	}
	if len(b) == 4 {
		return DayNumber(y, 7, 1), yearDate, ""
	}
	if len(b) < 7 || b[4] != '-' {
		return 0, 0, want
	}
	m, ok := digits(b, 5, 7)
	if !ok {
		return 0, 0, want
	}
	if m < 1 || m > 12 {
		return 0, 0, "a month from 01 to 12"
	}
	if len(b) == 7 {
		return DayNumber(y, m, 15), monthDate, ""
	}
	d, ok := digits(b, 8, 10)
	if len(b) != 10 || b[7] != '-' || !ok {
		return 0, 0, want
	}
	if d < 1 || d > monthDays(y, m) {
		return 0, 0, fmt.Sprintf("a day that exists; %04d-%02d has %d days", y, m, monthDays(y, m))
	}
	return DayNumber(y, m, d), DayDate, ""
}

func monthDays(y, m int) int {
	switch m {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// firstDay is the first day that a vague date covers.
func firstDay(day int32, precision uint8) int32 {
	t := DayTime(day)
	switch precision {
	case yearDate:
		return DayNumber(t.Year(), 1, 1)
	case monthDate:
		return DayNumber(t.Year(), int(t.Month()), 1)
	}
	return day
}

func digits(b []byte, from, to int) (int, bool) {
	if len(b) < to {
		return 0, false
	}
	n := 0
	for _, c := range b[from:to] {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, true
}

// parsePrice reads a plain positive decimal as coefficient and scale.
func parsePrice(b []byte) (coef int64, scale uint8, problem string) {
	const want = "a plain decimal above zero, such as 1234.50: no sign of currency, no thousands separator, no decimal comma"
	point, figures := false, 0
	for k, c := range b {
		switch {
		case c >= '0' && c <= '9':
			if figures++; figures > 17 {
				return 0, 0, "a price of at most 17 digits"
			}
			coef = 10*coef + int64(c-'0')
			if point {
				scale++
			}
		case c == '.' && !point && k > 0 && k < len(b)-1:
			point = true
		case c == '-' && k == 0 && len(b) > 1:
			return 0, 0, "a price above zero"
		default:
			return 0, 0, want
		}
	}
	if scale > 9 {
		return 0, 0, "a price of at most 9 decimals"
	}
	if figures == 0 {
		return 0, 0, want
	}
	if coef == 0 {
		return 0, 0, "a price above zero"
	}
	return coef, scale, ""
}

func parseYear(b []byte) (int16, string) {
	if len(b) == 0 {
		return 0, ""
	}
	y, ok := digits(b, 0, 4)
	if !ok || len(b) != 4 || y < 1500 || y > 2200 {
		return 0, "the year of making in four digits, or nothing"
	}
	return int16(y), ""
}

// ParseFigure reads a plain decimal in [low, high]; empty is NaN.
func ParseFigure(b []byte, low, high float64) (float32, bool) {
	if len(b) == 0 {
		return float32(math.NaN()), true
	}
	whole, frac, div, seen, point := 0.0, 0.0, 1.0, 0, false
	for _, c := range b {
		switch {
		case c >= '0' && c <= '9':
			if seen++; seen > 18 {
				continue
			}
			if point {
				div *= 10
				frac = 10*frac + float64(c-'0')
			} else {
				whole = 10*whole + float64(c-'0')
			}
		case c == '.' && !point:
			point = true
		default:
			return 0, false
		}
	}
	v := whole + frac/div
	return float32(v), seen > 0 && v >= low && v <= high
}

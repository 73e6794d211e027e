package table

import (
	"io"
	"time"
)

// Unpriced is a row of a sales file read without its price: a watch to be valued.
type Unpriced struct {
	Row  int       // 1 is the first row after the header
	Day  time.Time // zero where the row gives none
	Sale Sale      // without ID, date and price
}

// ReadUnpriced reads the rows of a sales file of which only maker is required. Rows
// that are not acceptable are returned as RowErrors.
func ReadUnpriced(r io.Reader, name string) ([]Unpriced, []RowError, error) {
	var out []Unpriced
	var bad []RowError
	var ignored []string
	row := 0
	err := readRecords(r, name, Share{}, []int{colMaker}, &ignored, func(f *[columnCount][]byte, at position) {
		line := at.line
		row++
		s, e := unpricedRow(f)
		if e != nil {
			e.File, e.Line = name, line
			bad = append(bad, *e)
			return
		}
		s.Row, s.Sale.Line = row, line
		out = append(out, s)
	}, func(e RowError) { row++; bad = append(bad, e) })
	return out, bad, err
}

func unpricedRow(f *[columnCount][]byte) (Unpriced, *RowError) {
	for k := range f {
		f[k] = trim(f[k])
		if e := cleanText(k, f[k]); e != nil {
			return Unpriced{}, e
		}
	}
	var out Unpriced
	if len(f[colDate]) > 0 {
		day, _, problem := ParseDate(f[colDate])
		if problem != "" {
			return out, wrong(colDate, f[colDate], problem)
		}
		out.Day = DayTime(day)
	}
	year, problem := parseYear(f[colYear])
	if problem != "" {
		return out, wrong(colYear, f[colYear], problem)
	}
	cond, ok := ParseFigure(f[colCondition], 1, 10)
	if !ok {
		return out, wrong(colCondition, f[colCondition], "a grade from 1 to 10, or nothing")
	}
	orig, ok := ParseFigure(f[colOriginality], 0, 1)
	if !ok {
		return out, wrong(colOriginality, f[colOriginality], "a share from 0 to 1, or nothing")
	}
	out.Sale = Sale{
		Maker: string(f[colMaker]), Family: string(f[colFamily]), Reference: string(f[colReference]),
		Metal: string(f[colMetal]),
		Dial:  string(f[colDial]), Year: int(year), Condition: Given(cond), Originality: Given(orig),
		Completeness: string(f[colCompleteness]),
		Country:      string(f[colCountry]), Venue: string(f[colVenue]), Basis: string(f[colBasis]),
	}
	return out, nil
}

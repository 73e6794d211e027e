package edtf

import (
	"fmt"
	"time"
)

// Month counts calendar months since January of year 0, so that May 1968 is
// 1968*12 + 4. It orders and subtracts as a plain integer.
type Month int

// MonthOf returns the Month of a calendar year and month (1–12).
func MonthOf(year, month int) Month { return Month(year*12 + month - 1) }

// MonthFromTime returns the Month in which t falls, in t's own location.
func MonthFromTime(t time.Time) Month { return MonthOf(t.Year(), int(t.Month())) }

// Year is the calendar year of m.
func (m Month) Year() int { return floorDiv(int(m), 12) }

// Calendar is the calendar month of m, 1–12.
func (m Month) Calendar() int { return int(m) - 12*floorDiv(int(m), 12) + 1 }

// Fraction is the middle of the month as a year with decimals.
func (m Month) Fraction() float64 { return (float64(m) + 0.5) / 12 }

// String writes m as YYYY-MM.
func (m Month) String() string { return fmt.Sprintf("%04d-%02d", m.Year(), m.Calendar()) }

// MarshalText writes m as YYYY-MM.
func (m Month) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads a month written YYYY-MM.
func (m *Month) UnmarshalText(b []byte) error {
	v, err := ParseMonth(string(b))
	if err != nil {
		return err
	}
	*m = v
	return nil
}

// ParseMonth reads a month written YYYY-MM, such as 1968-05.
func ParseMonth(s string) (Month, error) {
	t, err := time.Parse("2006-01", s)
	if err != nil {
		return 0, fmt.Errorf("month %q: want YYYY-MM, such as 1968-05", s)
	}
	return MonthFromTime(t), nil
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

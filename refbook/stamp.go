package refbook

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"midcase/edtf"
)

// The forms in which a stamp carries its date. How makers stamped is common
// practice of the trade, no published source; each scheme of the book names its own.
var (
	quarterForm = regexp.MustCompile(`^(IV|I{1,3}|[1-4])[ .\-/']*(\d{4}|\d{2})$`)
	letterForm  = regexp.MustCompile(`^(\p{L}{1,2})[ .\-/']*(\d{1,2})?$`)
	monthForm   = regexp.MustCompile(`^(\d{4}|\d{2})[ .\-/']*(\d{2})$`)
)

// Read turns a stamp into the months it may mean, first and last included.
//
//	quarter-year  "III 62", "3.62"   a quarter and a year of two or four figures
//	letter-year   "C7", "C"          a letter of Letters, then the month if there is one
//	year-month    "68-05", "6805"    a year of two or four figures and a month
//	table         as in Codes        the period of the code
//
// Case and spaces do not count. A year of two figures is taken in the century that
// falls within Used, or nearest to it; in the 1900s where Used is not given. An
// error says what the scheme would accept; a figure that cannot be read (?) is
// refused.
func (s Stamp) Read(text string) (first, last edtf.Month, err error) {
	t := strings.ToUpper(strings.TrimSpace(text))
	if strings.Contains(t, "?") {
		return 0, 0, fmt.Errorf("stamp %q: a character cannot be read", text)
	}
	switch s.Form {
	case "quarter-year":
		return s.readQuarter(text, t)
	case "letter-year":
		return s.readLetter(text, t)
	case "year-month":
		return s.readMonth(text, t)
	case "table":
		return s.readCode(text, t)
	}
	return 0, 0, fmt.Errorf("stamp scheme %s: form %q: want one of %s", s.ID, s.Form, strings.Join(StampForms(), ", "))
}

func (s Stamp) readQuarter(text, t string) (first, last edtf.Month, err error) {
	m := quarterForm.FindStringSubmatch(t)
	if m == nil {
		return 0, 0, fmt.Errorf("stamp %q: want a quarter and a year, such as III 62", text)
	}
	quarter := map[string]int{"I": 1, "II": 2, "III": 3, "IV": 4, "1": 1, "2": 2, "3": 3, "4": 4}[m[1]]
	first = edtf.MonthOf(s.year(m[2]), 3*quarter-2)
	return first, first + 2, nil
}

func (s Stamp) readLetter(text, t string) (first, last edtf.Month, err error) {
	m := letterForm.FindStringSubmatch(t)
	if m == nil {
		return 0, 0, fmt.Errorf("stamp %q: want a letter for the year and the month in figures, such as C7", text)
	}
	year, known := 0, false
	for k, y := range s.Letters {
		if strings.ToUpper(k) == m[1] {
			year, known = y, true
		}
	}
	if !known {
		return 0, 0, fmt.Errorf("stamp %q: the scheme %s has no letter %s; it has %s", text, s.ID, m[1],
			strings.Join(sorted(s.Letters), ", "))
	}
	if m[2] == "" {
		return edtf.MonthOf(year, 1), edtf.MonthOf(year, 12), nil
	}
	month, _ := strconv.Atoi(m[2])
	if month < 1 || month > 12 {
		return 0, 0, fmt.Errorf("stamp %q: there is no month %s", text, m[2])
	}
	return edtf.MonthOf(year, month), edtf.MonthOf(year, month), nil
}

func (s Stamp) readMonth(text, t string) (first, last edtf.Month, err error) {
	m := monthForm.FindStringSubmatch(t)
	if m == nil {
		return 0, 0, fmt.Errorf("stamp %q: want a year and a month, such as 68-05", text)
	}
	month, _ := strconv.Atoi(m[2])
	if month < 1 || month > 12 {
		return 0, 0, fmt.Errorf("stamp %q: there is no month %s", text, m[2])
	}
	first = edtf.MonthOf(s.year(m[1]), month)
	return first, first, nil
}

func (s Stamp) readCode(text, t string) (first, last edtf.Month, err error) {
	plain := func(x string) string { return strings.ToUpper(strings.Join(strings.Fields(x), "")) }
	for _, code := range sorted(s.Codes) {
		if plain(code) != plain(t) {
			continue
		}
		d, err := edtf.Parse(s.Codes[code])
		if err != nil {
			return 0, 0, fmt.Errorf("stamp scheme %s: code %s: %w", s.ID, code, err)
		}
		first, a := d.FirstMonth()
		last, b := d.LastMonth()
		if !a || !b {
			return 0, 0, fmt.Errorf("stamp scheme %s: code %s: the period %s is open", s.ID, code, d)
		}
		return first, last, nil
	}
	hint := nearest(t, sorted(s.Codes))
	if hint == "" {
		hint = "want one of " + strings.Join(sorted(s.Codes), ", ")
	}
	return 0, 0, fmt.Errorf("stamp %q: the scheme %s has no such code; %s", text, s.ID, hint)
}

// year reads a year of two or four figures.
func (s Stamp) year(text string) int {
	y, _ := strconv.Atoi(text)
	if len(text) == 4 {
		return y
	}
	from, to := 1900, 1999
	if m, ok := s.Used.FirstMonth(); ok {
		from, to = m.Year(), m.Year()+99
	}
	if m, ok := s.Used.LastMonth(); ok {
		to = m.Year()
		if s.Used.IsZero() || from > to {
			from = to - 99
		}
	}
	middle := (from + to) / 2
	best := 1800 + y
	for _, c := range []int{1900 + y, 2000 + y} {
		if abs(c-middle) < abs(best-middle) {
			best = c
		}
	}
	return best
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

package workbook

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// shown is how precisely a format of numbers shows days; zero where it shows none.
type shown byte

const (
	noDay shown = iota
	asYear
	asMonth
	asDay
	asPercent
)

// builtIn are the formats of days that have a number only (ECMA-376, 18.8.30). Those of
// East Asia are among them.
func builtIn(id int) shown {
	switch {
	case id == 9 || id == 10:
		return asPercent
	case id == 17 || id == 55:
		return asMonth
	case id >= 14 && id <= 16, id == 22, id >= 27 && id <= 31, id == 36, id >= 50 && id <= 54, id >= 56 && id <= 58:
		return asDay
	}
	return noDay
}

// formatShows reads a format such as "dd.mm.yyyy". What stands in quotes, brackets or
// behind a backslash is text.
func formatShows(code string) shown {
	var b strings.Builder
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case '\\', '_', '*':
			i++
		case '"':
			i = skipTo(code, i, '"')
		case '[':
			i = skipTo(code, i, ']')
		case ';':
			i = len(code) // the form of negative numbers
		default:
			b.WriteByte(c)
		}
	}
	code = strings.ToLower(b.String())
	if strings.HasPrefix(code, "general") {
		return noDay
	}
	year := strings.Contains(code, "y")
	switch {
	case strings.Contains(code, "d") && (year || strings.Contains(code, "m")):
		return asDay
	case year && strings.Contains(code, "m"):
		return asMonth
	case year:
		return asYear
	case strings.Contains(code, "%"):
		return asPercent
	}
	return noDay
}

func skipTo(code string, from int, shut byte) int {
	if i := strings.IndexByte(code[from+1:], shut); i >= 0 {
		return from + 1 + i
	}
	return len(code)
}

// Days as numbers: from the first of January 1900, which counts a 29 February 1900 that
// never was, or from the first of January 1904 (ECMA-376, 18.17.4.1).
const (
	unreal1900 = 60
	lastDay    = 2_958_465 // 31 December 9999
)

// Day is the day of a number in a workbook that counts from 1900 or from 1904.
func Day(n float64, from1904 bool) (time.Time, bool) {
	whole := math.Floor(n)
	if whole < 1 || whole > lastDay {
		return time.Time{}, false
	}
	first := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case from1904:
		first = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	case whole < unreal1900:
		first = time.Date(1899, 12, 31, 0, 0, 0, 0, time.UTC)
	}
	return first.AddDate(0, 0, int(whole)), true
}

// shownAs writes a number as its format shows it: a day as precisely as it does, a percentage.
func (b *Book) shownAs(text string, as shown) (string, bool) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return "", false
	}
	if as == asPercent {
		return number([]byte(strconv.FormatFloat(100*v, 'g', -1, 64))) + "%", true
	}
	t, ok := Day(v, b.From1904)
	if !ok {
		return "", false
	}
	return t.Format([]string{asYear: "2006", asMonth: "2006-01", asDay: time.DateOnly}[as]), true
}

// significant is how many figures a spreadsheet computes with.
const significant = 15

// number writes a number plainly. A spreadsheet saves 1234.56 as 1234.5599999999999, and
// numbers of more figures than it computes with as 1.2345678901234568E+17; these stay.
func number(text []byte) string {
	plain := len(text) <= significant
	for _, c := range text {
		plain = plain && (c >= '0' && c <= '9' || c == '.' || c == '-')
	}
	if plain {
		return string(text)
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || math.Abs(v) >= 1e15 {
		return string(text)
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', significant-1, 64), 64)
	if err != nil {
		return string(text)
	}
	return strconv.FormatFloat(short, 'f', -1, 64)
}

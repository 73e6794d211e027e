package document

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
)

const (
	nbsp  = "\u00a0"
	minus = "\u2212"
	// maxDecimals bounds what is ever printed after the point.
	maxDecimals = 3
)

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func stated(i [2]float64) bool { return finite(i[0]) && finite(i[1]) && i[1] > i[0] }

// decimals is how many places after the point a figure with the given half width
// of its interval may show: one figure of the half width, two where it begins with
// a 1. Negative values round before the point.
func decimals(half float64) int {
	e := math.Floor(math.Log10(half))
	if lead := half / math.Pow(10, e); lead > 1.05 && lead < 1.95 {
		e--
	}
	return int(math.Max(-12, math.Min(maxDecimals, -e)))
}

// rounded writes x to so many places, with thousands set apart by commas.
func rounded(x float64, places int) string {
	if !finite(x) {
		return "cannot tell"
	}
	if places < 0 {
		step := math.Pow(10, float64(-places))
		x, places = math.Round(x/step)*step, 0
	}
	s := strconv.FormatFloat(math.Abs(x), 'f', places, 64)
	whole, frac, _ := strings.Cut(s, ".")
	var b strings.Builder
	if x < 0 && strings.Trim(s, "0.") != "" {
		b.WriteString(minus)
	}
	b.WriteString(grouped(whole))
	if frac != "" {
		b.WriteString("." + frac)
	}
	return b.String()
}

// signed is rounded with a plus before what is above zero.
func signed(x float64, places int) string {
	s := rounded(x, places)
	if finite(x) && x > 0 && strings.Trim(s, "0.,") != "" {
		return "+" + s
	}
	return s
}

// within writes "8.2 ± 0.1 mm", or "8.2 (7.9–8.8) mm" where the interval is not
// even; a figure without an interval gets the places of its instrument.
func within(x float64, i [2]float64, unit string, places int) string {
	if unit != "" {
		unit = nbsp + unit
	}
	if !finite(x) {
		return "cannot tell"
	}
	if !stated(i) {
		return rounded(x, places) + unit
	}
	half := (i[1] - i[0]) / 2
	d := decimals(half)
	if math.Abs(i[0]+i[1]-2*x) < 0.4*half {
		return rounded(x, d) + nbsp + "±" + nbsp + rounded(half, d) + unit
	}
	return rounded(x, d) + nbsp + "(" + span(i, d) + ")" + unit
}

// span writes "7.9–8.8"; where a sign is in it, "−2 to 5".
func span(i [2]float64, places int) string {
	a, b := rounded(i[0], places), rounded(i[1], places)
	if a == b {
		return a
	}
	if i[0] < 0 || i[1] < 0 {
		return a + nbsp + "to" + nbsp + b
	}
	return a + "–" + b
}

// price writes an estimated price to three figures, as the opinion's own sentence
// does, and never to less than a whole unit.
func price(x float64) string {
	if !finite(x) {
		return "cannot tell"
	}
	places := 0
	if a := math.Abs(x); a >= 1000 {
		places = 2 - int(math.Floor(math.Log10(a)))
	}
	return rounded(x, places)
}

func prices(i [2]float64) string {
	a, b := price(i[0]), price(i[1])
	switch {
	case a == b:
		return a
	case i[0] < 0 || i[1] < 0:
		return a + nbsp + "to" + nbsp + b
	}
	return a + "–" + b
}

func priceRange(i [2]float64, c money.Currency) string {
	if !finite(i[0]) || !finite(i[1]) {
		return "cannot tell"
	}
	return prices(i) + currency(c)
}

func currency(c money.Currency) string {
	if c == "" {
		return ""
	}
	return nbsp + string(c)
}

// amount writes exact money: cents only where there are any.
func amount(m *money.Money) string {
	if m == nil || m.IsZero() {
		return "cannot tell"
	}
	places := m.Currency().MinorUnits()
	if x := m.Float(); x == math.Trunc(x) {
		places = 0
	}
	return rounded(m.Float(), places) + currency(m.Currency())
}

func percent(p float64) string { return strings.ReplaceAll(estimate.Percent(p), " ", nbsp) }

func monthWords(m edtf.Month) string {
	if m == 0 {
		return "no date"
	}
	return fmt.Sprintf("%s%s%d", time.Month(m.Calendar()), nbsp, m.Year())
}

func monthRange(i [2]edtf.Month) string {
	if i[0] == i[1] {
		return monthWords(i[0])
	}
	return monthWords(i[0]) + " to " + monthWords(i[1])
}

// shortMonths writes "3/1967–11/1969" for narrow columns.
func shortMonths(i [2]edtf.Month) string {
	if i[0] == 0 && i[1] == 0 {
		return ""
	}
	one := func(m edtf.Month) string { return fmt.Sprintf("%d/%d", m.Calendar(), m.Year()) }
	if i[0] == i[1] {
		return one(i[0])
	}
	return one(i[0]) + "–" + one(i[1])
}

func dayWords(t time.Time) string {
	if t.IsZero() {
		return "not dated"
	}
	return fmt.Sprintf("%d%s%s%s%d", t.Day(), nbsp, t.Month(), nbsp, t.Year())
}

// shortDay writes a day for narrow columns, as ISO 8601 has it.
func shortDay(t time.Time) string {
	if t.IsZero() {
		return "not dated"
	}
	return t.Format(time.DateOnly)
}

// isoDayWords writes an ISO 8601 day in words, and leaves another text alone.
func isoDayWords(s string) string {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return s
	}
	return dayWords(t)
}

// series writes "a", "a and b", "a, b and c".
func series(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// counted writes "1 part", "3 parts".
func counted(n int, noun string) string {
	if n == 1 {
		return "1" + nbsp + noun
	}
	return rounded(float64(n), 0) + nbsp + noun + "s"
}

// opening gives a sentence its capital and its stop.
func opening(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	r := []rune(s)
	if first := strings.ToUpper(string(r[0])); len(r) == 1 || !isUpper(r[1]) {
		s = first + string(r[1:])
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?:") {
		s += "."
	}
	return s
}

func isUpper(r rune) bool { return r >= 'A' && r <= 'Z' }

// grouped sets commas between the thousands of a whole number.
func grouped(digits string) string {
	var b strings.Builder
	for i, c := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(c)
	}
	return b.String()
}

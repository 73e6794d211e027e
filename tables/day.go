package tables

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// order is how a column writes day and month where both are figures.
type order string

const (
	unknown    order = ""
	dayFirst   order = "day-first"
	monthFirst order = "month-first"
)

var (
	iso        = regexp.MustCompile(`^(\d{4})-(\d{1,2})(?:-(\d{1,2}))?(?:[T ].*)?$`)
	yearFirst  = regexp.MustCompile(`^(\d{4})[/.](\d{1,2})(?:[/.](\d{1,2}))?\.?$`)
	twoMonths  = regexp.MustCompile(`^(\p{L}+)\.?\s*[/–-]\s*(\p{L}+)\.?\s+(20\d\d)$`)
	partOfYear = regexp.MustCompile(`^(\p{L}[\p{L} ]*?)\s+(?:in |of )?(1[89]\d\d|20\d\d)$`)
	twoShort   = regexp.MustCompile(`^['’]?(\d{2})\s?[/–-]\s?['’]?(\d{2})$`)
	together   = regexp.MustCompile(`^((?:19|20)\d\d)(\d\d)(\d\d)$`)
	dotted     = regexp.MustCompile(`^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{2}|\d{4})$`)
	slashed    = regexp.MustCompile(`^(\d{1,2})[/-](\d{1,2})[/-](\d{2}|\d{4})$`)
	monthYear  = regexp.MustCompile(`^(\d{1,2})[/.](\d{2}|\d{4})$`)
	yearOnly   = regexp.MustCompile(`^(1[89]\d\d|20\d\d)$`)
	twoYears   = regexp.MustCompile(`^(1[89]\d\d|20\d\d)\s?[/–-]\s?(\d{2}|\d{4})$`)
	shortYear  = regexp.MustCompile(`^['’](\d{2})$`)
	openYear   = regexp.MustCompile(`^(1[89]\d|20\d)[?xX_]$`)
	decade     = regexp.MustCompile(`^(?:(\p{L}[\p{L} ]*?)\s+)??(?:(?:the|der|les|années|anni|gli anni)\s+)?` +
		`(?:(1[89]\d0|20\d0)(?:'?s|er)?|'?([3-9]0)(?:'?s|er)|'([3-9]0))(?:\s?jahren?)?$`)
	decadeNamed = regexp.MustCompile(`^(?:(\p{L}[\p{L} ]*?)\s+)??(?:années|anni)\s+['’]?([3-9]0)$`)
	serialDay   = regexp.MustCompile(`^\d{5}(?:\.\d+)?$`)
	monthWords  = regexp.MustCompile(`^(?:(\d{1,2})\.?[ -]+)?(\p{L}+)[.,]?[ -]+(?:(\d{1,2}),?[ -]+)?['’]?(\d{2}|\d{4})$`)
)

var (
	aboutBehind = regexp.MustCompile(`^(['’]?\d{2,4})\s*(\?|\(?\p{L}+\.?\)?)$`)
	aboutBefore = regexp.MustCompile(`^(?:c|ca|circa)\.?((?:18|19|20)\d\d)$`)
	twoFigures  = regexp.MustCompile(`^[3-9]\d$`)
	partIn      = regexp.MustCompile(`\s+(?:of the|of|des|der|de|degli|dei|les|gli|the|in den|in the)$`)
	yearSigns   = regexp.MustCompile(`^(\d{4})年(\d{1,2})月(?:(\d{1,2})日)?$`)
	ordinal     = regexp.MustCompile(`\b(\d{1,2})(?:st|nd|rd|th|er|º|°)(\s|$)`)
	dayWords    = strings.NewReplacer(" of ", " ", " de ", " ", " di ", " ", "1°", "1")
	quarter     = regexp.MustCompile(`^[qt]([1-4])[ /-]?(1[89]\d\d|20\d\d)$|^(1[89]\d\d|20\d\d)[ /-]?[qt]([1-4])$`)
	season      = regexp.MustCompile(`^(\p{L}+)\s+(1[89]\d\d|20\d\d)$`)
)

// yearLeads are the forms that go from the year down to the day: 2025-03-31, 2025/3/31, 20250331.
var yearLeads = []*regexp.Regexp{iso, yearFirst, yearSigns, together}

func hasFigure(s string) bool { return strings.ContainsAny(s, "0123456789") }

// spanOf reads a quarter or a season as the months that it has. A winter is that of two years and is not read.
func (l *lexicon) spanOf(cell string) (string, bool) {
	lower := strings.ToLower(strings.TrimSpace(cell))
	if m := quarter.FindStringSubmatch(lower); m != nil {
		n, _ := strconv.Atoi(m[1] + m[4])
		year := m[2] + m[3]
		return fmt.Sprintf("%s-%02d/%s-%02d", year, 3*n-2, year, 3*n), true
	}
	if m := twoMonths.FindStringSubmatch(lower); m != nil {
		first, last := l.Months[m[1]], l.Months[m[2]]
		if first > 0 && first < last {
			return fmt.Sprintf("%s-%02d/%s-%02d", m[3], first, m[3], last), true
		}
	}
	if m := season.FindStringSubmatch(lower); m != nil {
		if first := l.Seasons[m[1]]; first > 0 {
			return fmt.Sprintf("%s-%02d/%s-%02d", m[2], first, m[2], first+2), true
		}
	}
	return "", false
}

// dayOf reads the day, month or year of a cell as EDTF. ambiguous reports that day and
// month can be read either way and ord does not decide.
func (l *lexicon) dayOf(cell string, ord order, now time.Time) (date string, ambiguous, ok bool) {
	cell = strings.TrimSpace(cell)
	switch {
	case cell == "":
		return "", false, false
	case serialDay.MatchString(cell):
		return spreadsheetDay(cell)
	}
	for _, form := range yearLeads {
		if m := form.FindStringSubmatch(cell); m != nil {
			date, ok = calendar(m[1], m[2], m[3])
			return date, false, ok
		}
	}
	if m := dotted.FindStringSubmatch(cell); m != nil {
		date, ok = calendar(century(m[3], now), m[2], m[1])
		return date, false, ok
	}
	if m := slashed.FindStringSubmatch(cell); m != nil {
		return slashedDay(m[1], m[2], century(m[3], now), ord)
	}
	if m := monthYear.FindStringSubmatch(cell); m != nil {
		date, ok = calendar(century(m[2], now), m[1], "")
		return date, false, ok
	}
	if yearOnly.MatchString(cell) {
		return cell, false, true
	}
	lower := dayWords.Replace(ordinal.ReplaceAllString(strings.ToLower(cell), "$1$2"))
	if first, rest, ok := strings.Cut(lower, " "); ok && l.Months[strings.Trim(first, ".,")] == 0 && !hasFigure(first) {
		lower = strings.TrimSpace(rest) // "Tuesday, March 4, 2025", "le 3 mars 2025"
		if m := dotted.FindStringSubmatch(lower); m != nil {
			date, ok = calendar(century(m[3], now), m[2], m[1])
			return date, false, ok
		}
		if m := monthWords.FindStringSubmatch(lower); m == nil || m[1] == "" && m[3] == "" {
			return "", false, false
		}
	}
	if m := monthWords.FindStringSubmatch(lower); m != nil {
		month, known := l.Months[m[2]]
		day := m[1]
		if day == "" {
			day = m[3]
		}
		if known {
			date, ok = calendar(century(m[4], now), strconv.Itoa(month), day)
			return date, false, ok
		}
	}
	return "", false, false
}

// slashedDay reads figures apart by slashes: by their size where that decides, by the
// column's order otherwise.
func slashedDay(a, b, year string, ord order) (date string, ambiguous, ok bool) {
	first, _ := strconv.Atoi(a)
	second, _ := strconv.Atoi(b)
	switch {
	case first > 12:
		date, ok = calendar(year, b, a)
		return date, false, ok
	case second > 12:
		date, ok = calendar(year, a, b)
		return date, false, ok
	case first == second || ord == dayFirst:
		date, ok = calendar(year, b, a)
		return date, false, ok
	case ord == monthFirst:
		date, ok = calendar(year, a, b)
		return date, false, ok
	}
	return "", true, false
}

// orderOf is how a column's slashed days are written, learned from those that can be read
// one way only; unknown where none decides or they disagree.
func orderOf(cells []string, form *regexp.Regexp) order {
	found := unknown
	for _, c := range cells {
		m := form.FindStringSubmatch(strings.TrimSpace(c))
		if m == nil {
			continue
		}
		first, _ := strconv.Atoi(m[1])
		second, _ := strconv.Atoi(m[2])
		this := unknown
		switch {
		case first > 12 && second <= 12:
			this = dayFirst
		case second > 12 && first <= 12:
			this = monthFirst
		default:
			continue
		}
		if found != unknown && found != this {
			return unknown
		}
		found = this
	}
	return found
}

// monthBefore writes a day with points as one with slashes where the column has the month first.
func (r *reader) monthBefore(at int, cell string) string {
	if !r.dotted[at] {
		return cell
	}
	if m := dotted.FindStringSubmatch(strings.TrimSpace(cell)); m != nil {
		if month, _ := strconv.Atoi(m[1]); month <= 12 {
			date, ok := calendar(century(m[3], r.opt.Now), m[1], m[2])
			if ok {
				return date
			}
		}
	}
	return cell
}

// spreadsheetDay reads the number under which a spreadsheet keeps a day: days since
// 30 December 1899 (ECMA-376, 18.17.4.1).
func spreadsheetDay(cell string) (string, bool, bool) {
	whole, _, _ := strings.Cut(cell, ".")
	n, err := strconv.Atoi(whole)
	if err != nil || n < 10_000 || n > 80_000 {
		return "", false, false
	}
	return time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n).Format(time.DateOnly), false, true
}

// century makes a year of two figures whole: no later than next year.
func century(year string, now time.Time) string {
	if len(year) == 4 {
		return year
	}
	y, _ := strconv.Atoi(year)
	if 2000+y > now.Year()+1 {
		return strconv.Itoa(1900 + y)
	}
	return strconv.Itoa(2000 + y)
}

// calendar writes a day, or a month where day is empty, if it is one.
func calendar(year, month, day string) (string, bool) {
	y, errY := strconv.Atoi(year)
	m, errM := strconv.Atoi(month)
	if errY != nil || errM != nil || m < 1 || m > 12 || y < 1800 {
		return "", false
	}
	if day == "" {
		return fmt.Sprintf("%04d-%02d", y, m), true
	}
	d, err := strconv.Atoi(day)
	at := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if err != nil || at.Day() != d || d < 1 {
		return "", false
	}
	return at.Format(time.DateOnly), true
}

// yearOf reads when a watch was made as EDTF: "1957", "ca. 1970" (1970~), "196?" (196X),
// "1960/61" (1960/1961), "early 1960s" (1960/1963), "'57".
func (l *lexicon) yearOf(cell string) (string, bool) {
	c := strings.TrimSpace(strings.NewReplacer("’", "'").Replace(cell))
	lower := strings.ToLower(c)
	for _, a := range l.About {
		for _, form := range []string{a + ". ", a + " ", a + "."} {
			if rest, ok := strings.CutPrefix(lower, form); ok {
				if twoFigures.MatchString(rest) {
					return "19" + rest + "~", true // "c.66"
				}
				if y, ok := l.yearOf(rest); ok && yearOnly.MatchString(y) {
					return y + "~", true
				}
			}
		}
	}
	if m := aboutBefore.FindStringSubmatch(lower); m != nil {
		return m[1] + "~", true
	}
	if m := aboutBehind.FindStringSubmatch(lower); m != nil && l.isAbout(m[2]) {
		if y, ok := l.yearOf(m[1]); ok && yearOnly.MatchString(y) {
			return y + "~", true
		}
	}
	if m := openYear.FindStringSubmatch(c); m != nil {
		return m[1] + "X", true
	}
	if yearOnly.MatchString(c) {
		return c, true
	}
	if m := shortYear.FindStringSubmatch(c); m != nil {
		return "19" + m[1], true
	}
	if m := twoYears.FindStringSubmatch(c); m != nil {
		last := m[2]
		if len(last) == 2 {
			last = m[1][:2] + last
		}
		if last > m[1] {
			return m[1] + "/" + last, true
		}
	}
	if m := twoShort.FindStringSubmatch(c); m != nil && m[1] >= "20" && m[2] > m[1] {
		return "19" + m[1] + "/19" + m[2], true
	}
	if m := decade.FindStringSubmatch(lower); m != nil {
		year := m[2]
		if year == "" {
			year = "19" + m[3] + m[4]
		}
		return l.decadeOf(m[1], year)
	}
	if m := decadeNamed.FindStringSubmatch(lower); m != nil {
		return l.decadeOf(m[1], "19"+m[2])
	}
	return "", false
}

// isAbout reports whether a word behind a year makes it uncertain: "1967 ca.", "1967?".
func (l *lexicon) isAbout(word string) bool {
	return word == "?" || slices.Contains(l.About, strings.Trim(word, ". ()"))
}

// whenOf reads when a watch was made down to the month: a year as yearOf does, a part of
// a year ("early 1966": January to April), a month or a day.
func (l *lexicon) whenOf(cell string, now time.Time) (string, bool) {
	if y, ok := l.yearOf(cell); ok {
		return y, true
	}
	lower := strings.ToLower(strings.TrimSpace(cell))
	if m := partOfYear.FindStringSubmatch(lower); m != nil {
		for _, part := range []struct {
			is          set
			first, last string
		}{{l.early, "01", "04"}, {l.mid, "05", "08"}, {l.late, "09", "12"}} {
			if part.is.has(m[1]) {
				return m[2] + "-" + part.first + "/" + m[2] + "-" + part.last, true
			}
		}
	}
	for _, a := range l.About {
		if rest, ok := strings.CutPrefix(lower, a+" "); ok {
			if y, ok := l.whenOf(rest, now); ok && !strings.Contains(y, "/") {
				return y + "~", true
			}
		}
	}
	date, _, ok := l.dayOf(cell, unknown, now)
	return date, ok
}

// decadeOf narrows a decade by "early", "mid" or "late".
func (l *lexicon) decadeOf(part, year string) (string, bool) {
	y, _ := strconv.Atoi(year)
	switch part = partIn.ReplaceAllString(strings.TrimSpace(part), ""); {
	case part == "":
		return year[:3] + "X", true
	case l.secondHalf.has(part):
		return fmt.Sprintf("%d/%d", y+5, y+9), true
	case l.early.has(part):
		return fmt.Sprintf("%d/%d", y, y+3), true
	case l.mid.has(part):
		return fmt.Sprintf("%d/%d", y+3, y+7), true
	case l.late.has(part):
		return fmt.Sprintf("%d/%d", y+6, y+9), true
	}
	return "", false
}

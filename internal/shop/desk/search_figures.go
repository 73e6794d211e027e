package desk

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"midcase/say"
)

// firstYear is the first of the years that four figures are read as.
const firstYear = 1850

var decadeForm = regexp.MustCompile(`^['’]?((?:1[89]|20)?[0-9]0)['’]?s$`)

// span reads a year, a decade or two of them: 1968, 1960s, 60s, 1965-1969, 1965/69.
func (s *searching) span(key string) (first, last int, ok bool) {
	if m := decadeForm.FindStringSubmatch(key); m != nil {
		n, _ := strconv.Atoi(m[1])
		if n < 100 {
			n += 1900
			if n+9 > s.year+9 || n < 1900 {
				return 0, 0, false
			}
		}
		return n, n + 9, n >= firstYear && n <= s.year
	}
	for _, dash := range []string{"-", "–", "/", ".."} {
		a, b, two := strings.Cut(key, dash)
		if !two {
			continue
		}
		first, isFirst := s.isYear(a)
		if len(b) == 2 && isFirst {
			b = a[:2] + b
		}
		last, isLast := s.isYear(b)
		return first, last, isFirst && isLast && first <= last
	}
	year, ok := s.isYear(key)
	return year, year, ok
}

func (s *searching) isYear(text string) (int, bool) {
	n, ok := whole(text)
	return n, ok && len(text) == figuresOfYear && n >= firstYear && n <= s.year
}

// whole reads a number of figures alone.
func whole(text string) (int, bool) {
	if text == "" || figures(text) != text {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

// years takes when a watch was made, with “early 1960s”, “before 1970”, “since 1965”, “1965 to 1969”.
func (s *searching) years(k []string) (int, SearchTerm) {
	if len(k) > 1 {
		first, last, ok := s.span(k[1])
		switch {
		case !ok:
		case k[0] == "before" || k[0] == "until":
			return 2, madeTerm(firstYear, last-1)
		case k[0] == "after":
			return 2, madeTerm(last+1, s.year)
		case k[0] == "since":
			return 2, madeTerm(first, s.year)
		case k[0] == "about" || k[0] == "circa" || k[0] == "c" || k[0] == "around":
			return 2, madeTerm(first-1, last+1)
		case k[0] == "early" && last-first == 9:
			return 2, madeTerm(first, first+3)
		case k[0] == "mid" && last-first == 9:
			return 2, madeTerm(first+4, first+6)
		case k[0] == "late" && last-first == 9:
			return 2, madeTerm(first+7, last)
		}
	}
	first, last, ok := s.span(k[0])
	if !ok {
		return 0, SearchTerm{}
	}
	if len(k) > 2 && (k[1] == "to" || k[1] == "until" || k[1] == "-" || k[1] == "–") {
		if _, until, ok := s.span(k[2]); ok && until >= first {
			return 3, madeTerm(first, until)
		}
	}
	return 1, madeTerm(first, last)
}

// madeTerm asks for a 90 % range of the date that reaches into some years.
func madeTerm(first, last int) SearchTerm {
	years := fmt.Sprintf("%d–%d", first, last)
	switch {
	case first == last:
		years = strconv.Itoa(first)
	case first == firstYear:
		years = fmt.Sprintf("%d or before", last)
	}
	return SearchTerm{As: say.That("search.made", say.Name("years", years)),
		holds: func(c *sought) bool { return c.facts.madeWithin(first, last) }}
}

var searchAmountForm = regexp.MustCompile(`^[€$£]?([0-9]{1,3}(?:[.,'’][0-9]{3})+|[0-9]+(?:[.,][0-9]+)?)(k)?(?:eur|chf|usd|gbp|€|\$|£)?$`)

// searchAmount reads a price as people type one: 5200, 5,200, 5.2k, €5200.
func searchAmount(key string) (float64, bool) {
	m := searchAmountForm.FindStringSubmatch(key)
	if m == nil {
		return 0, false
	}
	text := m[1]
	if grouped := regexp.MustCompile(`[.,'’][0-9]{3}(?:$|[.,'’])`); m[2] == "" && grouped.MatchString(text) {
		text = figures(text)
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	if m[2] != "" {
		v *= 1000
	}
	return v, err == nil
}

// figure takes a grade (“grade 7+”, “grade over 8”) or a price (“under 5000”, “over 5.2k”).
func (s *searching) figure(k []string) (int, SearchTerm) {
	if k[0] == "grade" && len(k) > 1 {
		return s.gradeNamed(k)
	}
	way, n := comparison(k)
	if n == 0 || len(k) <= n {
		return 0, SearchTerm{}
	}
	v, ok := searchAmount(k[n])
	if !ok {
		return 0, SearchTerm{}
	}
	t := SearchTerm{As: say.That("search.under", say.Fixed("price", v, say.None, 0)),
		holds: func(c *sought) bool { return c.price() > 0 && c.price() <= v }}
	if way > 0 {
		t = SearchTerm{As: say.That("search.over", say.Fixed("price", v, say.None, 0)),
			holds: func(c *sought) bool { return c.price() >= v }}
	}
	n++
	if len(k) > n && (k[n] == "eur" || k[n] == "euro" || k[n] == "chf" || k[n] == "usd") {
		n++
	}
	return n, t
}

// comparison reads “under”, “up to”, “at least”; way is 1 for more and −1 for less.
func comparison(k []string) (way, n int) {
	ways := map[string]int{"under": -1, "below": -1, "<": -1, "up to": -1, "at most": -1, "less than": -1, "cheaper than": -1,
		"over": 1, "above": 1, ">": 1, "at least": 1, "more than": 1, "dearer than": 1}
	return longest(k, 2, in(ways))
}

func (s *searching) gradeNamed(k []string) (int, SearchTerm) {
	at := 1
	way, m := comparison(k[1:])
	at += m
	if at >= len(k) {
		return 0, SearchTerm{}
	}
	text, more := strings.CutSuffix(k[at], "+")
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	if err != nil || !(v >= 1 && v <= 10) {
		return 0, SearchTerm{}
	}
	at++
	if way < 0 {
		return at, SearchTerm{As: say.That("search.grade-under", say.Fixed("grade", v, say.None, 1)),
			holds: func(c *sought) bool { return c.grade != nil && *c.grade <= v }}
	}
	if more || way > 0 {
		return at, SearchTerm{As: say.That("search.grade-over", say.Fixed("grade", v, say.None, 1)),
			holds: func(c *sought) bool { return c.grade != nil && *c.grade >= v }}
	}
	const half = 0.5
	return at, SearchTerm{As: say.That("search.grade", say.Fixed("grade", v, say.None, 1)),
		holds: func(c *sought) bool { return c.grade != nil && *c.grade >= v-half && *c.grade < v+half }}
}

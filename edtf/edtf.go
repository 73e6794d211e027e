package edtf

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Date is a date as somebody wrote it, perhaps vague. The zero Date means that
// no date was given.
type Date struct {
	text                 string
	first, last          time.Time // days in UTC
	hasFirst, hasLast    bool      // false where that side is open
	approximate, unknown bool
	slack                int // months that what was marked vague may lie beside
}

var (
	plain  = regexp.MustCompile(`^(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?$`)
	masked = regexp.MustCompile(`^(\d{2})(\d|X)X$`)
	noDay  = regexp.MustCompile(`^(\d{4}-\d{2})-XX$`)
	noTime = regexp.MustCompile(`^(\d{4})-XX(?:-XX)?$`)
)

// Parse reads one EDTF level 1 date or interval. The empty string is an error;
// use the zero Date where nothing is known.
func Parse(s string) (Date, error) {
	if s == "" {
		return Date{}, fmt.Errorf("empty date: want a form such as 1968, 1968-05, 196X, 1965~ or 1962/1965")
	}
	left, right, interval := strings.Cut(s, "/")
	if !interval {
		return parseSingle(s)
	}
	return parseInterval(s, left, right)
}

// MustParse is Parse for dates written in code; it panics on a bad one.
func MustParse(s string) Date {
	d, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return d
}

func parseInterval(s, left, right string) (Date, error) {
	d := Date{text: s}
	if (left == "" || left == "..") && (right == "" || right == "..") {
		return Date{}, fmt.Errorf("date %q: one end of an interval must be given", s)
	}
	if left != "" && left != ".." {
		a, err := parseSingle(left)
		if err != nil {
			return Date{}, fmt.Errorf("date %q: start: %w", s, err)
		}
		d.first, d.hasFirst, d.approximate, d.unknown, d.slack = a.first, true, a.approximate, a.unknown, a.slack
	}
	if right != "" && right != ".." {
		b, err := parseSingle(right)
		if err != nil {
			return Date{}, fmt.Errorf("date %q: end: %w", s, err)
		}
		d.last, d.hasLast = b.last, true
		d.approximate = d.approximate || b.approximate
		d.unknown = d.unknown || b.unknown
		d.slack = max(d.slack, b.slack)
	}
	if d.hasFirst && d.hasLast && d.last.Before(d.first) {
		return Date{}, fmt.Errorf("date %q: ends before it begins", s)
	}
	return d, nil
}

func parseSingle(s string) (Date, error) {
	d, err := parseOne(s)
	if err == nil && d.Vague() {
		d.slack = slackOf(d.last.Sub(d.first))
	}
	return d, err
}

// slackOf is how far beside its words a vague date may lie, in months, by how long they span: a day may be
// another one of its month, a year the one before or after. Common practice, no published source.
func slackOf(span time.Duration) int {
	const day = 24 * time.Hour
	switch {
	case span < day:
		return 1
	case span < 40*day:
		return 3
	case span < 200*day:
		return 6
	case span < 400*day:
		return 12
	}
	return 60
}

func parseOne(s string) (Date, error) {
	d := Date{text: s, hasFirst: true, hasLast: true}
	body := s
	switch {
	case strings.HasSuffix(s, "?~"):
		return Date{}, fmt.Errorf("date %q: write %% for uncertain and approximate", s)
	case strings.HasSuffix(s, "%"):
		d.approximate, d.unknown = true, true
	case strings.HasSuffix(s, "~"):
		d.approximate = true
	case strings.HasSuffix(s, "?"):
		d.unknown = true
	}
	if d.approximate || d.unknown {
		body = s[:len(s)-1]
	}
	if m := masked.FindStringSubmatch(body); m != nil {
		low := strings.ReplaceAll(body, "X", "0")
		high := strings.ReplaceAll(body, "X", "9")
		d.first = day(atoi(low), 1, 1)
		d.last = day(atoi(high), 12, 31)
		return d, nil
	}
	if m := noTime.FindStringSubmatch(body); m != nil { // 2004-XX: some month of 2004
		body = m[1]
	} else if m := noDay.FindStringSubmatch(body); m != nil && m[1][5:] < "13" { // 1985-04-XX; a season has no day
		body = m[1]
	}
	m := plain.FindStringSubmatch(body)
	if m == nil {
		return Date{}, fmt.Errorf("date %q: want EDTF level 1: 1968, 1968-05, 1968-05-17, 196X, 1965~, 1965?, 1962/.. or 1962/1965", s)
	}
	if err := d.fill(m[1], m[2], m[3]); err != nil {
		return Date{}, fmt.Errorf("date %q: %w", s, err)
	}
	return d, nil
}

func (d *Date) fill(y, m, dd string) error {
	year := atoi(y)
	if m == "" {
		d.first, d.last = day(year, 1, 1), day(year, 12, 31)
		return nil
	}
	month := atoi(m)
	if month >= 21 && month <= 24 { // seasons, level 1
		if dd != "" {
			return fmt.Errorf("a season has no day")
		}
		start := (month-21)*3 + 3
		d.first = day(year, start, 1)
		d.last = day(year, start+3, 0)
		return nil
	}
	if month < 1 || month > 12 {
		return fmt.Errorf("there is no month %s", m)
	}
	if dd == "" {
		d.first, d.last = day(year, month, 1), day(year, month+1, 0)
		return nil
	}
	t := day(year, month, atoi(dd))
	if t.Day() != atoi(dd) || int(t.Month()) != month {
		return fmt.Errorf("there is no day %s in month %s of %s", dd, m, y)
	}
	d.first, d.last = t, t
	return nil
}

func day(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }

func atoi(s string) int { n, _ := strconv.Atoi(s); return n }

// IsZero reports whether no date was given.
func (d Date) IsZero() bool { return d.text == "" }

// String is the date as it was written.
func (d Date) String() string { return d.text }

// Vague reports whether the date was marked approximate or uncertain.
func (d Date) Vague() bool { return d.approximate || d.unknown }

// SlackMonths is how far beside First and Last a date may lie that was marked approximate or uncertain (~, ?, %);
// 0 where none was.
func (d Date) SlackMonths() int { return d.slack }

// First is the earliest day that the date may mean; ok is false where it is open.
func (d Date) First() (t time.Time, ok bool) { return d.first, d.hasFirst }

// Last is the latest day that the date may mean; ok is false where it is open.
func (d Date) Last() (t time.Time, ok bool) { return d.last, d.hasLast }

// FirstMonth is the month of First.
func (d Date) FirstMonth() (Month, bool) {
	if !d.hasFirst {
		return 0, false
	}
	return MonthFromTime(d.first), true
}

// LastMonth is the month of Last.
func (d Date) LastMonth() (Month, bool) {
	if !d.hasLast {
		return 0, false
	}
	return MonthFromTime(d.last), true
}

// MarshalText writes the date as it was written.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.text), nil }

// UnmarshalText reads a date; empty text gives the zero Date.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Date{}
		return nil
	}
	v, err := Parse(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

package notes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// moment is a time as people give it, in months since the year 0. A bare year runs from
// its first month to its last.
type moment struct {
	low, high   int
	year        bool // given by the year alone
	soft        int  // months, where it was given as about so
	first, last int  // tokens
}

// start and end are the moment in EDTF, as the begin or the end of a time.
func (m moment) start() string { return m.text(m.low) }
func (m moment) end() string   { return m.text(m.high) }

func (m moment) text(month int) string {
	if m.year {
		return fmt.Sprintf("%04d", month/12)
	}
	return fmt.Sprintf("%04d-%02d", month/12, month%12+1)
}

// middle is the month that stands for a moment on a line of numbers, and how far off it
// may be.
func (m moment) middle() (month string, plusMinus int) {
	switch {
	case m.year && m.high-m.low > 12:
		plusMinus = (m.high - m.low + 1) / 2
	case m.year:
		plusMinus = 6
	case m.low%12 == 11:
		plusMinus = 2
	default:
		plusMinus = 3
	}
	mid := (m.low + m.high) / 2
	return fmt.Sprintf("%04d-%02d", mid/12, mid%12+1), max(plusMinus, m.soft/2)
}

// momentAt reads a time that begins at token i: "about 1960", "late in 1957", "mid 1964",
// "May 1962", "5-62", "1959/60", "the early sixties". Years of two figures are read where
// short is set.
func (r *bookReader) momentAt(i, last int, short bool) (moment, bool) {
	m := moment{first: i}
	i, hedged := r.pastHedges(i, last)
	if i > last {
		return m, false
	}
	month := 0
	if p, end, ok := r.phraseAt(i, last, "within"); ok {
		month, i = r.words.Within[p.id], end+1
		short = true
		if i < last && r.all[i].text == "-" && r.all[i].joined {
			i++
		}
	} else if v, ok := r.Months[r.all[i].norm]; ok && r.all[i].kind == word {
		month, i = v, i+1
		if i <= last && r.all[i].text == "." {
			i++
		}
		short = true
	}
	i, again := r.pastHedges(i, last)
	hedged = hedged || again
	if i > last || !r.years(&m, i, last, month, short || hedged) {
		return m, false
	}
	for _, words := range [][]string{{"or", "so"}, {"more", "or", "less"}, {"or", "thereabouts"}, {"roughly"}, {"approx"}} {
		if m.last < last {
			if end, ok := r.matches(words, m.last+1, last); ok {
				m.last, hedged = end, true
			}
		}
	}
	if hedged {
		m.soft = 12
	}
	return m, true
}

var hedges = map[string]bool{"about": true, "abt": true, "around": true, "ca": true, "circa": true, "c": true, "roughly": true,
	"approximately": true, "approx": true, "perhaps": true, "maybe": true, "~": true, "sometime": true, "say": true, "possibly": true}

// pastHedges skips words that make a time vague, and the "in" around them.
func (r *bookReader) pastHedges(i, last int) (int, bool) {
	hedged := false
	for i <= last {
		n := r.all[i].norm
		switch {
		case hedges[n]:
			hedged = true
		case n == "." && i > 0 && hedges[r.all[i-1].norm]:
		case r.all[i].kind == line && hedged:
		case (n == "in" || n == "the") && i < last && (hedges[r.all[i+1].norm] || r.withinAt(i+1, last)):
		default:
			return i, hedged
		}
		i++
	}
	return i, hedged
}

func (r *bookReader) withinAt(i, last int) bool {
	_, _, ok := r.phraseAt(i, last, "within")
	return ok
}

// years reads the year or the pair of years at token i into the moment.
func (r *bookReader) years(m *moment, i, last, month int, short bool) bool {
	if d, end, ok := r.decadeAt(i, last, month); ok {
		m.low, m.high, m.year, m.soft, m.last = d[0], d[1], true, 12, end
		return true
	}
	if month == 0 {
		if v, end, ok := r.monthSlashYear(i, last); ok {
			m.low, m.high, m.last = v, v, end
			return true
		}
	}
	y, end, ok := r.bookYear(i, last, short)
	if !ok {
		return false
	}
	m.last = end
	if y2, end2, ok := r.otherYear(end, last, y); ok {
		m.low, m.high, m.year, m.soft, m.last = y*12, y2*12+11, true, 6, end2
		return true
	}
	if month > 0 {
		m.low, m.high = y*12+month-1, y*12+month-1
	} else {
		m.low, m.high, m.year = y*12, y*12+11, true
	}
	return true
}

// decadeAt reads "1960s", "the sixties"; with "early" or "late" before it, a part of it.
func (r *bookReader) decadeAt(i, last, within int) ([2]int, int, bool) {
	if i <= last && r.all[i].norm == "the" {
		i++
	}
	if i > last {
		return [2]int{}, 0, false
	}
	decades := map[string]int{"twenties": 1920, "thirties": 1930, "forties": 1940, "fifties": 1950, "sixties": 1960,
		"seventies": 1970, "eighties": 1980}
	from, end := decades[r.all[i].norm], i
	if from == 0 && r.all[i].kind == figure && i < last && r.all[i+1].joined && r.all[i+1].norm == "s" {
		if v, err := strconv.Atoi(r.all[i].text); err == nil && v%10 == 0 && (v >= 1850 && v < 2030 || v >= 20 && v < 100) {
			from, end = v, i+1
			if v < 100 {
				from += 1900
			}
		}
	}
	if from == 0 {
		return [2]int{}, 0, false
	}
	low, high := from, from+9
	switch {
	case within >= 1 && within <= 3:
		high = from + 3
	case within >= 5 && within <= 8:
		low, high = from+4, from+6
	case within >= 9:
		low = from + 7
	}
	return [2]int{low * 12, high*12 + 11}, end, true
}

// monthSlashYear reads "5/62", "5-62" and "05/1962" as a month.
func (r *bookReader) monthSlashYear(i, last int) (int, int, bool) {
	if i+2 > last || !strings.Contains("/-.", r.all[i+1].text) || !r.all[i+1].joined || !r.all[i+2].joined {
		return 0, 0, false
	}
	month, errM := strconv.Atoi(r.all[i].text)
	y, errY := strconv.Atoi(r.all[i+2].text)
	if errM != nil || errY != nil || month < 1 || month > 12 || r.all[i+1].text == "." && y < 1850 {
		return 0, 0, false
	}
	if y >= 20 && y <= 99 {
		y += 1900
	}
	if y < 1850 || y > 2099 {
		return 0, 0, false
	}
	return y*12 + month - 1, i + 2, true
}

// bookYear reads a year of four figures, or of two behind an apostrophe or where short is
// set.
func (r *bookReader) bookYear(i, last int, short bool) (year, end int, ok bool) {
	if i < last && (r.all[i].text == "'" || r.all[i].text == "’") && r.all[i+1].joined {
		i, short = i+1, true
	}
	n, ok := numberAt(r.all, i)
	if !ok || !n.whole() || n.last > last || n.grouped {
		return 0, 0, false
	}
	v, err := strconv.Atoi(n.digits())
	switch {
	case err != nil:
	case v >= 1850 && v <= 2099 && len(n.digits()) == 4:
		return v, n.last, true
	case short && len(n.digits()) == 2 && v >= 20 && !r.unitAt(n.last+1, last):
		return 1900 + v, n.last, true
	}
	return 0, 0, false
}

// unitAt reports whether a unit follows, so that a figure is no year.
func (r *bookReader) unitAt(i, last int) bool {
	if i > last {
		return false
	}
	switch r.all[i].norm {
	case "mm", "millimetres", "millimeters", "j", "jewels", "jewel", "k", "carat", "karat", "kt", "ct", "g", "%", "cent":
		return true
	}
	return false
}

// otherYear reads the second year of "1966/67" or "64/65".
func (r *bookReader) otherYear(end, last, year int) (int, int, bool) {
	if end+2 > last || r.all[end+1].text != "/" || r.all[end+2].kind != figure {
		return 0, 0, false
	}
	v, err := strconv.Atoi(r.all[end+2].text)
	if err == nil && v < 100 {
		v += year / 100 * 100
	}
	if err != nil || v <= year || v > year+9 {
		return 0, 0, false
	}
	return v, end + 2, true
}

// timing is what a piece of a sentence says about time.
type timing struct {
	start, end   moment
	begins, ends bool
	next         bool // after what was spoken of before
	early        bool // before what is spoken of next
	prior        bool // before what was spoken of before
	whole        bool
	lasting      bool // to the end, whatever came beside it
	amid         bool // between two times of what was spoken of before
	beside       bool // beside the others, not after them
	front        bool // said before the thing itself
	change       bool
	first, last  int // tokens of it, -1 where nothing is said
}

func (t timing) any() bool {
	return t.begins || t.ends || t.next || t.early || t.prior || t.whole || t.lasting || t.beside
}

// timingOf reads what the tokens say about time, and marks those that say it.
func (r *bookReader) timingOf(first, last int, said []bool) timing {
	t := timing{first: -1, last: -1}
	mark := func(from, to int) {
		for i := from; i <= to; i++ {
			said[i-first] = true
		}
		if t.first < 0 {
			t.first = from
		}
		t.last = to
	}
	for i := first; i <= last; {
		end := i
		if e, ok := r.span(&t, i, last); ok {
			end = e
			mark(i, end)
		} else if p, e, ok := r.phraseAt(i, last, "when"); ok && r.word(&t, p, i, e, last) {
			end = e
			mark(i, end)
		}
		i = end + 1
	}
	t.front = t.first >= 0 && (t.begins || t.ends || t.next || t.early || t.prior) && r.nothingBefore(first, t.first)
	return t
}

// nothingBefore reports whether only filler stands before the token.
func (r *bookReader) nothingBefore(first, at int) bool {
	for i := first; i < at; i++ {
		if r.all[i].kind == word && !slices.Contains(r.words.Filler, r.all[i].norm) {
			return false
		}
	}
	return true
}

// word notes what a word without a moment says about time.
func (r *bookReader) word(t *timing, p bookPhrase, first, end, last int) bool {
	switch p.id {
	case "next":
		t.next = true
	case "after":
		if end < last && r.all[end+1].kind != mark {
			return false
		}
		t.next = true
	case "from":
		if p.words[0] != "since" || end < last {
			return false
		}
		t.next = true
	case "amid":
		t.next, t.amid = true, true
	case "early":
		t.early = true
	case "prior", "before":
		if p.id == "before" && end < last && r.all[end+1].kind != mark {
			return false
		}
		t.prior = true
	case "whole":
		t.whole = true
	case "lasting":
		t.lasting = true
	case "beside":
		t.beside = true
	case "change":
		t.next, t.change = true, true
		if t.begins || t.ends { // "about 1952 they changed to …"
			if !t.begins {
				t.start = t.end
			}
			t.begins, t.ends = true, false
		}
	default:
		return false
	}
	return true
}

// span reads words that give a begin, an end or both: "from early 1961", "till about
// 1960", "1958-1963", "between 1960 and 1964", "in 1968", "1968 only".
func (r *bookReader) span(t *timing, i, last int) (int, bool) {
	relation, at := "", i
	if p, end, ok := r.phraseAt(i, last, "when"); ok && r.all[i].kind == word {
		relation, at = p.id, end+1
	}
	if r.all[i].norm == "earlier" && relation != "before" {
		relation, at = "", i
	}
	if at > last {
		return 0, false
	}
	if a, b, end, ok := r.shortYears(i, last); ok && relation == "" {
		t.start, t.end, t.begins, t.ends = a, b, true, true
		return end, true
	}
	a, ok := r.momentAt(at, last, relation != "" && relation != "in")
	if p, is := firstOrLast[r.all[i].norm]; is && i < last && (!ok || relation == "early") { // "first 1965, last 1974"
		relation = p
		a, ok = r.momentAt(i+1, last, false)
	}
	if !ok {
		return 0, false
	}
	end := a.last
	for end < last && (r.all[end+1].norm == "on" || r.all[end+1].norm == "onwards" || r.all[end+1].norm == "onward") {
		end++
		if relation == "" {
			relation = "from"
		}
	}
	if end < last && (relation == "" || relation == "from") {
		if p, e, ok := r.phraseAt(end+1, last, "when"); ok && p.id == "lasting" { // "1967 to end"
			t.start, t.begins, t.lasting = a, true, true
			return e, true
		}
	}
	if b, e, ok := r.secondMoment(end, last, relation); ok {
		t.start, t.end, t.begins, t.ends = a, b, true, true
		return e, true
	}
	return r.placed(t, a, relation, i, end, last)
}

var firstOrLast = map[string]string{"first": "from", "last": "until"}

// placed notes one moment as the begin, the end or both, by the word before it.
func (r *bookReader) placed(t *timing, a moment, relation string, i, end, last int) (int, bool) {
	switch relation {
	case "until", "to":
		t.end, t.ends = a, true
	case "before":
		a.low, a.high = a.low-1, a.low-1
		t.end, t.ends = a, true
	case "from":
		t.start, t.begins = a, true
	case "after":
		if a.year {
			a.low += 12
			a.high = a.low + 11
		}
		t.start, t.begins = a, true
	case "between", "":
		if end < last && r.all[end+1].norm == "only" {
			t.start, t.end, t.begins, t.ends = a, a, true, true
			return end + 1, true
		}
		if i > 0 && r.all[i-1].norm == "only" {
			t.start, t.end, t.begins, t.ends = a, a, true, true
			return end, true
		}
		if t.change && !t.begins {
			t.start, t.begins = a, true
			return end, true
		}
		if relation == "between" {
			return 0, false
		}
		t.start, t.begins = a, true
		t.end, t.ends = a, !r.changeFollows(end+1, last)
	case "in":
		t.start, t.end, t.begins, t.ends = a, a, true, !r.changeFollows(end+1, last) && !t.change
	case "change":
		t.start, t.begins, t.next, t.change = a, true, true, true
	case "next":
		t.start, t.begins = a, true
	default:
		return 0, false
	}
	return end, true
}

// shortYears reads "62-65".
func (r *bookReader) shortYears(i, last int) (a, b moment, end int, ok bool) {
	if i+2 > last || r.all[i+1].text != "-" && r.all[i+1].text != "–" || !r.all[i+1].joined || r.all[i].joined {
		return a, b, 0, false
	}
	from, _, okA := r.bookYear(i, i, true)
	to, _, okB := r.bookYear(i+2, i+2, true)
	if !okA || !okB || from < 1920 || to <= from || len(r.all[i].text) != 2 || r.unitAt(i+3, last) {
		return a, b, 0, false
	}
	return moment{low: from * 12, high: from*12 + 11, year: true}, moment{low: to * 12, high: to*12 + 11, year: true}, i + 2, true
}

func (r *bookReader) changeFollows(i, last int) bool {
	for ; i <= last && i >= 0; i++ {
		if p, _, ok := r.phraseAt(i, last, "when"); ok && p.id == "change" {
			return true
		}
	}
	return false
}

// secondMoment reads the end of a time behind its begin: "till 1971", "- about 1969",
// "and 1964" behind between.
func (r *bookReader) secondMoment(end, last int, relation string) (moment, int, bool) {
	i := end + 1
	for i <= last && (r.all[i].kind == line || r.all[i].text == "," && relation != "") {
		i++
	}
	if i > last {
		return moment{}, 0, false
	}
	joins := relation == "between" && r.all[i].norm == "and"
	at := i + 1
	if p, e, ok := r.phraseAt(i, last, "when"); ok && (p.id == "until" || p.id == "to") && len(p.words) <= 2 {
		joins, at = true, e+1
	}
	if r.all[i].norm == "and" && i < last {
		if p, e, ok := r.phraseAt(i+1, last, "when"); ok && p.id == "until" {
			joins, at = true, e+1
		}
	}
	if !joins || at > last {
		return moment{}, 0, false
	}
	b, ok := r.momentAt(at, last, true)
	return b, b.last, ok
}
